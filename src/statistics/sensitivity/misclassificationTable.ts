import { NumericalError } from '../../core/errors.js'

/** Two groups and an outcome, as recorded. */
export interface OutcomeTable {
  /** Events and units in the exposed (1) and unexposed (0) group. */
  readonly events1: number
  readonly total1: number
  readonly events0: number
  readonly total0: number
}

/** How well a yes-or-no item is recorded. */
export interface Accuracy {
  /** Probability that a true yes is recorded as yes. */
  readonly sensitivity: number
  /** Probability that a true no is recorded as no. */
  readonly specificity: number
}

/** Refuses counts that are no table and accuracies that are no shares. */
export function requireTable(
  { events1, total1, events0, total0 }: OutcomeTable,
  accuracies: readonly Accuracy[],
): void {
  const counts: readonly (readonly [number, number])[] = [
    [events1, total1],
    [events0, total0],
  ]
  const usable = counts.every(([x, n]) => Number.isFinite(n) && n > 0 && x >= 0 && x <= n)
  if (!usable) {
    throw new NumericalError({
      code: 'counts-not-usable',
      problem: 'a group is empty or has more events than units.',
      expected: 'events from 0 to the total in each group.',
      mend: 'check the table.',
    })
  }
  for (const { sensitivity, specificity } of accuracies) {
    const shares = [sensitivity, specificity].every((share) => share >= 0 && share <= 1)
    if (!shares) {
      throw new NumericalError({
        code: 'share-out-of-range',
        problem: `sensitivity is ${sensitivity} and specificity ${specificity}.`,
        expected: 'shares from 0 to 1.',
        mend: 'write 90% as 0.9.',
      })
    }
  }
}
