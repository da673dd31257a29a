import type { CovariateValues } from '../../cohort/covariates.js'

/** Why something that was to enter a model did not. */
export type LeftOutReason =
  | 'not-recorded'
  | 'too-incomplete'
  | 'all-alike'
  | 'told-by-the-others'
  | 'too-few-events'

/** Something that was to enter a model and does not. */
export interface LeftOut {
  readonly key: string
  readonly reason: LeftOutReason
}

/** Why columns do not enter beside those that did; undefined where they may. */
export function reasonNotToEnter(
  alike: LeftOutReason | undefined,
  fresh: number,
  { taken, most }: { readonly taken: number; readonly most: number },
): LeftOutReason | undefined {
  if (alike !== undefined) return alike
  if (fresh === 0) return 'told-by-the-others'
  return taken + fresh > most ? 'too-few-events' : undefined
}

/** Values of something that is to enter a model, by restoration. */
export interface ReadValues<Key extends string> {
  readonly key: Key
  readonly values: CovariateValues
}

/** Least share of known values for something to enter, and of restorations that must remain with all known. */
const leastKnown = 0.8
const leastComplete = 0.7

/**
 * What is known in enough restorations, in the order given, and the restorations in which all of it is known. What is
 * not is put on the list of what is left out.
 */
export function knownInEnough<Key extends string>(
  read: readonly ReadValues<Key>[],
  n: number,
  leftOut: LeftOut[],
): { readonly known: readonly ReadValues<Key>[]; readonly complete: readonly number[] } {
  const shareOf = (rows: number): number => rows / Math.max(1, n)
  let complete = Array.from({ length: n }, (_one, i) => i)
  const known = read.filter(({ key, values }) => {
    const share = shareOf(values.filter((value) => value !== undefined).length)
    const joint = complete.filter((i) => values[i] !== undefined)
    if (share < leastKnown || shareOf(joint.length) < leastComplete) {
      leftOut.push({ key, reason: share === 0 ? 'not-recorded' : 'too-incomplete' })
      return false
    }
    complete = joint
    return true
  })
  return { known, complete }
}
