import { createRequire } from 'node:module'
import { sep } from 'node:path'

/** One output in several forms; the front end shows the richest that it knows. */
export type MimeBundle = Readonly<Record<string, unknown>>

/** What the kernel's own display call takes; the one place where the toolkit reaches into the kernel. */
type WriteDisplayData = (content: {
  readonly data: MimeBundle
  readonly metadata: object
  readonly transient: object
}) => void

/**
 * Shows one output in the cell that runs. Outside a kernel the plain text goes to standard output.
 *
 * The kernel's public display call sends one form only; several forms in one output go through its internal call,
 * and where that is not to be had the picture or the page alone.
 */
export function showBundle(data: MimeBundle): void {
  const write = kernelWriter()
  if (write !== undefined) {
    write({ data, metadata: {}, transient: {} })
    return
  }
  const text = data['text/plain']
  process.stdout.write(`${typeof text === 'string' ? text : JSON.stringify(data)}\n`)
}

function kernelWriter(): WriteDisplayData | undefined {
  const kernelModule = Object.keys(createRequire(import.meta.url).cache).find((path) =>
    path.endsWith(['tslab', 'dist', 'jupyter.js'].join(sep)),
  )
  if (kernelModule === undefined) return undefined
  const kernel = createRequire(import.meta.url)(kernelModule) as { lastWriteDisplayData?: WriteDisplayData }
  return kernel.lastWriteDisplayData
}
