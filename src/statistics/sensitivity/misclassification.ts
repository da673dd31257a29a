import { type Interval, noInterval, notEstimable, type Quantity } from '../../core/estimate.js'
import { type MethodName, methodOf } from '../../core/method.js'
import { checked } from '../kernel/checked.js'
import { requireLevel } from '../numeric/columns.js'
import { normalQuantile } from '../numeric/distributions.js'
import { type Accuracy, type OutcomeTable, requireTable } from './misclassificationTable.js'

/** Which item is misclassified: the endpoint, or the exposure. */
export type MisclassifiedItem = 'endpoint' | 'exposure'

/** A measure of association with its interval. */
export interface CorrectedMeasure {
  readonly estimate: Quantity
  readonly interval: Interval
}

/** Association as it would be without the misclassification. */
export interface CorrectedAssociation {
  /** Cells that the accuracies imply; they need not be whole. */
  readonly corrected: OutcomeTable | undefined
  readonly riskRatio: CorrectedMeasure
  readonly riskDifference: CorrectedMeasure
  readonly oddsRatio: CorrectedMeasure
  readonly level: number
  readonly method: MethodName
  readonly reference: string
}

/** Options of a correction with fixed accuracies. */
export interface MisclassificationOptions {
  /** Default 'endpoint'. */
  readonly item?: MisclassifiedItem
  /** Confidence level; default 0.95. */
  readonly level?: number
}

/**
 * Corrects an association for an endpoint or exposure recorded with error, with fixed accuracies (Greenland 1996;
 * Fox, MacLehose and Lash 2021): counts recorded are counts true, mixed by sensitivity and specificity, and the
 * mixture is undone. Intervals take the accuracies as known and the recorded counts as binomial (delta method).
 *
 * For the endpoint the first accuracy holds in the exposed and the second in the unexposed; for the exposure the first
 * holds in those with the event and the second in those without. Accuracies that cannot have given the table leave a
 * tagged state.
 *
 * @param table counts as recorded
 * @param first accuracy in the exposed (endpoint) or in cases (exposure)
 * @param second accuracy in the others; the same as first for non-differential error
 * @param options item 'endpoint'; level 0.95
 * @throws NumericalError `counts-not-usable`, `share-out-of-range`, `level-out-of-range`
 * @example correctedForMisclassification({ events1: 20, total1: 100, events0: 10, total0: 100 }, { sensitivity: 0.8, specificity: 1 }, { sensitivity: 0.8, specificity: 1 }).riskDifference.estimate // => 0.125
 */
export const correctedForMisclassification = checked(
  'correctedForMisclassification',
  (
    table: OutcomeTable,
    first: Accuracy,
    second: Accuracy,
    options: MisclassificationOptions = {},
  ): CorrectedAssociation => {
    const { item = 'endpoint', level = 0.95 } = options
    requireLevel(level)
    requireTable(table, [first, second])
    const corrected = correctedTable(table, first, second, item)
    const shape = {
      corrected: corrected === undefined ? undefined : Object.freeze(corrected),
      level,
      method: methodOf(`misclassified-${item}`, 'fixed-accuracies'),
      reference: 'misclassification',
    }
    if (corrected === undefined) {
      const reason = 'accuracies-impossible'
      const none = Object.freeze({ estimate: notEstimable(reason), interval: noInterval(reason) })
      return Object.freeze({ ...shape, riskRatio: none, riskDifference: none, oddsRatio: none })
    }
    const measured = (measure: Measure): CorrectedMeasure =>
      measuredWithSpread(table, first, second, item, measure, normalQuantile((1 + level) / 2))
    return Object.freeze({
      ...shape,
      riskRatio: measured('log-risk-ratio'),
      riskDifference: measured('risk-difference'),
      oddsRatio: measured('log-odds-ratio'),
    })
  },
)

/** Measures as they are averaged: ratios as logarithms. */
export type Measure = 'log-risk-ratio' | 'risk-difference' | 'log-odds-ratio'

/** The cells behind the recorded ones, or undefined where no true cells could have given them. */
export function correctedTable(
  table: OutcomeTable,
  first: Accuracy,
  second: Accuracy,
  item: MisclassifiedItem,
): OutcomeTable | undefined {
  const { events1, total1, events0, total0 } = table
  if (item === 'endpoint') {
    const x1 = trueCount(events1, total1, first)
    const x0 = trueCount(events0, total0, second)
    if (x1 === undefined || x0 === undefined) return undefined
    return { events1: x1, total1, events0: x0, total0 }
  }
  const cases = events1 + events0
  const others = total1 + total0 - cases
  const exposedCases = trueCount(events1, cases, first)
  const exposedOthers = trueCount(total1 - events1, others, second)
  if (exposedCases === undefined || exposedOthers === undefined) return undefined
  return {
    events1: exposedCases,
    total1: exposedCases + exposedOthers,
    events0: cases - exposedCases,
    total0: cases - exposedCases + others - exposedOthers,
  }
}

/** A measure of a table; not finite where a cell is empty. */
export function measureOf({ events1, total1, events0, total0 }: OutcomeTable, measure: Measure): number {
  const [p1, p0] = [events1 / total1, events0 / total0]
  if (measure === 'risk-difference') return p1 - p0
  if (measure === 'log-risk-ratio') return Math.log(p1 / p0)
  return Math.log((p1 * (1 - p0)) / (p0 * (1 - p1)))
}

/**
 * Standard error of a corrected measure by the delta method over the two binomial shares that were recorded: of
 * events in each group, or of exposure in cases and others.
 */
export function correctedError(
  table: OutcomeTable,
  first: Accuracy,
  second: Accuracy,
  item: MisclassifiedItem,
  measure: Measure,
): number {
  const corrected = correctedTable(table, first, second, item)
  if (corrected === undefined) return Number.NaN
  const [a, b] = recordedShares(table, item)
  const [gainA, gainB] = [1 / youden(first), 1 / youden(second)]
  const [slopeA, slopeB] = slopes(corrected, item, measure)
  const variance =
    (slopeA * gainA) ** 2 * ((a.share * (1 - a.share)) / a.n) +
    (slopeB * gainB) ** 2 * ((b.share * (1 - b.share)) / b.n)
  return Math.sqrt(variance)
}

interface Share {
  readonly share: number
  readonly n: number
}

function recordedShares(table: OutcomeTable, item: MisclassifiedItem): readonly [Share, Share] {
  const { events1, total1, events0, total0 } = table
  if (item === 'endpoint') {
    return [
      { share: events1 / total1, n: total1 },
      { share: events0 / total0, n: total0 },
    ]
  }
  const cases = events1 + events0
  const others = total1 + total0 - cases
  return [
    { share: cases === 0 ? 0 : events1 / cases, n: Math.max(1, cases) },
    { share: others === 0 ? 0 : (total1 - events1) / others, n: Math.max(1, others) },
  ]
}

/** Derivatives of a measure by the two true shares. */
function slopes(table: OutcomeTable, item: MisclassifiedItem, measure: Measure): readonly [number, number] {
  const { events1, total1, events0, total0 } = table
  const [p1, p0] = [events1 / total1, events0 / total0]
  const by1 = { 'risk-difference': 1, 'log-risk-ratio': 1 / p1, 'log-odds-ratio': 1 / (p1 * (1 - p1)) }[
    measure
  ]
  const by0 = { 'risk-difference': -1, 'log-risk-ratio': -1 / p0, 'log-odds-ratio': -1 / (p0 * (1 - p0)) }[
    measure
  ]
  if (item === 'endpoint') return [by1, by0]
  const cases = events1 + events0
  const others = total1 + total0 - cases
  // Moving one case from unexposed to exposed, and likewise one without the event.
  const perCase = by1 * ((1 - p1) / total1) - by0 * ((1 - p0) / total0)
  const perOther = by1 * (-p1 / total1) - by0 * (-p0 / total0)
  return [perCase * cases, perOther * others]
}

function measuredWithSpread(
  table: OutcomeTable,
  first: Accuracy,
  second: Accuracy,
  item: MisclassifiedItem,
  measure: Measure,
  z: number,
): CorrectedMeasure {
  const corrected = correctedTable(table, first, second, item)
  const value = corrected === undefined ? Number.NaN : measureOf(corrected, measure)
  if (!Number.isFinite(value)) {
    const reason = 'corrected-group-without-events'
    return Object.freeze({ estimate: notEstimable(reason), interval: noInterval(reason) })
  }
  const reach = z * correctedError(table, first, second, item, measure)
  const back = measure === 'risk-difference' ? (x: number) => x : Math.exp
  return Object.freeze({
    estimate: back(value),
    interval: Object.freeze({ lower: back(value - reach), upper: back(value + reach) }),
  })
}

/** True yes answers behind those recorded among n, or undefined where the accuracies cannot have given them. */
function trueCount(recorded: number, n: number, accuracy: Accuracy): number | undefined {
  const margin = youden(accuracy)
  if (!(margin > 0)) return undefined
  const count = (recorded - (1 - accuracy.specificity) * n) / margin
  const slack = 1e-9 * Math.max(1, n)
  if (count < -slack || count > n + slack) return undefined
  return Math.min(Math.max(count, 0), n)
}

function youden({ sensitivity, specificity }: Accuracy): number {
  return sensitivity + specificity - 1
}
