import type { Cohort } from '../cohort/cohort.js'
import { restorationStatus } from '../cohort/selection.js'
import { daysPerYear } from '../core/calendar.js'
import type { Estimate } from '../core/estimate.js'
import { deepFreeze } from '../core/plain.js'
import { type ClusteredEstimate, clusteredProportion } from '../statistics/clusteredProportion.js'
import { type ClusteredRate, clusteredRate } from '../statistics/clusteredRate.js'
import { compensatedSum } from '../statistics/numeric/columns.js'
import { risksAt } from '../statistics/riskAtTimes.js'
import {
  type CohortRows,
  cohortRows,
  countPatients,
  countStatus,
  presentGroups,
  rowsOfGroup,
} from './cohortRows.js'
import { medianFollowUp } from './followUp.js'
import { type AnalysisSettings, defaultSettings } from './settings.js'

/** Cumulative incidence at one horizon. */
export interface HorizonRisk {
  readonly years: number
  /** Share of restorations with the endpoint by the horizon, competing events allowed for. */
  readonly risk: Estimate
  /** Restorations still at risk just before the horizon. */
  readonly atRisk: number
  /** Fewer than the least number at risk: printed, flagged. */
  readonly thin: boolean
}

/** How often the endpoint happened in one group. */
export interface GroupIncidence {
  /** "all", or the name of an exposure group. */
  readonly group: string
  readonly restorations: number
  readonly patients: number
  readonly events: number
  readonly competingEvents: number
  readonly restorationYears: number
  /** Median follow-up in years by the reverse product-limit method. */
  readonly medianFollowUpYears: Estimate
  /** Share with the endpoint, whatever the follow-up. */
  readonly proportion: ClusteredEstimate
  /** Endpoints per 100 restoration-years. */
  readonly ratePer100Years: ClusteredRate
  readonly horizons: readonly HorizonRisk[]
}

/** Answer to "how often do mine loosen". */
export interface IncidenceResult {
  readonly overall: GroupIncidence
  readonly byGroup: readonly GroupIncidence[]
  readonly level: number
}

/**
 * How often the endpoint happened: share, rate per 100 restoration-years and cumulative incidence at the horizons, in
 * all restorations and by exposure group, each with an interval that allows for several restorations in one patient.
 *
 * @param cohort restorations with time at risk
 * @param settings level, horizons, least number at risk; default `defaultSettings`
 */
export function incidence(cohort: Cohort, settings: AnalysisSettings = defaultSettings): IncidenceResult {
  const groups = presentGroups(cohort)
  return deepFreeze({
    overall: groupIncidence('all', cohortRows(cohort), settings),
    byGroup: groups.map((group) => groupIncidence(group, rowsOfGroup(cohort, group), settings)),
    level: settings.level,
  })
}

/** How often the endpoint happened in some restorations. */
export function groupIncidence(group: string, rows: CohortRows, settings: AnalysisSettings): GroupIncidence {
  const { level } = settings
  return {
    group,
    restorations: rows.n,
    patients: countPatients(rows),
    events: countStatus(rows, restorationStatus.endpoint),
    competingEvents: countStatus(rows, restorationStatus.competing),
    restorationYears: compensatedSum(rows.yearsAtRisk),
    medianFollowUpYears: medianFollowUp(rows, level),
    proportion: clusteredProportion(rows.event, rows.patient, { level }),
    ratePer100Years: clusteredRate(rows.event, rows.yearsAtRisk, rows.patient, { level, per: 100 }),
    horizons: horizonRisks(rows, settings),
  }
}

function horizonRisks(rows: CohortRows, settings: AnalysisSettings): readonly HorizonRisk[] {
  const { level, horizonsYears, leastAtRisk } = settings
  const times = horizonsYears.map((years) => years * daysPerYear)
  const risks = risksAt(rows.timeDays, rows.status, times, {
    entry: rows.entryDays,
    cluster: rows.patient,
    level,
  })
  return risks.map((risk, i) => ({
    years: horizonsYears[i]!,
    risk,
    atRisk: risk.atRisk,
    thin: risk.atRisk < leastAtRisk,
  }))
}
