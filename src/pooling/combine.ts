import { daysPerYear } from '../core/calendar.js'
import { UsageError } from '../core/errors.js'
import {
  type Contrast,
  type Estimate,
  notEstimable,
  type Quantity,
  type TestResult,
  type Warning,
  warning,
} from '../core/estimate.js'
import { deepFreeze } from '../core/plain.js'
import { logRank } from '../statistics/comparison.js'
import { pooledRateRatio, type RateStratum } from '../statistics/mantelHaenszel.js'
import { rate } from '../statistics/rates.js'
import { type CheckedSummaries, checkSummaries, type RefusedSummary } from './checkSummaries.js'
import { type PooledCurve, pooledCurve } from './pooledCurves.js'
import { type PooledModel, pooledModel, type Round } from './pooledModel.js'
import { type PooledSynthesis, pooledSynthesis } from './pooledSynthesis.js'
import type { AgreedProtocol, Protocol } from './protocol.js'
import { pseudoRows } from './pseudoRows.js'
import { groupNames } from './siteRows.js'
import type { SiteSummary } from './summarySchema.js'

/** One site as the pooled report lists it. */
export interface PooledSite {
  readonly clinic: string
  readonly release: number
  readonly restorations: number
  readonly patients: Quantity
  readonly events: number
  readonly restorationYears: number
  /** Whether its groups stand apart, so that it takes part in comparisons. */
  readonly comparesGroups: boolean
  readonly competingApart: boolean
  readonly inModel: boolean
  readonly intervals: number
}

/** Rate of one group over all sites that show it. */
export interface PooledRate {
  readonly group: string
  readonly events: number
  readonly restorationYears: number
  /** Events over time at risk, exact Poisson interval, restorations as independent. */
  readonly ratePer100Years: Estimate
}

/** Everything that a study group learns from its summaries. */
export interface PooledResult {
  readonly protocol: Protocol
  readonly protocolHash: string
  readonly generated: boolean
  readonly sites: readonly PooledSite[]
  /** What the comparison of the groups rests on. */
  readonly comparing: { readonly sites: number; readonly restorations: number }
  readonly replaced: CheckedSummaries['replaced']
  readonly refused: readonly { readonly clinic: string; readonly release: number; readonly reason: string }[]
  readonly overall: PooledCurve
  readonly byGroup: readonly PooledCurve[]
  readonly rates: readonly PooledRate[]
  readonly logRank: TestResult
  readonly rateRatio: Contrast
  readonly model: PooledModel
  readonly synthesis: PooledSynthesis | undefined
  readonly warnings: readonly Warning[]
}

/** What there is besides the summaries. */
export interface CombineOptions {
  /** Requests so far with the sites' answers; default none. */
  readonly rounds?: readonly Round[]
  /** Key of the group, to seal the next request. */
  readonly key?: string | undefined
}

/**
 * Pools site summaries: curves, cumulative incidence, rates, log-rank test and rate ratio stratified by clinic, the next
 * round of the stratified model or its answer, and the synthesis over sites.
 *
 * @param summaries read summaries, in any order
 * @returns frozen result; refused summaries are listed, not used
 * @throws RecordError of the first refused summary where none can be used
 */
export function combineSummaries(
  summaries: readonly SiteSummary[],
  agreed: AgreedProtocol,
  options: CombineOptions = {},
): PooledResult {
  const checked = checkSummaries(summaries, agreed)
  const { accepted } = checked
  if (accepted.length === 0) throw firstRefusal(checked.refused)
  const { protocol, hash } = agreed
  const warnings = [...pooledWarnings(accepted), ...unevenFollowUp(accepted, protocol)]
  const curve = (group: string, wanted: (name: string) => boolean): PooledCurve | undefined =>
    pooledCurve(group, accepted, wanted, protocol, warnings)
  return deepFreeze({
    protocol,
    protocolHash: hash,
    generated: accepted.some(({ generated }) => generated),
    sites: accepted.map(pooledSite),
    comparing: comparing(accepted.map(pooledSite)),
    replaced: checked.replaced,
    refused: checked.refused.map(({ clinic, release, error }) => ({
      clinic,
      release,
      reason: error.message,
    })),
    overall: curve('all', () => true)!,
    byGroup: groupNames(protocol).flatMap((group) => curve(group, (name) => name === group) ?? []),
    rates: pooledRates(accepted, protocol),
    logRank: stratifiedLogRank(accepted, protocol),
    rateRatio: pooledRateRatio(rateStrata(accepted, protocol), {
      level: protocol.level,
      comparator: { group: protocol.groups.group, against: protocol.groups.against },
    }),
    model: pooledModel(accepted, options.rounds ?? [], agreed, options.key),
    synthesis: pooledSynthesis(accepted, agreed),
    warnings,
  })
}

function firstRefusal(refused: readonly RefusedSummary[]): Error {
  if (refused[0] !== undefined) return refused[0].error
  return new UsageError({
    code: 'no-summaries',
    problem: 'no summary was given.',
    expected: 'at least one site summary.',
    mend: 'name the folders that the sites sent.',
  })
}

function pooledSite(one: SiteSummary): PooledSite {
  const tables = one.blocks.flatMap(({ groups }) => groups)
  const sum = (column: readonly number[]): number => column.reduce((total, count) => total + count, 0)
  return {
    clinic: one.clinic,
    release: one.release,
    restorations: one.restorations,
    patients: typeof one.patients === 'number' ? one.patients : notEstimable(one.patients.reason),
    events: sum(tables.map(({ endpoint }) => sum(endpoint))),
    restorationYears: sum(tables.map(({ timeAtRiskDays }) => sum(timeAtRiskDays))) / daysPerYear,
    comparesGroups: one.blocks[0]!.groups.length === 2,
    competingApart: one.competingEvents === 'apart',
    inModel: one.model.state === 'given',
    intervals: sum(one.blocks.map(({ intervalEndsDays }) => intervalEndsDays.length)),
  }
}

/** Sites that show both groups, and their restorations. */
export function comparing(sites: readonly PooledSite[]): PooledResult['comparing'] {
  const both = sites.filter(({ comparesGroups }) => comparesGroups)
  return {
    sites: both.length,
    restorations: both.reduce((sum, { restorations }) => sum + restorations, 0),
  }
}

/** Events and years of the two groups in every clinic and block that keeps them apart. */
export function rateStrata(summaries: readonly SiteSummary[], protocol: Protocol): readonly RateStratum[] {
  const [againstName, groupName] = groupNames(protocol)
  return summaries.flatMap(({ blocks }) =>
    blocks.flatMap(({ groups }) => {
      const of = (name: string): RateStratum['group'] | undefined => {
        const table = groups.find(({ group }) => group === name)
        if (table === undefined) return undefined
        const sum = (column: readonly number[]): number => column.reduce((total, count) => total + count, 0)
        return { events: sum(table.endpoint), timeAtRisk: sum(table.timeAtRiskDays) / daysPerYear }
      }
      const [against, group] = [of(againstName), of(groupName)]
      return against === undefined || group === undefined ? [] : [{ group, against }]
    }),
  )
}

function pooledRates(summaries: readonly SiteSummary[], protocol: Protocol): readonly PooledRate[] {
  const strata = rateStrata(summaries, protocol)
  return (['against', 'group'] as const).map((side) => {
    const events = strata.reduce((sum, one) => sum + one[side].events, 0)
    const restorationYears = strata.reduce((sum, one) => sum + one[side].timeAtRisk, 0)
    return pooledRate(protocol, side, events, restorationYears)
  })
}

/** Rate of one side of the comparison. */
export function pooledRate(
  protocol: Protocol,
  side: 'group' | 'against',
  events: number,
  restorationYears: number,
): PooledRate {
  const ratePer100Years = rate(events, restorationYears, { per: 100, level: protocol.level })
  return { group: protocol.groups[side], events, restorationYears, ratePer100Years }
}

function stratifiedLogRank(summaries: readonly SiteSummary[], protocol: Protocol): TestResult {
  const names = groupNames(protocol)
  const rows = pseudoRows(summaries, (group) => names.includes(group))
  const none = notEstimable('no clinic shows both groups')
  if (new Set(rows.group).size < 2) {
    return {
      statistic: none,
      degreesOfFreedom: none,
      pValue: none,
      method: 'log-rank test, stratified',
      n: rows.n,
      events: 0,
      clusters: rows.n,
      warnings: [],
      reference: 'log-rank',
    }
  }
  const event = rows.status.map((one) => (one === 1 ? 1 : 0))
  const { statistic, degreesOfFreedom, pValue, method, n, events, clusters, warnings, reference } = logRank(
    rows.timeDays,
    event,
    rows.group,
    { strata: rows.stratum, ...(rows.lateEntries ? { entry: rows.entryDays } : {}) },
  )
  return { statistic, degreesOfFreedom, pValue, method, n, events, clusters, warnings, reference }
}

function pooledWarnings(summaries: readonly SiteSummary[]): readonly Warning[] {
  const repeats = summaries.some(
    ({ patients, restorations }) => typeof patients !== 'number' || patients < restorations,
  )
  const folded = summaries.filter(({ competingEvents }) => competingEvents !== 'apart').length
  const together = summaries.filter(({ blocks }) => blocks[0]!.groups.length === 1).length
  const of = `of ${summaries.length} sites`
  return [
    ...(repeats
      ? [
          warning(
            'restorations-as-independent',
            'Patients repeat. Curves, log-rank test and rate ratio from counts take restorations as independent, and their intervals are too narrow as a rule; the hazard ratios allow for it.',
          ),
        ]
      : []),
    ...(folded > 0
      ? [
          warning(
            'competing-as-censored',
            `${folded} ${of} had too few patients with a competing event and count them as censored: the incidence is a little too high.`,
          ),
        ]
      : []),
    ...(together > 0
      ? [
          warning(
            'groups-together',
            `${together} ${of} had too few patients in one group and show both together: they take part in the overall curve only. Where a group does well its events are few, so that such sites drop out of the comparison first, which pulls ratios towards 1.`,
          ),
        ]
      : []),
  ]
}

/** Ratio of days at risk, per restoration at risk, beyond which the groups were followed unevenly within intervals. */
const unevenRatio = 1.2

/**
 * Within an interval a risk set holds everybody who was at risk in it, however briefly. Where one group was followed for
 * less of it than the other, log-rank test and hazard ratio from grids are off; rates are not.
 */
function unevenFollowUp(summaries: readonly SiteSummary[], protocol: Protocol): readonly Warning[] {
  const [againstName, groupName] = groupNames(protocol)
  let weight = 0
  let sum = 0
  for (const block of summaries.flatMap(({ blocks }) => blocks)) {
    const [against, group] = [againstName, groupName].map((name) =>
      block.groups.find((table) => table.group === name),
    )
    if (against === undefined || group === undefined) continue
    block.intervalEndsDays.forEach((_end, i) => {
      const events = against.endpoint[i]! + group.endpoint[i]!
      const share = (table: typeof group): number => table.timeAtRiskDays[i]! / table.atRisk[i]!
      if (events === 0 || against.atRisk[i] === 0 || group.atRisk[i] === 0) return
      if (!(share(group) > 0) || !(share(against) > 0)) return
      weight += events
      sum += events * Math.abs(Math.log(share(group) / share(against)))
    })
  }
  if (weight === 0 || sum / weight < Math.log(unevenRatio)) return []
  return [
    warning(
      'uneven-follow-up',
      'Within the intervals of the grids the two groups were followed for different lengths of time. The log-rank test and the hazard ratios from risk sets are off by that; the rate ratios, which rest on time at risk, are not, and lead.',
    ),
  ]
}
