import type { Cohort } from '../../cohort/cohort.js'
import { arches, type Region, regions } from '../../cohort/covariates.js'
import type { EndpointName } from '../../cohort/definition.js'
import { NumericalError } from '../../core/errors.js'
import {
  type Contrast,
  isNumber,
  type NotEstimable,
  noInterval,
  refusedBy,
  type Warning,
  warning,
} from '../../core/estimate.js'
import { methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { coxRegression } from '../../statistics/hazardModels/cox.js'
import { firthCoxRegression } from '../../statistics/hazardModels/firth.js'
import { type HorizonRisk, horizonRisks } from '../incidence/answer.js'
import { type AdjustmentKey, defaultPlan } from '../plan/planFile.js'
import { type AnalysisSettings, defaultSettings } from '../plan/settings.js'
import { cohortRows, countPatients, countStatus, timesAtRisk } from '../rows/cohortRows.js'
import type { LeftOutReason } from '../rows/knownInEnough.js'
import { type Factor, type FactorColumns, type FactorContrast, factorColumns } from './factorColumns.js'

/**
 * One line of the table of what else matters: a level against the commonest one (of the handling: a single tightening),
 * or so much more of a number.
 */
export interface FactorRatio {
  /** `handling`, or a key of what may be adjusted for. */
  readonly key: string
  readonly contrast: FactorContrast
  /** Restorations and events at that level; absent for a number. */
  readonly restorations?: number
  readonly events?: number
  /** Hazard ratio by itself. */
  readonly alone: Contrast
  /** Hazard ratio with all other factors held alike, within clinics. */
  readonly adjusted: Contrast
}

/** How often the endpoint happened at one place in the mouth. */
export interface SiteRisk {
  readonly arch: 'upper' | 'lower'
  readonly region: Region
  readonly restorations: number
  readonly patients: number
  readonly events: number
  readonly risk: HorizonRisk
}

/** Answer to "what else goes with loosening, and where". */
export interface WhatElseMatters {
  readonly kind: 'whatElseMatters'
  readonly endpoint: EndpointName
  readonly factors: readonly FactorRatio[]
  /** Factors asked about that are not in the model, with the reason. */
  readonly leftOut: readonly {
    readonly key: string
    readonly reason: LeftOutReason
  }[]
  /** Whether clinics are compared within themselves only. */
  readonly withinClinics: boolean
  /** Whether the estimates are penalised, since ordinary ones ran away. */
  readonly penalised: boolean
  readonly coefficients: number
  /** Restorations with every value known, and the events among them. */
  readonly restorations: number
  readonly events: number
  /** Restorations left out for want of a value. */
  readonly incomplete: number
  /** Sites with the highest risk first; those with few at risk last. */
  readonly sites: readonly SiteRisk[]
  readonly horizonYears: number
  readonly level: number
  readonly warnings: readonly Warning[]
}

/** Factors and horizon of the question. */
export interface WhatElseOptions {
  /** Most important first; what the events do not bear is left out from the end. Default: the list of the plan. */
  readonly factors?: readonly AdjustmentKey[]
  /** Horizon of the risk by site in years; default that of the plan's primary contrast, 3. */
  readonly horizonYears?: number
}

/**
 * What else goes with the endpoint: hazard ratios of the handling on the day of delivery and of the factors, each by
 * itself and with all others held alike (Cox regression within clinics, patient-robust; penalised where that runs
 * away), at most one coefficient for every five events; and the risk by site in the mouth. All restorations count,
 * whatever their handling. Ratios here are associations: a model that is fair to one factor need not be to another.
 *
 * @param cohort restorations with time at risk; never written to
 * @param options factors (default those of the plan), horizonYears (default 3)
 * @param settings level, least number at risk, plan; default `defaultSettings`
 * @returns without factors where no event or no factor that varies bears one
 *
 * Sources: Cox (1972); Lin and Wei (1989); Firth (1993); five events for each coefficient: Vittinghoff and McCulloch
 * (2007).
 * @example whatElseMatters(cohort).factors.length // => 13
 */
export function whatElseMatters(
  cohort: Cohort,
  options: WhatElseOptions = {},
  settings: AnalysisSettings = defaultSettings,
): WhatElseMatters {
  const plan = settings.plan ?? defaultPlan
  const { factors = plan.adjustFor, horizonYears = plan.primary.horizonYears } = options
  const columns = factorColumns(cohort, factors)
  const { ratios, penalised } = adjustedRatios(columns, settings.level)
  return deepFreeze({
    kind: 'whatElseMatters' as const,
    endpoint: cohort.definition.endpoint,
    factors: columns.factors.flatMap((factor) => rowsOf(factor, columns, ratios, settings.level)),
    leftOut: columns.leftOut,
    withinClinics: columns.strata !== undefined,
    penalised,
    coefficients: columns.coefficients,
    restorations: columns.rows.n,
    events: countStatus(columns.rows, 1),
    incomplete: cohort.n - columns.rows.n,
    sites: siteRisks(cohort, horizonYears, settings),
    horizonYears,
    level: settings.level,
    warnings: warningsOf(columns, cohort.n),
  })
}

function rowsOf(
  factor: Factor,
  columns: FactorColumns,
  ratios: ReadonlyMap<string, Contrast>,
  level: number,
): readonly FactorRatio[] {
  const alone = ratioAlone(factor, columns, level)
  return factor.lines.map(({ name, contrast, rows }) => ({
    key: factor.key,
    contrast,
    ...(rows === undefined
      ? {}
      : { restorations: rows.length, events: rows.reduce((sum, i) => sum + columns.rows.event[i]!, 0) }),
    alone: alone.get(name)!,
    adjusted: ratios.get(name)!,
  }))
}

function warningsOf(columns: FactorColumns, all: number): readonly Warning[] {
  const missing = all - columns.rows.n
  return missing === 0 ? [] : [warning('incomplete-rows-of-model', { left: missing, restorations: all })]
}

const regionOrder: readonly Region[] = ['anterior', 'premolar', 'molar']

function siteRisks(cohort: Cohort, horizonYears: number, settings: AnalysisSettings): readonly SiteRisk[] {
  const [archAt, regionAt] = [arches(cohort), regions(cohort)]
  const names = (['upper', 'lower'] as const).flatMap((arch) =>
    regionOrder.map((region) => ({ arch, region })),
  )
  const sites = names.flatMap(({ arch, region }): SiteRisk[] => {
    const rows = cohortRows(cohort, (row) => regionAt[row] === region && archAt[row] === arch)
    if (rows.n === 0) return []
    return [
      {
        arch,
        region,
        restorations: rows.n,
        patients: countPatients(rows),
        events: countStatus(rows, 1),
        risk: horizonRisks(cohort, rows, { ...settings, horizonsYears: [horizonYears] })[0]!,
      },
    ]
  })
  const height = ({ risk }: SiteRisk): number =>
    risk.thin || !isNumber(risk.risk.estimate) ? -1 : risk.risk.estimate
  return sites.sort((left, right) => height(right) - height(left))
}

type RatioByName = ReadonlyMap<string, Contrast>

/** Hazard ratios of all factors together, by the name of the coefficient; penalised where ordinary ones ran away. */
function adjustedRatios(
  columns: FactorColumns,
  level: number,
): { readonly ratios: RatioByName; readonly penalised: boolean } {
  const lines = columns.factors.flatMap(({ lines }) => lines)
  if (lines.length === 0) return { ratios: new Map(), penalised: false }
  const covariates = Object.assign({}, ...columns.factors.map(enteredColumns)) as Record<string, Float64Array>
  const ordinary = fitted(columns, covariates, level, columns.strata)
  if ([...ordinary.values()].every(({ estimate }) => isNumber(estimate))) {
    return { ratios: ordinary, penalised: false }
  }
  const penalised = penalisedFit(columns, covariates, level)
  return penalised === undefined
    ? { ratios: ordinary, penalised: false }
    : { ratios: penalised, penalised: true }
}

/** Hazard ratios of one factor by itself. */
function ratioAlone(factor: Factor, columns: FactorColumns, level: number): RatioByName {
  return fitted(columns, enteredColumns(factor), level, undefined)
}

function enteredColumns(factor: Factor): Record<string, Float64Array> {
  return Object.fromEntries(factor.lines.map(({ name }) => [name, factor.columns[name]!]))
}

function fitted(
  columns: FactorColumns,
  covariates: Readonly<Record<string, Float64Array>>,
  level: number,
  strata: readonly string[] | undefined,
): RatioByName {
  try {
    const fit = coxRegression(timesAtRisk(columns.rows), covariates, {
      cluster: columns.rows.patient,
      level,
      ...(strata === undefined ? {} : { strata }),
    })
    return new Map(fit.hazardRatios.map((ratio) => [ratio.name, ratio]))
  } catch (thrown) {
    if (!(thrown instanceof NumericalError)) throw thrown
    return absent(columns, Object.keys(covariates), level, refusedBy(thrown))
  }
}

function penalisedFit(
  columns: FactorColumns,
  covariates: Readonly<Record<string, Float64Array>>,
  level: number,
): RatioByName | undefined {
  try {
    const fit = firthCoxRegression(timesAtRisk(columns.rows), covariates, {
      cluster: columns.rows.patient,
      level,
      ...(columns.strata === undefined ? {} : { strata: columns.strata }),
    })
    return new Map(fit.hazardRatios.map((ratio) => [ratio.name, ratio]))
  } catch (thrown) {
    if (thrown instanceof NumericalError) return undefined
    throw thrown
  }
}

function absent(
  columns: FactorColumns,
  names: readonly string[],
  level: number,
  reason: NotEstimable,
): RatioByName {
  const { rows } = columns
  return new Map(
    names.map((name) => [
      name,
      {
        estimate: reason,
        interval: noInterval(reason),
        level,
        method: methodOf('cox-regression'),
        n: rows.n,
        events: countStatus(rows, 1),
        clusters: countPatients(rows),
        warnings: [],
        reference: 'patient-robust-cox',
        comparator: { group: name, against: 'baseline' },
      },
    ]),
  )
}
