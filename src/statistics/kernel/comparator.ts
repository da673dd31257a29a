import { NumericalError } from '../../core/errors.js'

/** Position of the comparator among sorted labels: the one named, or the first. */
export function comparatorOf(labels: readonly string[], against: string | undefined): number {
  const position = against === undefined ? 0 : labels.indexOf(against)
  if (position >= 0) return position
  throw new NumericalError({
    code: 'no-such-group',
    problem: `no row belongs to the comparator ${against}.`,
    expected: `one of the groups ${labels.join(', ')}.`,
    mend: 'name a group that occurs in the column.',
  })
}
