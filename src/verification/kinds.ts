import { methodKinds, methodOf } from './methods/index.js'
import { watchedCase } from './optionsRead.js'
import type { ReferenceCase } from './referenceCase.js'

/** Every kind that the toolkit computes, with the options that its method looked at in the cases at hand. */
export function kindsRead(cases: readonly ReferenceCase[]): ReadonlyMap<string, readonly string[]> {
  return new Map(
    methodKinds().map((kind) => {
      const read = new Set<string>()
      for (const reference of cases.filter((one) => one.kind === kind)) {
        const watch = watchedCase(reference)
        try {
          methodOf(kind)!(watch.reference)
        } catch {
          // an awkward case that is refused has shown by then what it looked at
        }
        for (const name of watch.read()) read.add(name)
      }
      return [kind, [...read].sort()] as const
    }),
  )
}
