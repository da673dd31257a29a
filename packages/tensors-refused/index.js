'use strict'
// danfojs-node asks for TensorFlow (266 MB) and needs it for tensors and scalers only. Frames and series work without.

class Tensor {}

function refused(name) {
  return () => {
    const error = new Error(
      `Data frames are installed without tensors, so tf.${name} cannot be used. ` +
        'Expected: operations on tables (columns, query, groupby, sortValues, merge, describe, toCSV). ' +
        'Mend: take the columns as numbers (frame.column("name").values); to have tensors and scalers, remove ' +
        'the lines on @tensorflow/tfjs-node from package.json and install @tensorflow/tfjs under that name.',
    )
    error.name = 'TensorsRefused'
    error.code = 'tensors-refused'
    throw error
  }
}

module.exports = new Proxy(
  { Tensor },
  { get: (known, name) => (name in known || typeof name !== 'string' || name === '__esModule' ? known[name] : refused(name)) },
)
