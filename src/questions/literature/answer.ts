import type { Cohort } from '../../cohort/cohort.js'
import { daysPerYear } from '../../core/calendar.js'
import { type Interval, noInterval } from '../../core/estimate.js'
import { type RiskAtTime, risksAt } from '../../statistics/curves/riskAtTimes.js'
import { answered } from '../answered.js'
import { type AnalysisSettings, defaultSettings } from '../plan/settings.js'
import { cohortRows } from '../rows/cohortRows.js'
import { type PublishedFigure, publishedFigures } from './publishedFigures.js'

/** A published figure as the report shows it. */
export interface ShownFigure extends Omit<PublishedFigure, 'lower' | 'upper' | 'journal'> {
  /** Authors and year, journal. */
  readonly source: string
  /** As printed; tagged where the source prints none. */
  readonly interval: Interval
}

/** The audit's own risk at one horizon with the published ones for the same horizon. */
export interface LiteratureHorizon {
  readonly years: number
  readonly own: RiskAtTime
  readonly thin: boolean
  readonly published: readonly ShownFigure[]
}

/** Answer to "how do we lie against the literature"; intervals side by side, and no test. */
export interface LiteratureResult {
  readonly kind: 'literature'
  readonly horizons: readonly LiteratureHorizon[]
  /** Published shares over unequal follow-up, which no horizon matches. */
  readonly withoutHorizon: readonly ShownFigure[]
  readonly leastAtRisk: number
  readonly level: number
}

/**
 * Sets the audit's own risk beside published figures at the same time after delivery. Definitions, eras and ways of
 * looking differ, so that nothing is tested and no verdict given.
 *
 * @param cohort restorations with time at risk
 * @param settings level, least number at risk; default `defaultSettings`
 * @returns undefined where the cohort is not of single crowns alone, or nothing is published on its endpoint
 * @example literature(cohort).horizons.map(({ years }) => years) // => [3,5]
 */
export function literature(
  cohort: Cohort,
  settings: AnalysisSettings = defaultSettings,
): LiteratureResult | undefined {
  const { endpoint, restorationTypes } = cohort.definition
  if (restorationTypes.some((type) => type !== 'single_crown')) return undefined
  const figures = publishedFigures.filter((one) => one.endpoint === endpoint)
  if (figures.length === 0) return undefined
  const years = [...new Set(figures.flatMap(({ horizonYears = 0 }) => horizonYears))]
    .filter((one) => one > 0)
    .sort((left, right) => left - right)
  const rows = cohortRows(cohort)
  const risks = risksAt(
    rows.timeDays,
    rows.status,
    years.map((one) => one * daysPerYear),
    { entry: rows.entryDays, cluster: rows.patient, level: settings.level },
  )
  return answered(cohort, settings, {
    kind: 'literature' as const,
    horizons: years.map((one, index) => ({
      years: one,
      own: risks[index]!,
      thin: risks[index]!.atRisk < settings.leastAtRisk,
      published: figures.filter(({ horizonYears }) => horizonYears === one).map(shown),
    })),
    withoutHorizon: figures.filter(({ horizonYears }) => horizonYears === undefined).map(shown),
    leastAtRisk: settings.leastAtRisk,
    level: settings.level,
  })
}

function shown({ lower, upper, journal, ...figure }: PublishedFigure): ShownFigure {
  return {
    ...figure,
    source: `${figure.paper}, ${journal}`,
    interval: lower === undefined || upper === undefined ? noInterval('none-printed') : { lower, upper },
  }
}
