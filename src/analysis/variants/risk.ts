import { restorationStatus } from '../../cohort/selection.js'
import { daysPerYear } from '../../core/calendar.js'
import { type Contrast, type Quantity, warning } from '../../core/estimate.js'
import { clusteredRateRatio } from '../../statistics/clusteredRateRatio.js'
import { fineGrayRegression } from '../../statistics/regression/fineGray.js'
import { compareRestrictedMeans } from '../../statistics/restrictedMean.js'
import { compareRisksAt } from '../../statistics/riskAtTimes.js'
import { compareTimeLost } from '../../statistics/timeLost.js'
import { type Compared, groupLabels, subsetCompared } from '../compared.js'
import { type ComparisonVariant, variantOf, withWarnings } from '../variant.js'

/** Crude difference of risks at one horizon. */
export interface CrudeDifference {
  readonly years: number
  readonly difference: Contrast
  /** Risk in the group, and in the comparator. */
  readonly risk: Quantity
  readonly riskAgainst: Quantity
  /** Restorations still at risk just before the horizon, in the group and in the comparator. */
  readonly atRisk: readonly [number, number]
  /** Endpoints up to the horizon, in the group and in the comparator. */
  readonly events: readonly [number, number]
}

/** Crude differences of risks at horizons, competing events allowed for, variance over patients. */
export function crudeDifferences(
  compared: Compared,
  horizonsYears: readonly number[],
  level: number,
): readonly CrudeDifference[] {
  const { rows, names } = compared
  const comparison = compareRisksAt(
    rows.timeDays,
    rows.status,
    groupLabels(compared),
    horizonsYears.map((years) => years * daysPerYear),
    { entry: rows.entryDays, cluster: rows.patient, level, against: names.against },
  )
  const risksOf = (group: string) => comparison.groups.find((one) => one.group === group)!.risks
  const [risks, against] = [risksOf(names.group), risksOf(names.against)]
  return horizonsYears.map((years, i) => ({
    years,
    difference: comparison.differences[0]!.at[i]!,
    risk: risks[i]!.estimate,
    riskAgainst: against[i]!.estimate,
    atRisk: [risks[i]!.atRisk, against[i]!.atRisk],
    events: [risks[i]!.events, against[i]!.events],
  }))
}

/** Crude difference of risks as a row of the table. */
export function crudeRiskVariant(compared: Compared, horizonYears: number, level: number): ComparisonVariant {
  return variantOf(
    {
      key: 'risk-difference-crude',
      role: 'crude',
      scale: 'risk-difference',
      horizonYears,
      population: 'compared',
      adjustedFor: [],
      assumes: ['groups-alike', 'losses-alike', 'found-when-it-came'],
    },
    compared,
    level,
    () => crudeDifferences(compared, [horizonYears], level)[0]!.difference,
  )
}

/** Crude ratio of rates over all of follow-up. */
export function rateRatioVariant(compared: Compared, level: number): ComparisonVariant {
  const { rows, inGroup, names } = compared
  return variantOf(
    {
      key: 'rate-ratio-crude',
      role: 'secondary',
      scale: 'rate-ratio',
      population: 'compared',
      adjustedFor: [],
      assumes: ['groups-alike', 'constant-rate', 'losses-alike', 'found-when-it-came'],
    },
    compared,
    level,
    () =>
      clusteredRateRatio(rows.event, rows.yearsAtRisk, inGroup, rows.patient, { level, comparator: names }),
  )
}

/**
 * Difference of restricted means up to τ, in days: of time free of the endpoint; where competing events occur, of time
 * lost to the endpoint, since nobody stays free of everything.
 */
export function restrictedMeanVariant(
  compared: Compared,
  tauYears: number,
  level: number,
  weighting?: {
    readonly weights: ArrayLike<number>
    readonly frame: Pick<ComparisonVariant, 'key' | 'adjustedFor' | 'assumes' | 'population' | 'role'>
  },
): ComparisonVariant {
  const { rows, names } = compared
  const competing = rows.status.includes(restorationStatus.competing)
  const options = {
    entry: rows.entryDays,
    cluster: rows.patient,
    level,
    against: names.against,
    ...(weighting === undefined ? {} : { weights: weighting.weights }),
  }
  const tau = tauYears * daysPerYear
  return variantOf(
    {
      key: 'restricted-mean-crude',
      role: 'secondary',
      population: 'compared',
      adjustedFor: [],
      assumes: ['groups-alike', 'losses-alike', 'found-when-it-came'],
      ...weighting?.frame,
      scale: competing ? 'time-lost-difference' : 'restricted-mean-difference',
      horizonYears: tauYears,
    },
    compared,
    level,
    () =>
      competing
        ? compareTimeLost(rows.timeDays, rows.status, groupLabels(compared), tau, options).differences[0]!
        : compareRestrictedMeans(rows.timeDays, rows.event, groupLabels(compared), { ...options, tau })
            .differences[0]!,
  )
}

/** Longest of the horizons, at most the one planned, up to which enough are at risk in each group. */
export function longestHorizon(
  compared: Compared,
  plannedYears: number,
  horizonsYears: readonly number[],
  leastAtRisk: number,
): number | undefined {
  const { rows, inGroup } = compared
  const candidates = [plannedYears, ...[...horizonsYears].filter((years) => years < plannedYears)].sort(
    (left, right) => right - left,
  )
  return candidates.find((years) =>
    [0, 1].every((group) => {
      let atRisk = 0
      for (let i = 0; i < rows.n; i++) {
        if (inGroup[i] === group && rows.timeYears[i]! >= years) atRisk += 1
      }
      return atRisk >= leastAtRisk
    }),
  )
}

/** Subdistribution hazard ratio; only where competing events occur, since it is the hazard ratio otherwise. */
export function subdistributionVariant(compared: Compared, level: number): ComparisonVariant | undefined {
  if (!compared.rows.status.includes(restorationStatus.competing)) return undefined
  const { rows } = compared
  const kept = Array.from(rows.row.keys()).filter(
    (i) => rows.entryDays === undefined || rows.entryDays[i] === 0,
  )
  const observed = subsetCompared(compared, kept)
  if (observed === undefined) return undefined
  const late = rows.n - kept.length
  return variantOf(
    {
      key: 'subdistribution-hazard-ratio-crude',
      role: 'secondary',
      scale: 'subdistribution-hazard-ratio',
      population: 'compared',
      adjustedFor: [],
      assumes: ['groups-alike', 'proportional-hazards', 'losses-alike', 'found-when-it-came'],
    },
    observed,
    level,
    () => {
      const fit = fineGrayRegression(
        observed.rows.timeDays,
        observed.rows.status,
        { tightening: observed.inGroup },
        { cluster: observed.rows.patient, level },
      )
      const [one] = fit.coefficients
      return withWarnings(
        {
          estimate: one!.ratio,
          interval: one!.ratioInterval,
          level,
          method: fit.method,
          ...(typeof one!.standardError === 'number'
            ? { standardError: { value: one!.standardError, scale: 'log subdistribution hazard ratio' } }
            : {}),
          n: fit.n,
          events: fit.events,
          clusters: fit.clusters,
          warnings: fit.warnings,
          reference: fit.reference,
          comparator: observed.names,
        },
        lateEntryWarning(late),
      )
    },
  )
}

/** Says how many were left out for having been observed only from some time after delivery on. */
export function lateEntryWarning(late: number) {
  if (late === 0) return []
  return [
    warning(
      'late-entry-left-out',
      `${late} restorations that were observed only from some time after delivery on are left out of this estimate.`,
    ),
  ]
}
