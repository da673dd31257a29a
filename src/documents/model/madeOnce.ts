/** What two documents of the same results can differ by. */
interface Dated {
  readonly date: string
  readonly version: string
  readonly language?: string
}

/** The same document for the same results, day and version: three lengths are made of it, and wording it takes long. */
export function madeOnce<Results extends object, Options extends Dated, Document>(
  make: (results: Results, options: Options) => Document,
): (results: Results, options: Options) => Document {
  const known = new WeakMap<Results, Map<string, Document>>()
  return (results, options) => {
    const made = known.get(results) ?? new Map<string, Document>()
    known.set(results, made)
    const key = JSON.stringify([options.date, options.version, options.language])
    const document = made.get(key) ?? make(results, options)
    made.set(key, document)
    return document
  }
}
