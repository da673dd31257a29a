import type { ReferenceCase } from '../referenceCase.js'
import { distributionMethods } from './distributions.js'

/** Computes what a reference case expects, as plain nested values under the same keys as `expected`. */
export type ReferenceMethod = (reference: ReferenceCase) => unknown

const methods: ReadonlyMap<string, ReferenceMethod> = new Map(Object.entries({ ...distributionMethods }))

/** The toolkit's method for a kind of case, or undefined where it has none. */
export function methodOf(kind: string): ReferenceMethod | undefined {
  return methods.get(kind)
}
