import { daysPerYear } from '../../core/calendar.js'
import { type Contrast, type Interval, isNumber, noInterval, type Quantity } from '../../core/estimate.js'
import { studentTQuantile } from '../../statistics/numeric/distributions.js'
import type { ResamplingOptions } from '../../statistics/resampling.js'
import { doublyRobustComparison } from '../../statistics/weighting/doublyRobust.js'
import { doublyRobustEstimate } from '../../statistics/weighting/doublyRobustEstimate.js'
import type { DoublyRobustColumns } from '../../statistics/weighting/doublyRobustProblem.js'
import { type Compared, subsetCompared } from '../compared.js'
import { absentContrast, type ComparisonVariant, contrastOr, variantOf, withWarnings } from '../variant.js'
import { lateEntryWarning } from './risk.js'
import type { ChoiceModel } from './weighted.js'

/** Patients below which intervals refer to Student's t. */
const fewPatients = 30

interface Prepared {
  readonly compared: Compared
  readonly columns: DoublyRobustColumns
  readonly late: number
}

/** Restorations observed from delivery on: the weights for censoring know no late entry. */
function prepared({ adjustment }: ChoiceModel): Prepared | undefined {
  const { compared, covariates } = adjustment
  const { rows } = compared
  const kept = Array.from(rows.row.keys()).filter(
    (i) => rows.entryDays === undefined || rows.entryDays[i] === 0,
  )
  const observed = subsetCompared(compared, kept)
  if (observed === undefined) return undefined
  const taken = Object.fromEntries(
    Object.entries(covariates).map(([key, column]) => [key, kept.map((i) => column[i]!)]),
  ) as DoublyRobustColumns['covariates']
  const varying = Object.fromEntries(
    Object.entries(taken).filter(([, column]) => new Set(Array.from(column as ArrayLike<unknown>)).size > 1),
  ) as DoublyRobustColumns['covariates']
  return {
    compared: observed,
    columns: {
      time: observed.rows.timeDays,
      event: observed.rows.status,
      treated: observed.inGroup,
      covariates: varying,
    },
    late: rows.n - kept.length,
  }
}

/** Share of the restorations compared that were observed only from some time after delivery on. */
export function lateEntryShare({ rows }: Compared): number {
  if (rows.entryDays === undefined || rows.n === 0) return 0
  return rows.entryDays.reduce((sum, days) => sum + (days > 0 ? 1 : 0), 0) / rows.n
}

/** Frame of the doubly robust row of a population. */
function frameOf(model: ChoiceModel, target: 'average' | 'overlap', horizonYears: number) {
  return {
    key: `risk-difference-doubly-robust-${target}`,
    role: 'adjusted',
    scale: 'risk-difference',
    horizonYears,
    population: target,
    adjustedFor: model.adjustment.words,
    assumes: ['alike-given-adjustment', 'model-of-choice-or-outcome', 'losses-alike', 'found-when-it-came'],
  } as const
}

/**
 * Doubly robust differences of risks at a horizon, with the standard error from influences summed over patients, the
 * models taken as known.
 *
 * @param targets default: the populations that have weights
 */
export function doublyRobustVariants(
  model: ChoiceModel,
  horizonYears: number,
  level: number,
  targets: readonly ('average' | 'overlap')[] = populationsOf(model),
): readonly ComparisonVariant[] {
  const ready = prepared(model)
  return targets.map((target) => {
    const frame = frameOf(model, target, horizonYears)
    if (ready === undefined) return { ...frame, contrast: noneObserved(model, level) }
    return variantOf(frame, ready.compared, level, () =>
      influenceContrast(model, ready, target, horizonYears, level),
    )
  })
}

/** Populations that have weights. */
export function populationsOf({ weighting }: ChoiceModel): readonly ('average' | 'overlap')[] {
  return weighting.average === undefined ? ['overlap'] : ['average', 'overlap']
}

/**
 * The doubly robust difference of the leading population with weights for losses that depend on what came before the
 * choice, in place of losses that are alike within each group.
 */
export function censoringWeightVariants(
  model: ChoiceModel,
  horizonYears: number,
  level: number,
): readonly ComparisonVariant[] {
  const ready = prepared(model)
  if (ready === undefined) return []
  const target = model.weighting.leading
  const { assumes, ...frame } = frameOf(model, target, horizonYears)
  return [
    variantOf(
      {
        ...frame,
        key: 'censoring-weights',
        role: 'sensitivity',
        assumes: assumes.map((one) => (one === 'losses-alike' ? 'losses-alike-given-adjustment' : one)),
      },
      ready.compared,
      level,
      () => influenceContrast(model, ready, target, horizonYears, level, ready.columns.covariates),
    ),
  ]
}

function influenceContrast(
  model: ChoiceModel,
  { compared, columns, late }: Prepared,
  target: 'average' | 'overlap',
  horizonYears: number,
  level: number,
  censoringCovariates?: DoublyRobustColumns['covariates'],
): Contrast {
  const answer = doublyRobustEstimate(columns, horizonYears * daysPerYear, {
    target,
    cluster: compared.rows.patient,
    ...(censoringCovariates === undefined ? {} : { censoringCovariates }),
  })
  const { difference, influenceStandardError: error } = answer
  return withWarnings(
    {
      estimate: difference,
      interval: symmetric(difference, error, answer.clusters, level),
      level,
      method: `${answer.method}, influences summed over patients`,
      ...(isNumber(error) ? { standardError: { value: error, scale: 'probability' } } : {}),
      n: answer.n,
      events: answer.events,
      clusters: answer.clusters,
      warnings: answer.warnings,
      reference: answer.reference,
      comparator: compared.names,
    },
    [...model.adjustment.warnings, ...lateEntryWarning(late)],
  )
}

function symmetric(estimate: Quantity, error: Quantity, clusters: number, level: number): Interval {
  if (!isNumber(estimate)) return { lower: estimate, upper: estimate }
  if (!isNumber(error) || !(error > 0)) return noInterval('there is no standard error')
  const freedom = clusters < fewPatients ? clusters - 1 : Number.POSITIVE_INFINITY
  const reach = studentTQuantile((1 + level) / 2, freedom) * error
  return { lower: estimate - reach, upper: estimate + reach }
}

/** The doubly robust difference of one population with percentile limits of the patient bootstrap. */
export async function bootstrappedDoublyRobust(
  model: ChoiceModel,
  target: 'average' | 'overlap',
  horizonYears: number,
  level: number,
  resampling: ResamplingOptions,
): Promise<ComparisonVariant> {
  const frame = frameOf(model, target, horizonYears)
  const ready = prepared(model)
  if (ready === undefined) return { ...frame, contrast: noneObserved(model, level) }
  const { compared, columns, late } = ready
  let found: Contrast | undefined
  let failure: unknown
  try {
    const answer = await doublyRobustComparison(columns, horizonYears * daysPerYear, {
      target,
      cluster: compared.rows.patient,
      level,
      resampling,
    })
    found = withWarnings(answer.difference, [...model.adjustment.warnings, ...lateEntryWarning(late)])
  } catch (thrown) {
    failure = thrown
  }
  return {
    ...frame,
    contrast: contrastOr(compared, level, () => {
      if (found !== undefined) return found
      throw failure
    }),
  }
}

function noneObserved({ adjustment }: ChoiceModel, level: number): Contrast {
  return absentContrast(
    adjustment.compared,
    level,
    'one group has no restoration that was observed from delivery on',
  )
}
