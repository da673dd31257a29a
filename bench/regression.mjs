/**
 * Times regressions and imputation at the sizes that a study group has.
 *
 *   npm run bench -- regression
 */
import { randomStream } from '../dist/core/random.js'
import * as holdfast from '../dist/statistics/index.js'

/** Rows with ten covariates, an event and a count, two rows a patient. */
function regressionRows(rows) {
  const random = randomStream(11)
  const covariates = {}
  for (let j = 0; j < 10; j++) {
    covariates[`x${j}`] = Float64Array.from({ length: rows }, () =>
      j < 5 ? random.normal() : Math.floor(2 * random.uniform()),
    )
  }
  const chance = (row) => 1 / (1 + Math.exp(2 - 0.3 * covariates.x0[row] + 0.5 * covariates.x5[row]))
  const event = Float64Array.from({ length: rows }, (_, row) => (random.uniform() < chance(row) ? 1 : 0))
  const exposure = Float64Array.from({ length: rows }, () => 0.1 + 3 * random.uniform())
  const patient = Float64Array.from({ length: rows }, (_, row) => row >> 1)
  return { covariates, event, exposure, patient, random }
}

/** Ten incomplete columns: five numbers, three of 0 and 1, two categories of four levels; a fifth of each missing. */
function incompleteColumns(rows) {
  const { covariates, random } = regressionRows(rows)
  const hole = () => random.uniform() < 0.2
  const levels = ['p', 'q', 'r', 's']
  return Object.fromEntries(
    Object.entries(covariates).map(([name, values], j) => {
      if (j < 5)
        return [name, { kind: 'numeric', values: values.map((value) => (hole() ? Number.NaN : value)) }]
      if (j < 8)
        return [name, { kind: 'binary', values: values.map((value) => (hole() ? Number.NaN : value)) }]
      const texts = Array.from(values, (value) => (hole() ? '' : levels[value + random.index(3)]))
      return [name, { kind: 'categorical', values: texts }]
    }),
  )
}

export function timeRegressions() {
  const { covariates, event, exposure, patient } = regressionRows(100_000)
  const columns = incompleteColumns(10_000)
  const works = [
    [
      'logistic, 100,000 × 10, by patient',
      () => holdfast.logisticRegression(event, covariates, { cluster: patient }),
    ],
    ['Poisson, 100,000 × 10, exposure', () => holdfast.poissonRegression(event, covariates, { exposure })],
    [
      'negative binomial, 100,000 × 10',
      () => holdfast.negativeBinomialRegression(event, covariates, { exposure }),
    ],
    [
      'estimating equations, 100,000 × 10',
      () => holdfast.estimatingEquations(event, covariates, patient, { correlation: 'exchangeable' }),
    ],
    ['least squares, 100,000 × 10', () => holdfast.linearRegression(exposure, covariates)],
    ['imputation, 20 × 10,000 × 10', () => holdfast.imputeChained(columns, { seed: 5 })],
  ]
  console.log(`\n${'regression'.padEnd(40)} s (processor s)`)
  for (const [name, work] of works) {
    const before = process.cpuUsage()
    const start = performance.now()
    work()
    const seconds = (performance.now() - start) / 1000
    const processor = process.cpuUsage(before).user / 1e6
    console.log(`${name.padEnd(40)} ${seconds.toFixed(2)} (${processor.toFixed(2)})`)
  }
}
