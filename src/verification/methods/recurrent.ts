import { type MeanCountCurve, meanCumulativeCountByGroup } from '../../statistics/curves/recurrent.js'
import type { ReferenceCase, ReferenceMethod } from '../referenceCase.js'
import { survivalColumns } from './columnRoles.js'

/** Mean cumulative counts by group, or of all units where the case names no group. */
function meanCount(reference: ReferenceCase): unknown {
  const columns = survivalColumns(reference)
  const said = /\bby [\w.]+/.test(reference.method) || typeof reference.options.group === 'string'
  const group = said && columns.group !== undefined ? columns.group : columns.time.map(() => 1)
  const options = { entry: columns.entry, unit: columns.cluster, fewClusters: 'normal' } as const
  const robust = meanCumulativeCountByGroup(columns.time, columns.event, group, options)
  const naive = meanCumulativeCountByGroup(columns.time, columns.event, group, {
    ...options,
    variance: 'poisson',
  })
  const values = robust.map(
    (curve, at) => [`${columns.groupName}=${curve.group}`, valuesOf(curve, naive[at]!)] as const,
  )
  return said ? Object.fromEntries(values) : values[0]![1]
}

/** Steps at which an event happened. */
function valuesOf(robust: MeanCountCurve, naive: MeanCountCurve): Record<string, unknown> {
  const rows = robust.rows.filter((row) => row.events > 0)
  return {
    time: rows.map((row) => row.time),
    n_at_risk: rows.map((row) => row.atRisk),
    n_events: rows.map((row) => row.events),
    mcf: rows.map((row) => row.meanCount),
    se_lawless_nadeau: rows.map((row) => row.standardError),
    se_poisson_naive: naive.rows.filter((row) => row.events > 0).map((row) => row.standardError),
  }
}

/** Kinds of recurrent.json that count; those that regress stand with the regressions. */
export const meanCountMethods: Readonly<Record<string, ReferenceMethod>> = {
  'recurrent.mean_count': meanCount,
}
