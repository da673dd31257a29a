import type { Cohort } from '../../cohort/cohort.js'
import type { Contrast } from '../../core/estimate.js'
import { coxRegression } from '../../statistics/regression/cox.js'
import { splitAtChange } from '../../statistics/regression/timeDependent.js'
import { type Adjustment, commonLevels } from '../adjustment.js'
import { timesAtRisk } from '../cohortRows.js'
import type { Compared } from '../compared.js'
import { type ComparisonVariant, contrastOr, variantOf } from '../variant.js'
import { hazardRatio } from '../variants/hazard.js'

/** Later tightenings at recall checks, and what they make of the comparison. */
export interface LaterTightenings {
  /** Restorations of both groups that were tightened at a recall check while at risk. */
  readonly restorations: number
  readonly eventsAfter: number
  /**
   * Hazard after a tightening at recall against before it, as an exposure that begins on its day. A screw that was
   * tightened there had just been found tight, others at the same time had not: part of a low ratio is no more than that.
   */
  readonly hazardRatio: Contrast
}

/** The time of each restoration cut at its first tightening at a recall check. */
interface CutTimes {
  readonly times: { readonly start: Float64Array; readonly stop: Float64Array; readonly event: Uint8Array }
  readonly row: Int32Array
  readonly changed: Uint8Array
}

function cutAtLaterTightening(cohort: Cohort, { rows }: Compared): CutTimes {
  const later = cohort.laterTighteningDays()
  const change = Float64Array.from(rows.row, (row) => later[row]!)
  const { start, stop, event, row, changed } = splitAtChange(timesAtRisk(rows), change)
  return { times: { start, stop, event }, row, changed }
}

/** Hazard ratio of the group with later tightenings allowed for as an exposure that begins on its day. */
export function laterTightening(
  cohort: Cohort,
  adjustment: Adjustment,
  level: number,
): { readonly variants: readonly ComparisonVariant[]; readonly later: LaterTightenings } | undefined {
  const { compared, covariates, strata, words } = adjustment
  const cut = cutAtLaterTightening(cohort, compared)
  const restorations = new Set(Array.from(cut.row).filter((_row, i) => cut.changed[i] === 1)).size
  if (restorations === 0) return undefined
  const along = <T>(column: ArrayLike<T>): T[] => Array.from(cut.row, (row) => column[row]!)
  const fitted = (): ReturnType<typeof coxRegression> =>
    coxRegression(
      cut.times,
      {
        tightening: along(compared.inGroup),
        later: Array.from(cut.changed),
        ...(Object.fromEntries(
          Object.entries(covariates).map(([key, column]) => [key, along<number | string>(column)]),
        ) as Adjustment['covariates']),
      },
      {
        clusters: along(compared.rows.patient),
        level,
        ...(strata === undefined ? {} : { strata: along(strata) }),
      },
    )
  const variant = variantOf(
    {
      key: 'later-tightening-allowed-for',
      role: 'sensitivity',
      scale: 'hazard-ratio',
      population: 'compared',
      adjustedFor: [...words, 'later tightening at recall'],
      assumes: ['alike-given-adjustment', 'proportional-hazards', 'losses-alike', 'found-when-it-came'],
    },
    compared,
    level,
    () => ({ ...fitted().hazardRatios[0]!, n: compared.rows.n }),
  )
  const effect = contrastOr(compared, level, () => ({ ...fitted().hazardRatios[1]!, n: compared.rows.n }))
  return {
    variants: [variant],
    later: {
      restorations,
      eventsAfter: cut.changed.reduce((sum, one, i) => sum + (one === 1 ? cut.times.event[i]! : 0), 0),
      hazardRatio: { ...effect, comparator: { group: 'tightened again at recall', against: 'not yet' } },
    },
  }
}

/**
 * A deliberately wrong analysis beside the right one: whoever was tightened again at any time, at delivery or at recall,
 * counted in that group from delivery on. A restoration has to stay tight until recall to be tightened there, and that
 * time, in which nothing could happen, is given to the group.
 */
export function immortalTimeVariants(
  cohort: Cohort,
  compared: Compared,
  level: number,
): readonly ComparisonVariant[] {
  const { rows, inGroup, names } = compared
  const cut = cutAtLaterTightening(cohort, compared)
  const ever = Uint8Array.from(inGroup)
  const from = new Uint8Array(cut.row.length)
  cut.changed.forEach((one, i) => {
    const row = cut.row[i]!
    if (one === 1) ever[row] = 1
    from[i] = one === 1 || inGroup[row] === 1 ? 1 : 0
  })
  if (ever.every((one, i) => one === inGroup[i])) return []
  const frame = { scale: 'hazard-ratio', population: 'compared', adjustedFor: [] } as const
  return [
    variantOf(
      {
        ...frame,
        key: 'immortal-time-wrong',
        role: 'wrong-on-purpose',
        assumes: ['deliberately-wrong', 'proportional-hazards', 'losses-alike', 'found-when-it-came'],
      },
      compared,
      level,
      () => hazardRatio({ rows, inGroup: ever, names }, level),
    ),
    variantOf(
      {
        ...frame,
        key: 'immortal-time-right',
        role: 'sensitivity',
        assumes: ['groups-alike', 'proportional-hazards', 'losses-alike', 'found-when-it-came'],
      },
      compared,
      level,
      () => {
        const patients = Array.from(cut.row, (row) => rows.patient[row]!)
        const fit = coxRegression(cut.times, { tightening: from }, { clusters: patients, level })
        return { ...fit.hazardRatios[0]!, n: rows.n }
      },
    ),
  ]
}

/** The adjusted hazard ratio with years of delivery as categories in place of a straight line. */
export function periodVariants(
  cohort: Cohort,
  adjustment: Adjustment,
  level: number,
): readonly ComparisonVariant[] {
  const { compared, covariates, strata, words } = adjustment
  const years = commonLevels(Array.from(compared.rows.row, (row) => String(cohort.deliveryYear[row]!)))
  if (new Set(years).size < 3) return []
  const { delivery_year: _line, ...others } = covariates
  return [
    variantOf(
      {
        key: 'period-categories',
        role: 'sensitivity',
        scale: 'hazard-ratio',
        population: 'compared',
        adjustedFor: [...words.filter((word) => word !== 'year of delivery'), 'each year of delivery'],
        assumes: ['alike-given-adjustment', 'proportional-hazards', 'losses-alike', 'found-when-it-came'],
      },
      compared,
      level,
      () => hazardRatio(compared, level, { covariates: { ...others, delivery_year: years }, strata }),
    ),
  ]
}
