import { takenCodes, takenIntegers, takenRows } from '../../core/columns.js'
import { isNumber } from '../../core/estimate.js'
import { poolEstimates } from '../../statistics/imputation/rubinsRules.js'
import { studentTQuantile, studentTUpperTail } from '../../statistics/numeric/distributions.js'
import { takenCells } from '../../statistics/numeric/filledCells.js'
import {
  countAtRisk,
  risksOf,
  type TimedColumns,
  timeOrder,
  type WeightedRisks,
} from '../../statistics/weighting/overlapRisks.js'
import type { OverlapScores } from '../../statistics/weighting/overlapScores.js'
import type { AnyChoice } from './choice.js'

/** What happened to each of the rows compared. */
export interface Outcome {
  readonly timeDays: Float64Array
  readonly status: Uint8Array
  readonly entryDays: Float64Array
  /** 0 where a row of the lead has no such outcome; default all 1. */
  readonly present?: Uint8Array
}

/** A number with its interval. */
export interface Ranged {
  readonly estimate: number
  readonly lower: number
  readonly upper: number
}

/** An estimate with what it takes to set others against it. */
export interface OverlapEstimate {
  readonly difference: Ranged
  readonly standardError: number
  readonly degreesOfFreedom: number
  readonly pValue: number
  readonly group: Ranged
  readonly against: Ranged
  readonly restorations: { readonly group: number; readonly against: number }
  /** Rows by the horizon with the event, among those with weight. */
  readonly events: { readonly group: number; readonly against: number }
  readonly patientsWithEvent: number
  readonly atRisk: { readonly group: number; readonly against: number }
  /** For each completed table: the difference, and its influence by patient, scores known and estimated. */
  readonly tables: readonly {
    readonly difference: number
    readonly known: Float64Array
    readonly estimated: Float64Array
  }[]
}

/** Fewest events in a group for its own variance to stand alone. */
const fewEvents = 5

/** Rows of an outcome that some choice of rows holds. */
function columnsOf(choice: AnyChoice, outcome: Outcome): TimedColumns {
  const { kept } = choice
  const entry = takenRows(outcome.entryDays, kept)
  return {
    time: takenRows(outcome.timeDays, kept),
    status: takenCodes(outcome.status, kept),
    entry: entry.some((one) => one > 0) ? entry : undefined,
    weights: outcome.present === undefined ? undefined : takenRows(outcome.present, kept),
  }
}

/** How much of the time at risk's end counts otherwise than it was recorded. */
export interface Rewritten {
  readonly columns: TimedColumns
  /** Position among the kept rows from which each row comes. */
  readonly from: Int32Array
}

/** Options of an estimate. */
export interface EstimateOptions {
  readonly level: number
  /** Changes the columns of the kept rows: more of them, or other weights. */
  readonly rewrite?: (columns: TimedColumns) => Rewritten
  /** Risk added to a group outright, with what is left of its own: share taken, share lost. */
  readonly outright?: { readonly arm: 0 | 1; readonly share: number }
}

/**
 * Difference of the weighted risks by a horizon over all completed tables, with its interval: influences summed over
 * patients, the larger of the variances with scores known and estimated, Rubin's rules over the tables, and Student's t
 * with two degrees of freedom fewer than patients with an event by the horizon.
 *
 * Where a group has fewer than five events its own variance is no smaller than it would be at the risk of both groups
 * together: none seen among few says little, though its influences are all but nought.
 */
export function overlapEstimate(
  choice: AnyChoice,
  outcome: Outcome,
  horizonDays: number,
  options: EstimateOptions,
): OverlapEstimate | undefined {
  const { compared } = choice.designs
  const { kept } = choice
  const plain = columnsOf(choice, outcome)
  const { columns, from } = options.rewrite?.(plain) ?? { columns: plain, from: undefined }
  const source = from === undefined ? kept : takenIntegers(kept, from)
  const inGroup = takenCodes(compared.inGroup, source)
  const patient = takenIntegers(compared.patient, source)
  const order = timeOrder(columns)
  const counts = countsOf(columns, inGroup, patient, horizonDays)
  if (counts.rows[0] === 0 || counts.rows[1] === 0) return undefined
  // One completed table after the other: those of a choice that is not kept are gone before the next is fitted.
  const tables = Array.from(choice.scores, (scores) => {
    const own = from === undefined ? scores : rewritten(scores, from)
    const risks = risksOf(columns, inGroup, own, horizonDays, order)
    return tableOf(risks, own.weight, columns, inGroup, patient, compared.patients, counts.events, options)
  })
  const degreesOfFreedom = Math.max(1, counts.patientsWithEvent - 2)
  const ranged = pooledRange(
    tables.map((one) => one.difference),
    tables.map((one) => one.variance),
    degreesOfFreedom,
    options.level,
  )
  return {
    difference: { estimate: ranged.estimate, lower: ranged.lower, upper: ranged.upper },
    standardError: ranged.standardError,
    degreesOfFreedom: ranged.degreesOfFreedom,
    pValue: ranged.pValue,
    group: armRange(tables, 1, counts, degreesOfFreedom, options.level),
    against: armRange(tables, 0, counts, degreesOfFreedom, options.level),
    restorations: { group: counts.rows[1]!, against: counts.rows[0]! },
    events: { group: counts.events[1]!, against: counts.events[0]! },
    patientsWithEvent: counts.patientsWithEvent,
    atRisk: {
      group: countAtRisk(columns, inGroup, 1, horizonDays),
      against: countAtRisk(columns, inGroup, 0, horizonDays),
    },
    tables: tables.map(({ difference, known, estimated }) => ({ difference, known, estimated })),
  }
}

/** Scores of the rows from which others were made. */
function rewritten(scores: OverlapScores, from: Int32Array): OverlapScores {
  return {
    ...scores,
    score: takenRows(scores.score, from),
    weight: takenRows(scores.weight, from),
    cells: takenCells(scores.cells, from),
  }
}

interface Counts {
  readonly rows: readonly number[]
  readonly events: readonly number[]
  readonly patientsIn: readonly number[]
  readonly patientsWithEvent: number
}

function countsOf(
  { time, status, weights }: TimedColumns,
  inGroup: Uint8Array,
  patient: Int32Array,
  horizon: number,
): Counts {
  const rows = [0, 0]
  const events = [0, 0]
  const patientsIn = [new Set<number>(), new Set<number>()]
  const withEvent = new Set<number>()
  for (let i = 0; i < inGroup.length; i++) {
    if (weights !== undefined && !(weights[i]! > 0)) continue
    const arm = inGroup[i]!
    rows[arm]! += 1
    patientsIn[arm]!.add(patient[i]!)
    if (status[i] !== 1 || time[i]! > horizon) continue
    events[arm]! += 1
    withEvent.add(patient[i]!)
  }
  return {
    rows,
    events,
    patientsIn: patientsIn.map((one) => one.size),
    patientsWithEvent: withEvent.size,
  }
}

interface TableEstimate {
  readonly difference: number
  readonly variance: number
  readonly known: Float64Array
  readonly estimated: Float64Array
  /** Risk and variance by group, comparator first. */
  readonly risks: readonly [number, number]
  readonly variances: readonly [number, number]
}

function tableOf(
  risks: WeightedRisks,
  weight: Float64Array,
  columns: TimedColumns,
  inGroup: Uint8Array,
  patient: Int32Array,
  patients: number,
  events: readonly number[],
  { outright }: EstimateOptions,
): TableEstimate {
  const left = [0, 1].map((arm) => (outright?.arm === arm ? 1 - outright.share : 1))
  const shares = [risks.against, risks.group].map((one, arm) => one * left[arm]! + (1 - left[arm]!))
  const { known, estimated, variances } = patientInfluences(risks, left, inGroup, patient, patients)
  const floors = floorsOf(shares, variances, effectiveSizes(weight, columns, inGroup), events)
  const larger = Math.max(squares(known), squares(estimated))
  const raised = floors.reduce((sum, floor, arm) => sum + Math.max(0, floor - variances[arm]!), 0)
  return {
    difference: shares[1]! - shares[0]!,
    variance: larger + raised,
    known,
    estimated,
    risks: [shares[0]!, shares[1]!],
    variances: [Math.max(variances[0]!, floors[0]!), Math.max(variances[1]!, floors[1]!)],
  }
}

/**
 * Influences on the difference summed over patients, scores known and estimated, and of each group's own risk the larger of
 * the variances with scores known and estimated.
 */
function patientInfluences(
  { influence, ofScoresByGroup: { group, against } }: WeightedRisks,
  left: readonly number[],
  inGroup: Uint8Array,
  patient: Int32Array,
  patients: number,
): { readonly known: Float64Array; readonly estimated: Float64Array; readonly variances: readonly number[] } {
  const known = new Float64Array(patients)
  const estimated = new Float64Array(patients)
  const own = [0, 1].map(() => ({ known: new Float64Array(patients), estimated: new Float64Array(patients) }))
  const [ofAgainst, ofGroup] = [own[0]!, own[1]!]
  const leftAgainst = left[0]!
  const leftGroup = left[1]!
  for (let i = 0; i < inGroup.length; i++) {
    const one = patient[i]!
    const knownGroup = (inGroup[i] === 1 ? influence[i]! : 0) * leftGroup
    const knownAgainst = (inGroup[i] === 0 ? influence[i]! : 0) * leftAgainst
    const groups = ((inGroup[i] === 1 ? influence[i]! : 0) + group[i]!) * leftGroup
    const againsts = ((inGroup[i] === 0 ? influence[i]! : 0) + against[i]!) * leftAgainst
    known[one]! += knownGroup - knownAgainst
    estimated[one]! += groups - againsts
    ofGroup.known[one]! += knownGroup
    ofGroup.estimated[one]! += groups
    ofAgainst.known[one]! += knownAgainst
    ofAgainst.estimated[one]! += againsts
  }
  const variances = own.map((arm) => Math.max(squares(arm.known), squares(arm.estimated)))
  return { known, estimated, variances }
}

function squares(sums: Float64Array): number {
  let all = 0
  for (let i = 0; i < sums.length; i++) all += sums[i]! * sums[i]!
  return all
}

/** Size of each group that unweighted restorations would need for the same precision. */
function effectiveSizes(
  weight: Float64Array,
  { weights }: TimedColumns,
  inGroup: Uint8Array,
): readonly number[] {
  const sums = [0, 0]
  const squared = [0, 0]
  for (let i = 0; i < weight.length; i++) {
    const one = weight[i]! * (weights?.[i] ?? 1)
    sums[inGroup[i]!]! += one
    squared[inGroup[i]!]! += one * one
  }
  return sums.map((sum, arm) => (squared[arm]! > 0 ? sum ** 2 / squared[arm]! : 0))
}

/** Least variance of each group: nothing where it has events enough. */
function floorsOf(
  risks: readonly number[],
  variances: readonly number[],
  sizes: readonly number[],
  events: readonly number[],
): readonly number[] {
  const together = (risks[0]! * sizes[0]! + risks[1]! * sizes[1]!) / (sizes[0]! + sizes[1]!)
  return [0, 1].map((arm) => {
    const other = 1 - arm
    if (events[arm]! >= fewEvents || events[other]! < events[arm]!) return 0
    const spread = risks[other]! * (1 - risks[other]!)
    if (!(spread > 0) || !(sizes[arm]! > 0)) return 0
    return (variances[other]! * (sizes[other]! / sizes[arm]!) * (together * (1 - together))) / spread
  })
}

/** Estimates of all tables as one, with its interval. */
export function pooledRange(
  estimates: readonly number[],
  variances: readonly number[],
  degreesOfFreedom: number,
  level: number,
): Ranged & { readonly standardError: number; readonly degreesOfFreedom: number; readonly pValue: number } {
  const twice = estimates.length === 1
  const pooled = poolEstimates(
    twice ? [estimates[0]!, estimates[0]!] : estimates,
    (twice ? [variances[0]!, variances[0]!] : variances).map(Math.sqrt),
    { completeDegreesOfFreedom: degreesOfFreedom, level },
  )
  const number = (one: typeof pooled.estimate): number => (isNumber(one) ? one : 0)
  const estimate = number(pooled.estimate)
  const standardError = number(pooled.standardError)
  // One table alone has nothing between tables; Barnard and Rubin's rule would still take degrees of freedom away.
  const degrees = twice ? degreesOfFreedom : number(pooled.degreesOfFreedom) || degreesOfFreedom
  const half = -studentTQuantile((1 - level) / 2, degrees) * standardError
  return {
    estimate,
    standardError,
    degreesOfFreedom: degrees,
    lower: Math.max(-1, estimate - half),
    upper: Math.min(1, estimate + half),
    pValue: standardError > 0 ? twoSided(estimate / standardError, degrees) : 1,
  }
}

function twoSided(t: number, degrees: number): number {
  return Math.min(1, 2 * studentTUpperTail(Math.abs(t), degrees))
}

/** Risk of one group with limits that stay between 0 and 1: Student's t on the complementary log-log scale. */
function armRange(
  tables: readonly TableEstimate[],
  arm: 0 | 1,
  counts: Counts,
  degreesOfFreedom: number,
  level: number,
): Ranged {
  const pooled = pooledRange(
    tables.map((one) => one.risks[arm]),
    tables.map((one) => one.variances[arm]),
    degreesOfFreedom,
    level,
  )
  const { estimate, standardError } = pooled
  if (estimate <= 0 || estimate >= 1) {
    // None seen: the exact limit with patients as units.
    const limit = ((1 - level) / 2) ** (1 / Math.max(1, counts.patientsIn[arm]!))
    return estimate <= 0
      ? { estimate: 0, lower: 0, upper: 1 - limit }
      : { estimate: 1, lower: limit, upper: 1 }
  }
  const half =
    (-studentTQuantile((1 - level) / 2, pooled.degreesOfFreedom) * standardError) /
    ((1 - estimate) * -Math.log1p(-estimate))
  const at = (shift: number): number => -Math.expm1(Math.log1p(-estimate) * Math.exp(shift))
  return { estimate, lower: at(-half), upper: at(half) }
}

/** How far another estimate of the same restorations lies from the lead, with the interval of the pair. */
export function pairedShift(lead: OverlapEstimate, other: OverlapEstimate, level: number): Ranged {
  const count = Math.min(lead.tables.length, other.tables.length)
  const differences: number[] = []
  const variances: number[] = []
  for (let m = 0; m < count; m++) {
    const [one, two] = [lead.tables[m]!, other.tables[m]!]
    differences.push(two.difference - one.difference)
    variances.push(
      Math.max(
        squares(two.known.map((value, i) => value - one.known[i]!)),
        squares(two.estimated.map((value, i) => value - one.estimated[i]!)),
      ),
    )
  }
  const degrees = Math.max(1, Math.min(lead.patientsWithEvent, other.patientsWithEvent) - 2)
  const { estimate, lower, upper } = pooledRange(differences, variances, degrees, level)
  return { estimate, lower, upper }
}
