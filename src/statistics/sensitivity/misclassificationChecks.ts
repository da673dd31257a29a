import { NumericalError } from '../../core/errors.js'
import type { Accuracy, OutcomeTable } from './misclassification.js'

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
      problem: 'a group is empty or has more events than restorations.',
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
