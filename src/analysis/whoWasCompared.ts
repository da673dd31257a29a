import type { GroupAttrition } from '../cohort/attritionByGroup.js'
import type { Cohort } from '../cohort/cohort.js'
import { textCovariate } from '../cohort/covariates.js'
import type { Quantity } from '../core/estimate.js'
import { deepFreeze } from '../core/plain.js'
import type { BalanceRow } from '../statistics/weighting/balance.js'
import type { Adjustment } from './adjustment.js'
import { columnWords } from './adjustmentFields.js'
import { type Compared, countEvents } from './compared.js'
import { type OverlapCell, overlapCells, sharedShare } from './overlap.js'
import type { Choice, ChoiceModel } from './variants/weighted.js'

export type { GroupAttrition } from '../cohort/attritionByGroup.js'
export type { BalanceRow, BalanceSide } from '../statistics/weighting/balance.js'
export type { OverlapCell } from './overlap.js'

/** A count in the group asked about, and in the comparator. */
export interface PairOfCounts {
  readonly group: number
  readonly against: number
}

/** What the weights of one group come to. */
export interface WeightSummary {
  readonly largest: number
  readonly effectiveSize: Quantity
}

/** Answer to "who was compared with whom". */
export interface WhoWasCompared {
  readonly restorations: PairOfCounts
  readonly patients: PairOfCounts
  readonly events: PairOfCounts
  /** Patients with restorations of both groups. */
  readonly patientsWithBoth: number
  /** From the records to the cohort, by exposure group of the delivery day, "unknown" among them. */
  readonly attrition: readonly GroupAttrition[]
  /** How the groups came about, most frequent reason first. */
  readonly reasons: readonly (PairOfCounts & { readonly reason: string })[]
  readonly byClinic: readonly (PairOfCounts & { readonly clinic: string })[]
  readonly byYear: readonly (PairOfCounts & { readonly year: number })[]
  readonly cells: readonly OverlapCell[]
  /** Share of restorations in cells of clinic, operator and year that hold both protocols. */
  readonly overlapShare: number
  /** Least share for an adjusted estimate to lead. */
  readonly leastOverlap: number
  /** Standardised differences before and after weighting; absent where the choice could not be modelled. */
  readonly balance?: {
    readonly population: 'average' | 'overlap'
    /** Why that population's weights are shown. */
    readonly reason: string
    /** One row for each number and each level of a category, with its name in words. */
    readonly rows: readonly (BalanceRow & { readonly words: string })[]
    readonly largestBefore: Quantity
    readonly largestAfter: Quantity
    readonly group: WeightSummary
    readonly against: WeightSummary
    /** Probability that a restoration of the group scores higher than one of the comparator. */
    readonly concordance: Quantity
    /** Share of restorations whose score no restoration of the other group comes near. */
    readonly outsideCommonRange: number
  }
  /** Why the choice could not be modelled, where it could not. */
  readonly choiceNotModelled?: string
  /** Events for each coefficient of the adjusted hazard ratio; absent where it could not be adjusted. */
  readonly eventsPerCoefficient?: { readonly events: number; readonly coefficients: number }
  /** What was to be adjusted for and was not. */
  readonly leftOut: Adjustment['leftOut']
}

/** Least share of restorations in shared cells for an adjusted estimate to lead. */
export const leastOverlap = 0.5

/** Describes the two groups: where they came from, where they overlap, and how alike they are. */
export function whoWasCompared(
  cohort: Cohort,
  compared: Compared,
  choice: Choice,
  hazard: Adjustment | undefined,
): WhoWasCompared {
  const { rows, inGroup } = compared
  const isGroup = new Set(Array.from(rows.row).filter((_row, i) => inGroup[i] === 1))
  const cells = overlapCells(cohort, rows.row, (row) => isGroup.has(row))
  const modelled = 'weighting' in choice
  return deepFreeze({
    ...sizes(compared),
    attrition: cohort.attritionByGroup(),
    reasons: counted(textCovariate(cohort, 'tightening_reason'), compared)
      .sort((left, right) => right.group + right.against - left.group - left.against)
      .map(({ name, ...counts }) => ({ reason: name, ...counts })),
    byClinic: tallied(cells, (cell) => cell.clinic).map(({ name, ...counts }) => ({
      clinic: name,
      ...counts,
    })),
    byYear: tallied(cells, (cell) => String(cell.year)).map(({ name, ...counts }) => ({
      year: Number(name),
      ...counts,
    })),
    cells,
    overlapShare: sharedShare(cells),
    leastOverlap,
    ...(modelled ? { balance: balanceOf(choice) } : { choiceNotModelled: choice.reason }),
    ...(hazard === undefined
      ? {}
      : {
          eventsPerCoefficient: {
            events: countEvents(hazard.compared),
            coefficients: hazard.coefficients + 1,
          },
        }),
    leftOut: modelled ? choice.adjustment.leftOut : (hazard?.leftOut ?? []),
  })
}

function sizes({ rows, inGroup }: Compared) {
  const patients = [new Set<number>(), new Set<number>()] as const
  const counts = { restorations: [0, 0], events: [0, 0] }
  for (let i = 0; i < rows.n; i++) {
    const group = inGroup[i]!
    counts.restorations[group]! += 1
    counts.events[group]! += rows.event[i]!
    patients[group === 1 ? 1 : 0].add(rows.patient[i]!)
  }
  const pair = ([against, group]: readonly number[]) => ({ group: group!, against: against! })
  return {
    restorations: pair(counts.restorations),
    events: pair(counts.events),
    patients: { group: patients[1].size, against: patients[0].size },
    patientsWithBoth: [...patients[1]].filter((patient) => patients[0].has(patient)).length,
  }
}

function counted(
  values: readonly (string | undefined)[],
  { rows, inGroup }: Compared,
): (PairOfCounts & { readonly name: string })[] {
  const counts = new Map<string, { group: number; against: number }>()
  rows.row.forEach((row, i) => {
    const name = values[row] ?? 'unknown'
    const own = counts.get(name) ?? { group: 0, against: 0 }
    if (inGroup[i] === 1) own.group += 1
    else own.against += 1
    counts.set(name, own)
  })
  return byName(counts)
}

function tallied(
  cells: readonly OverlapCell[],
  nameOf: (cell: OverlapCell) => string,
): (PairOfCounts & { readonly name: string })[] {
  const counts = new Map<string, { group: number; against: number }>()
  for (const cell of cells) {
    const own = counts.get(nameOf(cell)) ?? { group: 0, against: 0 }
    counts.set(nameOf(cell), { group: own.group + cell.group, against: own.against + cell.against })
  }
  return byName(counts)
}

function byName(counts: ReadonlyMap<string, PairOfCounts>): (PairOfCounts & { readonly name: string })[] {
  return [...counts]
    .sort(([left], [right]) => (left < right ? -1 : 1))
    .map(([name, { group, against }]) => ({ name, group, against }))
}

function balanceOf({ weighting }: ChoiceModel): NonNullable<WhoWasCompared['balance']> {
  const { leading, reason, scores, positivity } = weighting
  const { weights, balance } = leading === 'average' ? weighting.average! : weighting.overlap
  const summary = ({ largest, effectiveSize }: WeightSummary): WeightSummary => ({ largest, effectiveSize })
  return {
    population: leading,
    reason,
    rows: balance.rows.map((row) => ({ ...row, words: columnWords(row.name) })),
    largestBefore: balance.largestBefore,
    largestAfter: balance.largestAfter,
    group: summary(weights.treated),
    against: summary(weights.untreated),
    concordance: scores.concordance,
    outsideCommonRange: positivity.outsideShare,
  }
}
