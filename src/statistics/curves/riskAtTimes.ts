import {
  type Contrast,
  type Estimate,
  type Interval,
  noInterval,
  notEstimable,
  type Quantity,
  type Warning,
  warning,
} from '../../core/estimate.js'
import { methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import { type CodeColumn, type Codes, codesOf, singleCode } from '../kernel/codes.js'
import { type NumberColumn, requireSameLength } from '../numeric/columns.js'
import { exactUpperOfNone } from '../proportions/proportionLimits.js'
import { hybridDifferenceLimits } from '../proportions/scoreLimits.js'
import type { CumulativeIncidenceOptions } from './competingRisks.js'
import {
  compareCumulativeIncidence,
  type IncidenceAtTime,
  type IncidenceContrast,
} from './incidenceContrast.js'

/** Options of risks at chosen times. */
export interface RiskAtTimesOptions
  extends Omit<CumulativeIncidenceOptions, 'variance' | 'causes' | 'weights'> {
  /** Cause of which the risk is asked; default 1. Every other cause competes. */
  readonly cause?: number | undefined
}

/** Probability that the cause has happened by a time. */
export interface RiskAtTime extends Estimate {
  readonly time: number
  /** Rows at risk just before the time. */
  readonly atRisk: number
  /** Clusters with a row at risk just before the time. */
  readonly clustersAtRisk: number
}

/** Difference of two groups' risks at a time. */
export interface RiskDifferenceAtTime extends Contrast {
  readonly time: number
  readonly pValue: Quantity
}

/** Risks of every group at the chosen times, and the differences from the comparator. */
export interface RiskComparison {
  readonly groups: readonly { readonly group: string; readonly risks: readonly RiskAtTime[] }[]
  readonly differences: readonly {
    readonly group: string
    readonly against: string
    readonly at: readonly RiskDifferenceAtTime[]
  }[]
}

/** Fewest events in each group from which a difference is taken as normal. */
const enoughEvents = 5

/**
 * Risk of a cause by chosen times where others compete (Aalen and Johansen 1978), with the variance of the curve:
 * infinitesimal jackknife over clusters where one repeats, Greenwood's type otherwise, log-log interval. Where the
 * cause has not happened by a time, the exact upper limit with the clusters still at risk there as n.
 *
 * @param time follow-up, zero or more
 * @param cause 0 where censored, otherwise the number of the cause that ended the follow-up
 * @param times times of zero or more, in the unit of follow-up
 * @param options cause asked for (1), delayed entry, clusters, level (0.95), interval scale ('log-log')
 * @returns one risk per time; not estimable past the last follow-up unless everyone had an event
 * @throws NumericalError as `cumulativeIncidence`
 *
 * @example risksAt([1, 2, 3, 4], [1, 2, 0, 1], [2])[0].estimate // => 0.25
 */
export const risksAt = checked(
  'risksAt',
  (
    time: NumberColumn,
    cause: NumberColumn,
    times: readonly number[],
    options: RiskAtTimesOptions = {},
  ): readonly RiskAtTime[] => {
    return compared(time, cause, singleCode(time.length), times, options, undefined).groups[0]!.risks
  },
)

/**
 * Risks of every group by chosen times, and their differences from a comparator. Clusters with rows in both groups
 * are allowed for: their influences on both risks are summed before squaring. With fewer than five events in a group
 * the difference takes the hybrid of the two groups' limits (Zou and Donner 2008), which does not assume it normal.
 *
 * @param group whole-number codes or texts, one per row
 * @param options as `risksAt`; `against` names the comparator, default the first label in sorted order
 * @throws NumericalError as `cumulativeIncidenceByGroup`, and where no group has the comparator's label
 *
 * @example compareRisksAt([1, 3, 3, 4], [1, 0, 1, 0], ['a', 'a', 'b', 'b'], [3]).differences[0].at[0].estimate // => 0
 */
export const compareRisksAt = checked(
  'compareRisksAt',
  (
    time: NumberColumn,
    cause: NumberColumn,
    group: CodeColumn,
    times: readonly number[],
    options: RiskAtTimesOptions & { readonly against?: string | undefined } = {},
  ): RiskComparison => {
    requireSameLength({ time, group })
    return compared(time, cause, codesOf('group', group), times, options, options.against)
  },
)

function compared(
  time: NumberColumn,
  cause: NumberColumn,
  stratum: Codes,
  times: readonly number[],
  options: RiskAtTimesOptions,
  against: string | undefined,
): RiskComparison {
  const { cause: of = 1, ...shared } = options
  const named = Array.from(stratum.codes, (code) => stratum.labels[code]!)
  const comparisons = compareCumulativeIncidence(time, cause, named, times, { ...shared, cause: of, against })
  const count = counter(time, cause, stratum, options)
  const risks = comparisons.map(({ time: at, groups }) => groups.map((one, s) => riskOf(one, count(s, at))))
  const pairs = comparisons[0]?.differences.map((one) => one.comparator) ?? []
  return deepFreeze({
    groups: stratum.labels.map((group, s) => ({ group, risks: risks.map((row) => row[s]!) })),
    differences: pairs.map((pair, d) => ({
      ...pair,
      at: comparisons.map(({ differences }, i) => {
        const riskIn = (group: string): RiskAtTime => risks[i]![stratum.labels.indexOf(group)]!
        return differenceOf(differences[d]!, riskIn(pair.group), riskIn(pair.against))
      }),
    })),
  })
}

interface Counts {
  readonly events: number
  readonly atRisk: number
  readonly clustersAtRisk: number
}

/** Counts events of the cause up to a time, and rows and clusters at risk just before it, in one group. */
export function counter(
  time: NumberColumn,
  cause: NumberColumn,
  stratum: Codes,
  options: RiskAtTimesOptions,
): (group: number, at: number) => Counts {
  const { cause: of = 1, entry } = options
  const cluster = options.cluster === undefined ? undefined : codesOf('cluster', options.cluster).codes
  return (group, at) => {
    const clusters = new Set<number>()
    let events = 0
    let atRisk = 0
    for (let row = 0; row < time.length; row++) {
      if (stratum.codes[row] !== group) continue
      if (cause[row] === of && time[row]! <= at) events += 1
      const entered = entry === undefined || entry[row] === 0 || entry[row]! < at
      if (!entered || time[row]! < at) continue
      atRisk += 1
      clusters.add(cluster?.[row] ?? row)
    }
    return { events, atRisk, clustersAtRisk: clusters.size }
  }
}

/** A risk with its counts; the exact upper limit in the place of an interval where nothing has happened. */
function riskOf(found: IncidenceAtTime, counts: Counts): RiskAtTime {
  const { group: _group, standardError, ...risk } = found
  const base = { ...risk, ...counts, reference: 'risk-at-times' }
  if (typeof risk.estimate !== 'number' || counts.events > 0) {
    return standardError === undefined ? base : { ...base, standardError }
  }
  return {
    ...base,
    interval: limitsOfNone(counts.clustersAtRisk, risk.level),
    method: methodOf('aalen-johansen', 'exact-upper-limit-with-clusters-at-risk-as-n'),
    warnings: [...risk.warnings, noEvents],
  }
}

/** Says that a limit is exact because nothing has been seen. */
export const noEvents: Warning = warning('no-event-by-then')

/** Limits of a risk of which nothing has been seen: 0, and the exact upper limit with the clusters at risk as n. */
export function limitsOfNone(clustersAtRisk: number, level: number): Interval {
  if (clustersAtRisk === 0) return noInterval('no-event-and-nobody-at-risk')
  return { lower: 0, upper: exactUpperOfNone(clustersAtRisk, (1 - level) / 2) }
}

function differenceOf(found: IncidenceContrast, one: RiskAtTime, two: RiskAtTime): RiskDifferenceAtTime {
  const warnings = new Map([...one.warnings, ...two.warnings].map((each) => [each.code, each]))
  const base = {
    ...found,
    events: one.events + two.events,
    warnings: [...warnings.values()],
    reference: 'risk-at-times',
  }
  if (typeof found.estimate !== 'number' || Math.min(one.events, two.events) >= enoughEvents) return base
  const { standardError: _error, ...withoutError } = base
  return {
    ...withoutError,
    interval: hybridInterval(one, two),
    method: methodOf('difference-of-aalen-johansen-risks', 'hybrid-of-the-limits-of-each-group'),
    pValue: notEstimable('fewer-than-five-events'),
  }
}

/** Hybrid limits of a difference from the limits of each group. */
function hybridInterval(one: RiskAtTime, two: RiskAtTime): Interval {
  const numbers = [one.estimate, one.interval.lower, one.interval.upper].concat([
    two.estimate,
    two.interval.lower,
    two.interval.upper,
  ])
  if (!numbers.every((value) => typeof value === 'number')) {
    return noInterval('group-without-interval')
  }
  const [p1, l1, u1, p2, l2, u2] = numbers as [number, number, number, number, number, number]
  const [lower, upper] = hybridDifferenceLimits(p1, [l1, u1], p2, [l2, u2])
  return { lower, upper }
}
