import { nelsonAalenByGroup } from '../../statistics/curves/cumulativeHazard.js'
import { lifeTableFromCounts } from '../../statistics/curves/lifeTable.js'
import { compareRestrictedMeans } from '../../statistics/curves/restrictedMean.js'
import { kaplanMeierByGroup, type SurvivalCurve, type SurvivalRow } from '../../statistics/curves/survival.js'
import { survivalAt } from '../../statistics/curves/survivalAt.js'
import type { IntervalScale } from '../../statistics/curves/survivalInterval.js'
import { survivalQuantiles } from '../../statistics/curves/survivalQuantiles.js'
import type { ReferenceCase, ReferenceMethod } from '../referenceCase.js'
import { type SurvivalColumns, survivalColumns } from './columnRoles.js'

const scales: readonly IntervalScale[] = ['plain', 'log', 'log-log', 'arcsin', 'logit']
/** The reference software reads limits that rise again at the value nearest to the level. */
const asReferenceReads = { risingLimits: 'nearest-value' } as const

const unlimited = { state: 'unbounded', direction: 'above' } as const

interface CaseData extends SurvivalColumns {
  readonly level: number
  readonly labels: readonly string[] | Float64Array
}

function caseData(reference: ReferenceCase): CaseData {
  const columns = survivalColumns(reference)
  const level = typeof reference.options.conf === 'number' ? reference.options.conf : 0.95
  return { ...columns, level, labels: columns.group ?? columns.time.map(() => 1) }
}

/** Curves of every group, with a name such as sex=1. */
function curvesOf(
  data: CaseData,
  interval: IntervalScale,
  variance: 'greenwood' | 'robust' = 'greenwood',
  clustered = false,
): readonly SurvivalCurve[] {
  return kaplanMeierByGroup(data.time, data.event, data.labels, {
    entry: data.entry,
    weights: data.weights,
    cluster: clustered ? data.cluster : undefined,
    level: data.level,
    interval,
    variance,
    fewClusters: 'normal',
  })
}

function hazardsOf(data: CaseData, robust: boolean, clustered: boolean, oneByOne = false) {
  return nelsonAalenByGroup(data.time, data.event, data.labels, {
    entry: data.entry,
    weights: data.weights,
    cluster: clustered ? data.cluster : undefined,
    level: data.level,
    variance: robust ? 'robust' : 'aalen',
    ties: oneByOne ? 'one-by-one' : 'together',
    fewClusters: 'normal',
  })
}

/** Steps at which somebody left; the leading step at time 0 is the toolkit's own. */
function steps<T extends { readonly events: number; readonly censored: number }>(
  rows: readonly T[],
): readonly T[] {
  return rows.filter((row) => row.events + row.censored > 0)
}

function limitsOf(curve: SurvivalCurve): Record<string, unknown> {
  const rows = steps(curve.rows)
  return { lower: rows.map((row) => row.lower), upper: rows.map((row) => row.upper) }
}

function quantilesOf(curve: SurvivalCurve): Record<string, unknown> {
  const quantiles = survivalQuantiles(curve, [0.25, 0.5, 0.75], asReferenceReads)
  return {
    p: quantiles.map((one) => one.probability),
    time: quantiles.map((one) => one.estimate),
    lower: quantiles.map((one) => one.interval.lower),
    upper: quantiles.map((one) => one.interval.upper),
  }
}

function ofSurvival(row: SurvivalRow): unknown {
  return row.survival > 0 && typeof row.standardError === 'number'
    ? row.standardError / row.survival
    : unlimited
}

/** Everything that a case may expect of one group. */
function groupValues(data: CaseData, at: number): Record<string, unknown> {
  const byScale = Object.fromEntries(scales.map((scale) => [scale, curvesOf(data, scale)[at]!]))
  const curve = byScale.log!
  const rows = steps(curve.rows)
  const hazard = steps(hazardsOf(data, false, false)[at]!.rows)
  return {
    time: rows.map((row) => row.time),
    n_risk: rows.map((row) => row.atRisk),
    n_event: rows.map((row) => row.events),
    n_censor: rows.map((row) => row.censored),
    surv: rows.map((row) => row.survival),
    std_err_log: rows.map(ofSurvival),
    se_surv: rows.map((row) => row.standardError),
    cumhaz: hazard.map((row) => row.cumulativeHazard),
    std_chaz: hazard.map((row) => row.standardError),
    ...limitsOf(curve),
    ci: Object.fromEntries(scales.map((scale) => [scale, limitsOf(byScale[scale]!)])),
    quantiles: Object.fromEntries(scales.map((scale) => [scale, quantilesOf(byScale[scale]!)])),
    ...(data.cluster === undefined ? {} : clusterValues(data, at, rows)),
  }
}

function clusterValues(
  data: CaseData,
  at: number,
  greenwood: readonly SurvivalRow[],
): Record<string, unknown> {
  const robust = curvesOf(data, 'log', 'robust', true)[at]!
  const { lower, upper } = limitsOf(robust)
  return {
    se_S_cluster_ij: steps(robust.rows).map((row) => row.standardError),
    se_S_greenwood: greenwood.map((row) => row.standardError),
    lower_log: lower,
    upper_log: upper,
    std_chaz_cluster: steps(hazardsOf(data, true, true)[at]!.rows).map((row) => row.standardError),
  }
}

/** Weighted curve: counts in the Greenwood formula, and the robust errors by row and by cluster. */
function weightedValues(data: CaseData): Record<string, unknown> {
  const errors = (clustered: boolean): unknown[] =>
    steps(curvesOf(data, 'log', 'robust', clustered)[0]!.rows).map((row) => row.standardError)
  const hazardErrors = (clustered: boolean): unknown[] =>
    steps(hazardsOf(data, true, clustered)[0]!.rows).map((row) => row.standardError)
  return {
    greenwood: groupValues(data, 0),
    se_S_robust: errors(false),
    se_S_cluster: errors(true),
    std_chaz_robust: hazardErrors(false),
    std_chaz_cluster: hazardErrors(true),
  }
}

/** The reference reports the risk set of the first exit at or after a time. */
function riskSetFrom(curve: SurvivalCurve, time: number): number {
  return curve.rows.find((row) => row.time >= time)?.atRisk ?? 0
}

/** Curves read at chosen times, with medians; groups in the order in which they first occur, and sorted. */
function valuesAtTimes(data: CaseData, times: readonly number[], sorted: boolean): Record<string, unknown> {
  const curves = curvesOf(data, 'log-log')
  const order = sorted ? curves.map((curve) => curve.group) : [...new Set(Array.from(data.labels, String))]
  const inOrder = order.map((label) => curves.find((curve) => curve.group === label)!)
  const read = inOrder.map((curve) =>
    survivalAt(curve, times, { beyondFollowUp: 'carried-forward', beforeEvents: 'curve' }),
  )
  const medians = inOrder.map((curve) => survivalQuantiles(curve, [0.5], asReferenceReads)[0]!)
  return {
    groups: order,
    strata: order.map((label) => `${data.groupName}=${label}`),
    surv: read.map((points) => points.map((point) => point.survival)),
    se: read.map((points) => points.map((point) => point.standardError)),
    n_risk: inOrder.map((curve) => times.map((time) => riskSetFrom(curve, time))),
    loglog_lower: read.map((points) => points.map((point) => point.interval.lower)),
    loglog_upper: read.map((points) => points.map((point) => point.interval.upper)),
    median: medians.map((median) => median.estimate),
    median_lower: medians.map((median) => median.interval.lower),
    median_upper: medians.map((median) => median.interval.upper),
  }
}

/** "drop exit<=816, entry=max(entry,816)": the curve among those still without the event at a landmark. */
function conditional(data: CaseData, rule: string): CaseData {
  const landmark = Number(/exit\s*<=\s*([\d.]+)/.exec(rule)?.[1])
  const kept = Array.from(data.time.keys()).filter((row) => data.time[row]! > landmark)
  return {
    ...data,
    time: Float64Array.from(kept, (row) => data.time[row]!),
    event: Float64Array.from(kept, (row) => data.event[row]!),
    entry: Float64Array.from(kept, (row) => Math.max(data.entry?.[row] ?? 0, landmark)),
    labels: kept.map((row) => String(data.labels[row])),
  }
}

function productLimit(reference: ReferenceCase): unknown {
  const data = caseData(reference)
  const { times, rule } = reference.options
  const chosen = typeof rule === 'string' ? conditional(data, rule) : data
  if (Array.isArray(times)) return valuesAtTimes(chosen, times.map(Number), typeof rule === 'string')
  if (data.weights !== undefined && data.groupName === undefined) return weightedValues(data)
  const names = curvesOf(data, 'log').map((curve) => `${data.groupName}=${curve.group}`)
  const byGroup = Object.fromEntries(names.map((name, at) => [name, groupValues(data, at)]))
  return { ...byGroup, groups: byGroup }
}

function cumulativeHazard(reference: ReferenceCase): unknown {
  const data = caseData(reference)
  const oneByOne = String(reference.options.ties ?? '').includes('one by one')
  const curves = hazardsOf(data, false, false, oneByOne)
  return Object.fromEntries(
    curves.map((curve) => {
      const rows = steps(curve.rows)
      return [
        `${data.groupName}=${curve.group}`,
        {
          time: rows.map((row) => row.time),
          n_risk: rows.map((row) => row.atRisk),
          n_event: rows.map((row) => row.events),
          n_censor: rows.map((row) => row.censored),
          surv: rows.map((row) => row.survival),
          std_err_log: rows.map((row) => row.standardError),
          se_surv: rows.map((row) => row.survival * row.standardError),
          lower: rows.map((row) => row.survivalLower),
          upper: rows.map((row) => row.survivalUpper),
          cumhaz: rows.map((row) => row.cumulativeHazard),
          std_chaz: rows.map((row) => row.standardError),
        },
      ]
    }),
  )
}

/** "sex2 minus sex1" takes the group of that name or number as comparator; otherwise the first in sorted order. */
function comparatorOf(data: CaseData, contrast: unknown): string | undefined {
  const after = / minus (.+)$/.exec(String(contrast ?? ''))?.[1]?.trim()
  const labels = [...new Set(Array.from(data.labels, String))]
  return after === undefined
    ? undefined
    : labels.find(
        (label) =>
          after === label || after === `${data.groupName}${label}` || after === `${data.groupName}=${label}`,
      )
}

function restrictedMean(reference: ReferenceCase): unknown {
  const data = caseData(reference)
  const horizons = Array.isArray(reference.options.tau) ? reference.options.tau.map(Number) : []
  const values = horizons.map((tau) => {
    const result = compareRestrictedMeans(data.time, data.event, data.labels, {
      entry: data.entry,
      weights: data.weights,
      variance: 'greenwood',
      level: data.level,
      against: comparatorOf(data, reference.options.contrast),
      beyondFollowUp: 'carried-forward',
      tau,
    })
    const difference = result.differences[0]
    const ratio = result.ratios[0]
    const groups = result.groups.flatMap((one) => {
      const summary = { rmst: one.estimate, se: one.standardError?.value }
      return [
        [one.group, summary],
        [`${data.groupName}=${one.group}`, summary],
      ]
    })
    return {
      tau,
      groups: Object.fromEntries(groups),
      difference: difference?.estimate,
      se: difference?.standardError?.value,
      ci: difference === undefined ? undefined : [difference.interval.lower, difference.interval.upper],
      p: difference?.pValue,
      ratio: ratio?.estimate,
      ratio_ci: ratio === undefined ? undefined : [ratio.interval.lower, ratio.interval.upper],
    }
  })
  return Object.fromEntries(
    values.flatMap((value) => [
      [`A${value.tau}`, value],
      [`tau${value.tau}`, value],
    ]),
  )
}

function lifeTable(reference: ReferenceCase): unknown {
  const column = (name: string): number[] => (reference.data[name] as number[] | undefined) ?? []
  const starts = column('interval_start')
  const lost = column('lost')
  const alive = column('withdrawn_alive')
  const other = column('withdrawn')
  const withdrawn = starts.map((_start, i) => (lost[i] ?? 0) + (alive[i] ?? 0) + (other[i] ?? 0))
  const { rows } = lifeTableFromCounts(starts, column('n_alive_at_start'), column('deaths'), withdrawn)
  return {
    effective_n: rows.map((row) => row.effective),
    q: rows.map((row) => row.eventProbability),
    p: rows.map((row) => row.survivalInInterval),
    cum_surv_end_of_interval: rows.map((row) => row.survivalAtEnd),
    se_greenwood: rows.map((row) => row.standardError),
  }
}

/** Kinds of kaplan_meier.json. */
export const kaplanMeierMethods: Readonly<Record<string, ReferenceMethod>> = {
  product_limit: productLimit,
  cumulative_hazard: cumulativeHazard,
  restricted_mean: restrictedMean,
  life_table: lifeTable,
}
