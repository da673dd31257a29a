import type { Cohort } from '../../cohort/cohort.js'
import { restorationStatus } from '../../cohort/selection.js'
import { daysPerYear } from '../../core/calendar.js'
import { studentTQuantile } from '../../statistics/numeric/distributions.js'
import { eValue } from '../../statistics/sensitivity/eValue.js'
import {
  riskAt,
  type TimedColumns,
  type TimeOrder,
  timeOrder,
  weightedCurve,
} from '../../statistics/weighting/overlapRisks.js'
import type { ChoiceDesigns, ComparedRows } from './choice.js'
import type { Confounder } from './confounders.js'
import type { Outcome, OverlapEstimate, Ranged } from './estimate.js'

/**
 * What a reader should know beside the comparison, and what never speaks against it: how often each group was looked at,
 * and how strong something unmeasured would have to be.
 */

/** How often the groups were looked at while at risk. */
export interface VisitsByGroup {
  /** Looks for each restoration-year. */
  readonly group: number
  readonly against: number
  /** Group less comparator, patients kept together. */
  readonly difference: Ranged
}

/** How strong something unmeasured would have to be, beside the strongest of what was measured. */
export interface UnmeasuredConfounding {
  /** Risk ratio by the horizon, from the weighted risks of both groups. */
  readonly riskRatio: number
  /**
   * E-value of the ratio, and of its limit nearer to 1. The limit is that of the difference with the comparator's risk held
   * fast, so that it excludes 1 exactly where the one interval excludes zero.
   */
  readonly eValue: number
  readonly eValueOfLimit: number
  readonly strongest?: MeasuredConfounder
}

/** How strongly something measured goes with the choice and with the outcome. */
export interface MeasuredConfounder {
  readonly key: string
  /** Ratio of its prevalences in the groups, and of the risks with and without it, both turned above 1. */
  readonly withChoice: number
  readonly withOutcome: number
  /** The most by which it could move a risk ratio: ab / (a + b − 1). */
  readonly bound: number
}

/**
 * Looks for each restoration-year up to the last clean look: one over the mean gap between looks. The look that found
 * something is left out, since a loose screw brings many patients by itself.
 */
export function visitsByGroup(
  cohort: Cohort,
  { row, inGroup, patient, patients }: ComparedRows,
  level: number,
): VisitsByGroup | undefined {
  const { first, days, look } = cohort.seenDays()
  const looks = new Float64Array(row.length)
  const years = new Float64Array(row.length)
  const sums = [0, 1].map(() => ({ looks: 0, years: 0 }))
  row.forEach((at, i) => {
    const found = cohort.status[at] === restorationStatus.endpoint
    const end = cohort.timeDays[at]!
    let last = cohort.entryDays[at]!
    for (let k = first[at]!; k < first[at + 1]!; k++) {
      const day = days[k]!
      if (look[k] !== 1 || day <= cohort.entryDays[at]! || day > end || (found && day === end)) continue
      looks[i]! += 1
      last = day
    }
    years[i] = (last - cohort.entryDays[at]!) / daysPerYear
    sums[inGroup[i]!]!.looks += looks[i]!
    sums[inGroup[i]!]!.years += years[i]!
  })
  if (sums.some((one) => !(one.years > 0))) return undefined
  const rates = sums.map((one) => one.looks / one.years)
  const influence = new Float64Array(patients)
  for (let i = 0; i < row.length; i++) {
    const arm = inGroup[i]!
    const own = (looks[i]! - rates[arm]! * years[i]!) / sums[arm]!.years
    influence[patient[i]!]! += arm === 1 ? own : -own
  }
  let variance = 0
  for (const one of influence) variance += one * one
  const estimate = rates[1]! - rates[0]!
  const half = -studentTQuantile((1 - level) / 2, Math.max(1, patients - 2)) * Math.sqrt(variance)
  return {
    group: rates[1]!,
    against: rates[0]!,
    difference: { estimate, lower: estimate - half, upper: estimate + half },
  }
}

/** E-value by VanderWeele and Ding (2017), beside the strongest of what is allowed for. */
export function unmeasuredConfounding(
  designs: ChoiceDesigns,
  outcome: Outcome,
  lead: OverlapEstimate,
  horizonDays: number,
): UnmeasuredConfounding | undefined {
  const [group, against] = [lead.group.estimate, lead.against.estimate]
  if (!(group > 0) || !(against > 0)) return undefined
  const { lower, upper } = lead.difference
  // The limit nearer to zero; none where the interval holds it.
  const nearest = Math.max(0, lower) + Math.min(0, upper)
  const strongest = strongestMeasured(designs, outcome, horizonDays)
  return {
    riskRatio: group / against,
    eValue: eValue(group / against).eValue,
    eValueOfLimit: eValue((against + nearest) / against).eValue,
    ...(strongest === undefined ? {} : { strongest }),
  }
}

/** Fewest restorations of each group, and fewest events, with and without a trait for its ratios to be given. */
const enough = { restorations: 10, events: 5 } as const

function strongestMeasured(
  designs: ChoiceDesigns,
  outcome: Outcome,
  horizonDays: number,
): MeasuredConfounder | undefined {
  const { entered, operator } = designs
  const all: readonly Pick<Confounder, 'key' | 'kind' | 'numbers' | 'texts'>[] = [
    { key: 'operator', kind: 'category', numbers: new Float64Array(0), texts: operator },
    ...entered,
  ]
  const columns = { time: outcome.timeDays, status: outcome.status, entry: outcome.entryDays }
  const order = timeOrder(columns)
  const found = all.flatMap((one) =>
    traitsOf(one).flatMap(
      (trait) => measuredRatios(one.key, trait, designs.compared, columns, order, horizonDays) ?? [],
    ),
  )
  return found.reduce<MeasuredConfounder | undefined>(
    (most, one) => (most === undefined || one.bound > most.bound ? one : most),
    undefined,
  )
}

/** Each level against the rest, a number above its median against the rest: 1, 0, and −1 where unknown. */
function traitsOf({
  kind,
  numbers,
  texts,
}: Pick<Confounder, 'kind' | 'numbers' | 'texts'>): readonly Int8Array[] {
  if (kind === 'number') {
    const known = numbers.filter((one) => !Number.isNaN(one)).sort()
    const middle = known[known.length >> 1]
    return middle === undefined
      ? []
      : [Int8Array.from(numbers, (one) => (Number.isNaN(one) ? -1 : one >= middle ? 1 : 0))]
  }
  const levels = [...new Set(texts)].filter((one) => one !== '')
  return levels.map((level) => Int8Array.from(texts, (one) => (one === '' ? -1 : one === level ? 1 : 0)))
}

function measuredRatios(
  key: string,
  trait: Int8Array,
  { inGroup }: ComparedRows,
  columns: TimedColumns,
  order: TimeOrder,
  horizonDays: number,
): MeasuredConfounder | undefined {
  const rows = [0, 1].map(() => [0, 0])
  const events = [0, 0]
  trait.forEach((has, i) => {
    if (has < 0) return
    rows[inGroup[i]!]![has]! += 1
    if (columns.status[i] === 1 && columns.time[i]! <= horizonDays) events[has]! += 1
  })
  if (rows.flat().some((n) => n < enough.restorations) || events.some((n) => n < enough.events))
    return undefined
  const one = new Float64Array(trait.length).fill(1)
  const risks = [0, 1].map((has) =>
    riskAt(
      weightedCurve(columns, one, (i) => trait[i] === has, order),
      horizonDays,
    ),
  )
  const shares = rows.map(([without, having]) => having! / (without! + having!))
  const above = (ratio: number): number => (ratio < 1 ? 1 / ratio : ratio)
  const withChoice = Math.max(above(shares[1]! / shares[0]!), above((1 - shares[1]!) / (1 - shares[0]!)))
  const withOutcome = above(risks[1]! / risks[0]!)
  if (!Number.isFinite(withChoice) || !Number.isFinite(withOutcome)) return undefined
  return { key, withChoice, withOutcome, bound: (withChoice * withOutcome) / (withChoice + withOutcome - 1) }
}
