import { median } from 'simple-statistics'
import type { Cohort } from '../../cohort/cohort.js'
import { labelsTogether } from '../../cohort/covariates.js'
import { exposureGroups } from '../../cohort/definition.js'
import { latestDeliveryDay } from '../../cohort/deliveryDay.js'
import type { SeenDays } from '../../cohort/seenDays.js'
import { restorationStatus } from '../../cohort/selection.js'
import { HoldfastError } from '../../core/errors.js'
import { isNumber } from '../../core/estimate.js'
import { coxRegression } from '../../statistics/hazardModels/cox.js'
import { normalUpperTail } from '../../statistics/numeric/distributions.js'
import type { TimedColumns } from '../../statistics/weighting/overlapRisks.js'
import type { Choice, ComparedRows } from './choice.js'
import { type Outcome, type OverlapEstimate, overlapEstimate, type Rewritten } from './estimate.js'
import { pronenessOf } from './proneness.js'

/** Whether the group that came out better was lost to follow-up faster, and what that could hide. */
export interface Loss {
  /** 1 the group asked about has the lower risk, 0 the comparator. */
  readonly favoured: 0 | 1
  readonly lost: { readonly group: number; readonly against: number }
  /** Hazard of being lost, favoured group against the other, within operators; absent where it cannot be had. */
  readonly hazardRatio?: number
  /**
   * One-sided: that the favoured group is lost no faster, each restoration weighing as it was prone to the event. Whoever leaves
   * with the event unseen was more prone to it than most.
   */
  readonly pValue?: number
  /** Share of the losses of the favoured group that are in excess. */
  readonly excessShare: number
  /** The estimate with the excess losses of the favoured group counted as loosened. */
  readonly estimate?: OverlapEstimate
}

/** Unseen for this many of its group's median gaps between visits, a restoration counts as lost. */
const gapsUntilLost = 1.5

/** Days counted between losing sight and the end of what is known: half the smallest step of the records. */
const halfDay = 0.5

interface LossRows {
  readonly time: number[]
  readonly lost: number[]
  readonly favoured: number[]
  readonly operator: string[]
  readonly patient: number[]
  /** How prone to the event, 1 on average. */
  readonly prone: number[]
}

/** Tries whether loss to follow-up could have made the difference. */
export function lossOf(
  cohort: Cohort,
  compared: ComparedRows,
  choice: Choice,
  outcome: Outcome,
  lead: OverlapEstimate,
  horizonDays: number,
  level: number,
): Loss {
  const favoured = lead.difference.estimate <= 0 ? 1 : 0
  const ends = lastDays(cohort)
  const seen = cohort.seenDays()
  const gaps = [0, 1].map((arm) => medianGap(seen, compared, arm))
  const rows: LossRows = { time: [], lost: [], favoured: [], operator: [], patient: [], prone: [] }
  const unknown = cohort.unknownOutcomes()
  const names = [compared.groups.against, compared.groups.group].map((name) =>
    exposureGroups.indexOf(name as (typeof exposureGroups)[number]),
  )
  const left = Int32Array.from(Array(unknown.n).keys()).filter((k) => names.includes(unknown.exposure[k]!))
  const prone = pronenessOf(
    { source: cohort, rows: compared.row },
    {
      events: outcome.status.map((one) => (one === restorationStatus.endpoint ? 1 : 0)),
      days: outcome.timeDays.map((one, i) => one - outcome.entryDays[i]!),
    },
    { source: unknown, rows: left },
    choice.designs.adjustedFor,
  )
  const operators = { followed: operatorsOf(cohort, compared.row), others: operatorsOf(unknown, left) }
  const lostRow = new Uint8Array(compared.row.length)
  const counts = [0, 0]
  compared.row.forEach((row, i) => {
    const arm = compared.inGroup[i]!
    const end = endOf(ends, cohort.clinic.codes[row]!, cohort.deliveryDay[row]!, cohort.deliveryYear[row]!)
    const lastSeen = seen.first[row + 1]! > seen.first[row]! ? seen.days[seen.first[row + 1]! - 1]! : 0
    // What came first ends it: time after a finding, in which nobody counts as lost, would make the group with fewer
    // findings look as if it were lost faster.
    const free = cohort.status[row] === restorationStatus.censored
    const last = free ? Math.max(lastSeen, cohort.timeDays[row]!) : cohort.timeDays[row]!
    const lost = free && end - last > gapsUntilLost * gaps[arm]!
    lostRow[i] = lost ? 1 : 0
    if (lost) counts[arm]! += 1
    enter(
      rows,
      last,
      lost,
      arm === favoured,
      operators.followed[i]!,
      cohort.patient[row]!,
      prone.followed[i]!,
    )
  })
  const never = [0, 0]
  left.forEach((k, at) => {
    const arm = names.indexOf(unknown.exposure[k]!)
    const end = endOf(ends, unknown.clinic.codes[k]!, unknown.deliveryDay[k]!, unknown.deliveryYear[k]!)
    const last = Number.isNaN(unknown.lastContactDays[k]!) ? 0 : unknown.lastContactDays[k]!
    const lost = end - last > gapsUntilLost * gaps[arm]!
    if (lost) {
      never[arm]! += 1
      counts[arm]! += 1
    }
    const label = operators.others[at]!
    enter(rows, last, lost, arm === favoured, label, unknown.patient[k]!, prone.others[at]!)
  })
  const hazard = hazardOfLoss(rows)
  const excessShare = hazard === undefined ? 0 : Math.max(0, 1 - 1 / hazard.ratio)
  const base = { favoured, lost: { group: counts[1]!, against: counts[0]! } } as const
  if (hazard === undefined) return { ...base, excessShare }
  const inArm = lead.restorations[favoured === 1 ? 'group' : 'against'] + never[favoured]!
  const estimate = overlapEstimate(choice, outcome, horizonDays, {
    level,
    rewrite: (columns) => countedAsLoosened(columns, choice, lostRow, favoured, excessShare),
    outright: { arm: favoured, share: (excessShare * never[favoured]!) / Math.max(1, inArm) },
  })
  return {
    ...base,
    hazardRatio: hazard.ratio,
    pValue: hazard.pValue,
    excessShare,
    ...(estimate === undefined ? {} : { estimate }),
  }
}

function enter(
  rows: LossRows,
  last: number,
  lost: boolean,
  favoured: boolean,
  operator: string,
  patient: number,
  prone: number,
): void {
  rows.time.push(Math.max(halfDay, last))
  rows.lost.push(lost ? 1 : 0)
  rows.favoured.push(favoured ? 1 : 0)
  rows.operator.push(operator)
  rows.patient.push(patient)
  rows.prone.push(prone)
}

/** Operator within clinic: two operators of one name in two clinics are two. */
function operatorsOf(
  { clinic, operator }: Pick<Cohort, 'clinic' | 'operator'>,
  rows: Int32Array,
): readonly string[] {
  return labelsTogether([clinic, operator], rows, { between: ' ', unknown: '' })
}

/**
 * Hazard ratio of loss within operators, and the one-sided P value of loss that grows with proneness faster in the favoured
 * group than in the other; undefined where no one was lost.
 */
function hazardOfLoss(rows: LossRows): { readonly ratio: number; readonly pValue: number } | undefined {
  if (!rows.lost.includes(1)) return undefined
  const plain = firstOf(rows, { favoured: rows.favoured })
  if (plain === undefined) return undefined
  const weighted = firstOf(rows, {
    favoured: rows.favoured.map((one, i) => one * rows.prone[i]!),
    prone: rows.prone,
  })
  // Where nothing recorded sets restorations apart, or too little to fit, all are as prone.
  const { logRatio, error } = weighted ?? plain
  return { ratio: Math.exp(plain.logRatio), pValue: normalUpperTail(logRatio / error) }
}

/** First coefficient of a model of the hazard of loss with its patient-robust error. */
function firstOf(
  rows: LossRows,
  covariates: Readonly<Record<string, readonly number[]>>,
): { readonly logRatio: number; readonly error: number } | undefined {
  try {
    const fit = coxRegression({ time: rows.time, event: rows.lost }, covariates, {
      strata: rows.operator,
      cluster: rows.patient,
    })
    const [ratio] = fit.hazardRatios
    if (ratio === undefined) return undefined
    const { logHazardRatio: logRatio, robustStandardError: error } = ratio
    if (!isNumber(logRatio) || error === undefined || !isNumber(error) || !(error > 0)) return undefined
    return { logRatio, error }
  } catch (thrown) {
    if (thrown instanceof HoldfastError) return undefined
    throw thrown
  }
}

/** Lost restorations of the favoured group become two rows: one loosened right after it was last known tight. */
function countedAsLoosened(
  columns: TimedColumns,
  choice: Choice,
  lostRow: Uint8Array,
  favoured: 0 | 1,
  share: number,
): Rewritten {
  const { compared } = choice.designs
  const n = columns.time.length
  const lost = Int32Array.from(choice.kept.keys()).filter(
    (k) => lostRow[choice.kept[k]!] === 1 && compared.inGroup[choice.kept[k]!] === favoured,
  )
  const total = n + lost.length
  const time = new Float64Array(total)
  const status = new Uint8Array(total)
  const entry = columns.entry === undefined ? undefined : new Float64Array(total)
  const weights = new Float64Array(total).fill(1)
  const from = new Int32Array(total)
  for (let i = 0; i < n; i++) {
    time[i] = columns.time[i]!
    status[i] = columns.status[i]!
    if (entry !== undefined) entry[i] = columns.entry![i]!
    weights[i] = columns.weights?.[i] ?? 1
    from[i] = i
  }
  lost.forEach((k, j) => {
    const at = n + j
    time[at] = columns.time[k]! + halfDay
    status[at] = 1
    if (entry !== undefined) entry[at] = columns.entry![k]!
    weights[at] = weights[k]! * share
    weights[k]! *= 1 - share
    from[at] = k
  })
  return { columns: { time, status, entry, weights }, from }
}

/** Last day on which each clinic had contact with anybody, on the calendar. */
function lastDays(cohort: Cohort): ReadonlyMap<number, number> {
  const ends = new Map<number, number>()
  for (let row = 0; row < cohort.n; row++) {
    const delivered = latestDeliveryDay(cohort.deliveryDay[row]!, cohort.deliveryYear[row]!)
    const last = delivered + Math.max(cohort.lastContactDays[row]!, cohort.timeDays[row]!)
    const clinic = cohort.clinic.codes[row]!
    if (last > (ends.get(clinic) ?? Number.NEGATIVE_INFINITY)) ends.set(clinic, last)
  }
  return ends
}

function endOf(ends: ReadonlyMap<number, number>, clinic: number, day: number, year: number): number {
  return (ends.get(clinic) ?? Number.NEGATIVE_INFINITY) - latestDeliveryDay(day, year)
}

/** Median number of days between visits in one group, the first counted from delivery. */
function medianGap(seen: SeenDays, compared: ComparedRows, arm: number): number {
  const gaps: number[] = []
  compared.row.forEach((row, i) => {
    if (compared.inGroup[i] !== arm) return
    let before = 0
    for (let at = seen.first[row]!; at < seen.first[row + 1]!; at++) {
      gaps.push(seen.days[at]! - before)
      before = seen.days[at]!
    }
  })
  return gaps.length === 0 ? Number.POSITIVE_INFINITY : median(gaps)
}
