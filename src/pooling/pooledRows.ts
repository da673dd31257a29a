import { daysPerYear } from '../core/calendar.js'
import { UsageError } from '../core/errors.js'
import { notEstimable } from '../core/estimate.js'
import { deepFreeze } from '../core/plain.js'
import { logRank } from '../statistics/comparison.js'
import { type EventTime, pooledRateRatio, type RateStratum } from '../statistics/mantelHaenszel.js'
import { coxRegression } from '../statistics/regression/cox.js'
import { comparing, type PooledRate, type PooledResult, type PooledSite, pooledRate } from './combine.js'
import { finestGrouping } from './fineCounts.js'
import { coefficientNames } from './modelRows.js'
import { ownRateRatio } from './ownRateRatio.js'
import { type CurveRows, curveOfRows, type PooledCurve } from './pooledCurves.js'
import type { PooledModel } from './pooledModel.js'
import { synthesisOf } from './pooledSynthesis.js'
import type { AgreedProtocol, Protocol } from './protocol.js'
import { groupNames, type SiteRows, stratumLevels } from './siteRows.js'

/** Rows of several clinics laid one after the other. */
interface Stack extends CurveRows {
  readonly event: Uint8Array
  readonly group: readonly string[]
  readonly stratum: readonly string[]
  readonly patient: readonly string[]
  readonly covariates: readonly (readonly number[])[]
}

/**
 * Pools rows themselves, where rules allow de-identified rows to be put together: the same result as that of summaries,
 * at exact times, clinics as strata, and with patients kept together in the curves.
 *
 * @param sites rows of the clinics, each once
 * @throws UsageError `no-rows`, `same-clinic-twice`
 */
export function poolRows(
  sites: readonly SiteRows[],
  agreed: AgreedProtocol,
  options: { readonly generated?: boolean } = {},
): PooledResult {
  refuseRepeats(sites)
  const { protocol, hash } = agreed
  const stack = stacked(sites, protocol)
  const strata = rateStrata(stack, protocol)
  const names = groupNames(protocol)
  const curve = (group: string, wanted: (row: number) => boolean): PooledCurve | undefined => {
    const rows = chosen(stack, wanted)
    const own = curveOfRows(group, rows, protocol, [])
    return own
  }
  const test = names.every((name) => stack.group.includes(name))
    ? logRank(stack.timeDays, stack.event, stack.group, {
        strata: stack.stratum,
        cluster: stack.patient,
        ...(stack.lateEntries ? { entry: stack.entryDays } : {}),
      })
    : undefined
  const none = notEstimable('one of the groups is empty')
  return deepFreeze({
    protocol,
    protocolHash: hash,
    generated: options.generated ?? false,
    sites: sites.map(siteOf),
    comparing: comparing(sites.map(siteOf)),
    replaced: [],
    refused: [],
    overall: curve('all', () => true)!,
    byGroup: names.flatMap((name) => curve(name, (row) => stack.group[row] === name) ?? []),
    rates: (['against', 'group'] as const).map((side) => rateOf(strata, side, protocol)),
    logRank:
      test === undefined
        ? {
            statistic: none,
            degreesOfFreedom: none,
            pValue: none,
            method: 'log-rank test, stratified',
            n: stack.n,
            events: 0,
            clusters: stack.n,
            warnings: [],
            reference: 'log-rank',
          }
        : {
            statistic: test.statistic,
            degreesOfFreedom: test.degreesOfFreedom,
            pValue: test.pValue,
            method: test.method,
            n: test.n,
            events: test.events,
            clusters: test.clusters,
            warnings: test.warnings,
            reference: test.reference,
          },
    rateRatio: pooledRateRatio(strata, {
      level: protocol.level,
      comparator: { group: protocol.groups.group, against: protocol.groups.against },
    }),
    model: modelOf(stack, sites, protocol),
    synthesis: synthesisOf(
      sites.map((rows) => ownOf(rows, protocol)),
      protocol,
    ),
    warnings: [],
  })
}

function refuseRepeats(sites: readonly SiteRows[]): void {
  const seen = new Set<string>()
  for (const { clinic } of sites) {
    if (seen.has(clinic)) {
      throw new UsageError({
        code: 'same-clinic-twice',
        problem: 'the same clinic stands in two of the data sets.',
        expected: 'each clinic once.',
        mend: 'leave one of the data sets out, or give the clinics different pseudonyms.',
      })
    }
    seen.add(clinic)
  }
  if (sites.length > 0) return
  throw new UsageError({
    code: 'no-rows',
    problem: 'no restoration falls into either group of the protocol.',
    expected: 'data sets with restorations in the two groups.',
    mend: 'check the protocol and the tightening events of the delivery day.',
  })
}

function stacked(sites: readonly SiteRows[], protocol: Protocol): Stack {
  const flat = <T>(read: (rows: SiteRows, row: number) => T): T[] =>
    sites.flatMap((rows) => Array.from({ length: rows.n }, (_one, row) => read(rows, row)))
  const names = groupNames(protocol)
  const entryDays = Float64Array.from(flat((rows, row) => rows.entryDays[row]!))
  const status = Uint8Array.from(flat((rows, row) => rows.status[row]!))
  return {
    n: status.length,
    timeDays: Float64Array.from(flat((rows, row) => rows.timeDays[row]!)),
    entryDays,
    lateEntries: entryDays.some((day) => day > 0),
    status,
    event: status.map((one) => (one === 1 ? 1 : 0)),
    group: flat((rows, row) => names[rows.group[row]!]!),
    stratum: flat((rows, row) => `${rows.clinic}|${rows.stratum[row]}`),
    patient: flat((rows, row) => `${rows.clinic}|${rows.patientKey[row]}`),
    covariates: protocol.model.covariates.map((_field, c) => flat((rows, row) => rows.covariates[c]![row]!)),
  }
}

function chosen(stack: Stack, wanted: (row: number) => boolean): CurveRows {
  const kept = Array.from({ length: stack.n }, (_one, row) => row).filter(wanted)
  const entryDays = Float64Array.from(kept, (row) => stack.entryDays[row]!)
  return {
    n: kept.length,
    timeDays: Float64Array.from(kept, (row) => stack.timeDays[row]!),
    entryDays,
    lateEntries: entryDays.some((day) => day > 0),
    status: Uint8Array.from(kept, (row) => stack.status[row]!),
    patient: kept.map((row) => stack.patient[row]!),
  }
}

function rateStrata(stack: Stack, protocol: Protocol): readonly RateStratum[] {
  const [, groupName] = groupNames(protocol)
  const strata = new Map<string, { group: EventTime; against: EventTime }>()
  for (let row = 0; row < stack.n; row++) {
    const key = stack.stratum[row]!
    const zero = { events: 0, timeAtRisk: 0 }
    const stratum = strata.get(key) ?? { group: zero, against: zero }
    const side = stack.group[row] === groupName ? 'group' : 'against'
    stratum[side] = {
      events: stratum[side].events + stack.event[row]!,
      timeAtRisk: stratum[side].timeAtRisk + (stack.timeDays[row]! - stack.entryDays[row]!) / daysPerYear,
    }
    strata.set(key, stratum)
  }
  return [...strata.values()]
}

function rateOf(strata: readonly RateStratum[], side: 'group' | 'against', protocol: Protocol): PooledRate {
  const events = strata.reduce((sum, one) => sum + one[side].events, 0)
  const restorationYears = strata.reduce((sum, one) => sum + one[side].timeAtRisk, 0)
  return pooledRate(protocol, side, events, restorationYears)
}

function siteOf(rows: SiteRows): PooledSite {
  const days = rows.timeDays.reduce((sum, day, row) => sum + day - rows.entryDays[row]!, 0)
  return {
    clinic: rows.clinic,
    release: 1,
    restorations: rows.n,
    patients: new Set(rows.patient).size,
    events: rows.status.reduce((sum, one) => sum + (one === 1 ? 1 : 0), 0),
    restorationYears: days / daysPerYear,
    comparesGroups: new Set(rows.group).size === 2,
    competingApart: true,
    inModel: true,
    intervals: 0,
  }
}

function modelOf(stack: Stack, sites: readonly SiteRows[], protocol: Protocol): PooledModel {
  const { covariates } = protocol.model
  const kept = Array.from({ length: stack.n }, (_one, row) => row).filter((row) =>
    covariates.every(({ levels }, c) => stack.covariates[c]![row]! < levels.length),
  )
  const names = coefficientNames(protocol)
  const indicator = (is: (row: number) => boolean): Float64Array =>
    Float64Array.from(kept, (row) => (is(row) ? 1 : 0))
  const columns = [
    indicator((row) => stack.group[row] === protocol.groups.group),
    ...covariates.flatMap(({ levels }, c) =>
      levels.slice(1).map((_level, l) => indicator((row) => stack.covariates[c]![row] === l + 1)),
    ),
  ]
  if (columns.some((column) => !column.includes(0) || !column.includes(1))) {
    return { state: 'not-estimable', reason: 'a level of the model does not occur, or nothing else does' }
  }
  const fit = coxRegression(
    {
      start: kept.map((row) => (stack.entryDays[row] === 0 ? -1 : stack.entryDays[row]!)),
      stop: kept.map((row) => stack.timeDays[row]!),
      event: kept.map((row) => stack.event[row]!),
    },
    Object.fromEntries(names.map((name, j) => [name, columns[j]!])),
    {
      strata: kept.map((row) => stack.stratum[row]!),
      cluster: kept.map((row) => stack.patient[row]!),
      level: protocol.level,
    },
  )
  const coefficients = fit.hazardRatios.map(({ estimate }) => estimate)
  if (!coefficients.every((one): one is number => typeof one === 'number')) {
    return { state: 'not-estimable', reason: 'a coefficient runs away, as where one group has no event' }
  }
  const covariance = fit.covariance.map((row) => row.map((one) => (typeof one === 'number' ? one : 0)))
  const against = [
    protocol.groups.against,
    ...covariates.flatMap(({ levels }) => levels.slice(1).map(() => levels[0]!)),
  ]
  return {
    state: 'settled',
    hazardRatios: fit.hazardRatios.map((ratio, j) => ({
      name: names[j]!,
      estimate: ratio.estimate,
      interval: ratio.interval,
      ...(ratio.standardError === undefined ? {} : { standardError: ratio.standardError }),
      level: ratio.level,
      method: ratio.method,
      n: ratio.n,
      events: ratio.events,
      clusters: ratio.clusters,
      warnings: ratio.warnings,
      reference: ratio.reference,
      comparator: { group: names[j]!, against: against[j]! },
    })),
    coefficients: coefficients.map(Math.log),
    covariance,
    rounds: 0,
    clinics: sites.map(({ clinic }) => clinic),
    logLikelihood: typeof fit.logLikelihood === 'number' ? fit.logLikelihood : 0,
  }
}

/** A clinic's own rate ratio on the finest grid. */
export function ownOf(rows: SiteRows, protocol: Protocol): Parameters<typeof synthesisOf>[0][number] {
  const levels = stratumLevels(protocol).length
  const all = protocol.gridDays.map((_day, i) => i)
  const plan = { grouping: finestGrouping(levels), ends: Array.from({ length: levels }, () => all) }
  const own = ownRateRatio(rows, protocol, plan, true)
  const events = rows.status.reduce((sum, one) => sum + (one === 1 ? 1 : 0), 0)
  return {
    clinic: rows.clinic,
    restorations: rows.n,
    events,
    own: own ?? null,
    reason: events === 0 ? 'no event' : 'its events lie in one group, or one group is missing',
  }
}
