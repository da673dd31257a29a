import { isNumber, type Quantity, type Warning, warning } from '../../core/estimate.js'
import { type MethodName, methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { type EquivalenceTest, equivalenceTest } from '../../statistics/means/equivalence.js'
import {
  pairwiseDifferences,
  type VarianceAnalysis,
  varianceAnalysis,
} from '../../statistics/means/manyMeans.js'
import { type MeanContrast, meanDifference, type SummaryFigures } from '../../statistics/means/means.js'

/** Number, mean and standard deviation of a group, with how many different implants its values came from. */
export interface BenchGroup extends SummaryFigures {
  readonly name: string
  /** Implants or analogues behind the n values; left out where it is not known, which is asked about. */
  readonly implants?: number
}

/** Settings of a comparison of bench figures. */
export interface BenchOptions {
  /** Confidence level; default 0.95. */
  readonly level?: number
  /**
   * Largest difference that would still count as equivalent, in the unit of the means; default none, and then
   * equivalence is not asked.
   */
  readonly margin?: number
}

/** Difference of two of the groups. */
export interface BenchPair {
  readonly group: string
  readonly against: string
  /** Games and Howell's, simultaneous over all pairs; Welch's where there are two groups only. */
  readonly difference: number
  readonly interval: { readonly lower: Quantity; readonly upper: Quantity }
  readonly pValue: Quantity
  /** Where a margin was given. */
  readonly equivalence?: EquivalenceTest
}

/** Bench figures of several groups set against each other, without a common variance. */
export interface BenchComparison {
  readonly groups: readonly BenchGroup[]
  /** Whether all means are alike; absent with fewer than two groups of two values. */
  readonly welch?: VarianceAnalysis
  readonly pairs: readonly BenchPair[]
  readonly level: number
  readonly warnings: readonly Warning[]
  readonly method: MethodName
  readonly reference: string
}

/**
 * Sets bench figures (removal torque, loss of torque, preload) of several groups against each other from number, mean
 * and standard deviation alone: Welch's analysis of variance, and all pairs by Games and Howell (Welch's t where there
 * are two groups). Several values of one implant are not independent; where the number of implants is not given, a
 * warning asks for it.
 *
 * @param groups n, mean, standard deviation and, where known, implants of each; those with one value are shown and
 *   not compared
 * @param options level (0.95), margin (none)
 * @throws NumericalError `not-a-count`, `not-an-amount`, `not-finite`, `level-out-of-range`
 * Sources: Welch 1947, 1951; Games and Howell 1976; Hurlbert 1984 (pseudo-replication).
 * @example compareBench([{ name: 'once', n: 10, mean: 26.8, standardDeviation: 1.3 }, { name: 'again', n: 10, mean: 24.9, standardDeviation: 1.2 }]).pairs[0].difference // => 1.9
 */
export function compareBench(groups: readonly BenchGroup[], options: BenchOptions = {}): BenchComparison {
  const { level = 0.95, margin } = options
  const compared = groups.filter(({ n }) => n > 1)
  const enough = compared.length > 1
  return deepFreeze({
    groups: groups.map((group) => ({ ...group })),
    ...(enough ? { welch: varianceAnalysis(compared.map(figuresOf), { variances: 'unequal' }) } : {}),
    pairs: enough ? pairsOf(compared, level, margin) : [],
    level,
    warnings: replicationWarnings(groups),
    method:
      compared.length === 2
        ? methodOf('welch-t')
        : methodOf('welch-s-analysis-of-variance', 'pairs-by-games-howell'),
    reference: compared.length === 2 ? 'means' : 'many-means',
  })
}

function pairsOf(
  groups: readonly BenchGroup[],
  level: number,
  margin: number | undefined,
): readonly BenchPair[] {
  const equivalence = (group: BenchGroup, against: BenchGroup): Pick<BenchPair, 'equivalence'> =>
    margin === undefined
      ? {}
      : {
          equivalence: equivalenceTest(figuresOf(group), figuresOf(against), {
            margin: { lower: -margin, upper: margin },
            significance: Number((1 - level).toPrecision(12)),
          }),
        }
  if (groups.length === 2) {
    const [group, against] = groups as [BenchGroup, BenchGroup]
    const contrast: MeanContrast = meanDifference(figuresOf(group), figuresOf(against), { level })
    return [
      {
        group: group.name,
        against: against.name,
        difference: isNumber(contrast.estimate) ? contrast.estimate : group.mean - against.mean,
        interval: contrast.interval,
        pValue: contrast.pValue,
        ...equivalence(group, against),
      },
    ]
  }
  return pairwiseDifferences(groups.map(figuresOf), { level, variances: 'unequal' }).pairs.map(
    ({ first, second, difference, lower, upper, pValue }) => ({
      group: groups[first]!.name,
      against: groups[second]!.name,
      difference,
      interval: { lower, upper },
      pValue,
      ...equivalence(groups[first]!, groups[second]!),
    }),
  )
}

function replicationWarnings(groups: readonly BenchGroup[]): readonly Warning[] {
  const repeated = groups.filter(({ n, implants }) => implants !== undefined && implants < n)
  const unasked = groups.filter(({ implants }) => implants === undefined)
  return [
    ...repeated.map(({ name, n, implants = n }) =>
      warning('pseudo-replication', { group: name, values: n, implants }),
    ),
    ...(unasked.length === 0
      ? []
      : [warning('ask-about-replication', { groups: unasked.map(({ name }) => name) })]),
  ]
}

function figuresOf({ n, mean, standardDeviation }: BenchGroup): SummaryFigures {
  return { n, mean, standardDeviation }
}
