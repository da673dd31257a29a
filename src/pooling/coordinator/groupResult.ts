import { type Contrast, type Interval, noInterval, notEstimable, type Quantity } from '../../core/estimate.js'
import { methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { normalUpperQuantile } from '../../statistics/numeric/distributions.js'
import { coefficientNames, type Sums } from '../protocol/layout.js'
import type { OpenFigures } from '../protocol/messages.js'
import type { ModelAt } from '../protocol/newton.js'
import type { AgreedProtocol, Protocol } from '../protocol/protocol.js'
import {
  type Cell,
  cellsOf,
  mayPrint,
  patientsOfBoth,
  printedGrid,
  printedYears,
  type TimeCell,
} from './cells.js'
import { type BetweenPractices, type Comparison, comparisonOf } from './comparison.js'
import { designEffect, gridCurve, groupRate, horizonRisks, type RateParts, yearsOf } from './curves.js'
import type { BothFigures, GroupFigures, WithheldGroup } from './figures.js'
import { type GroupVerdict, verdictOf } from './verdict.js'

/** A practice of the group. */
export interface GroupSite {
  readonly name: string
  readonly open: boolean
}

/** The model in rounds where it stands. */
export type RoundsModel =
  | { readonly state: 'not-asked' }
  | { readonly state: 'not-estimable'; readonly reason: string }
  | {
      readonly state: 'settled' | 'stopped'
      readonly rounds: number
      readonly hazardRatios: readonly (Contrast & { readonly name: string })[]
    }

/** Practices that let their own figures be shown. */
export interface OpenSites {
  readonly sites: readonly {
    readonly name: string
    readonly restorations: number
    readonly events: number
    readonly hazardRatio: Quantity
    readonly interval: Interval
    readonly standardError?: number
  }[]
}

/** Result for one endpoint. */
export interface EndpointResult {
  readonly endpoint: string
  readonly all: BothFigures | WithheldGroup
  readonly groups: readonly [GroupFigures | WithheldGroup, GroupFigures | WithheldGroup]
  /** Share of the restorations whose group was measured at the delivery, not taken from the chart. */
  readonly measuredShare: Quantity
  readonly comparison: Comparison
  readonly between: BetweenPractices
  readonly model: RoundsModel
  readonly open: OpenSites
  readonly verdict: GroupVerdict
}

/** The result of a study group. */
export interface PooledResult {
  readonly protocol: Protocol
  readonly protocolHash: string
  /** Whether only sums over practices were seen, or rows. */
  readonly route: 'sums' | 'rows'
  readonly listHash?: string
  readonly sites: readonly GroupSite[]
  readonly generated: boolean
  readonly objected: readonly string[]
  readonly endpoints: readonly EndpointResult[]
}

/** What a result is made of besides the sums. */
export interface ResultParts {
  readonly route: 'sums' | 'rows'
  readonly listHash?: string
  readonly sites: readonly GroupSite[]
  readonly generated: boolean
  /** Cells that practices object to. */
  readonly objected?: readonly string[]
  /** Figures of open practices. */
  readonly open?: readonly { readonly name: string; readonly figures: readonly OpenFigures[] }[]
  /** By endpoint: where the model in rounds stands, and whether it has settled. */
  readonly models?: Readonly<
    Record<string, { readonly at: ModelAt; readonly rounds: number; readonly settled: boolean } | undefined>
  >
}

/** The result of a study group from sums over its practices. */
export function pooledResult(sums: Sums, agreed: AgreedProtocol, parts: ResultParts): PooledResult {
  const { protocol, hash } = agreed
  const objected = new Set(parts.objected ?? [])
  return deepFreeze({
    protocol,
    protocolHash: hash,
    route: parts.route,
    ...(parts.listHash === undefined ? {} : { listHash: parts.listHash }),
    sites: [...parts.sites].sort((left, right) => (left.name < right.name ? -1 : 1)),
    generated: parts.generated,
    objected: [...objected].sort(),
    endpoints: protocol.endpoints.map((endpoint) => {
      const result = endpointResult(sums, protocol, endpoint, parts, objected)
      return parts.route === 'rows' ? result : fiveDigits(result)
    }),
  })
}

function endpointResult(
  sums: Sums,
  protocol: Protocol,
  endpoint: string,
  parts: ResultParts,
  objected: ReadonlySet<string>,
): EndpointResult {
  const cells = cellsOf(sums, protocol, endpoint)
  // Rows were put together where rules allow it: nothing is hidden in them that a threshold would have to guard.
  const may = (cell: Cell): boolean =>
    parts.route === 'rows' ? cell.patients > 0 : mayPrint(cell, protocol.threshold, objected)
  const shown = cells.map(({ whole }) => may(whole))
  const years = cells.map((one) => printedYears(one.years, may))
  const grids = cells.map((one, at) => printedGrid(one.grid, years[at]!, may))
  const read = (name: string, at: number): number => sums[`${endpoint}/${name}`]![at]!
  const rates = ([0, 1, 2] as const).map((at) => ratePartsOf(sums, protocol, endpoint, at))
  const figures = [0, 1].map((at) => {
    if (shown[at] !== true) return withheld(rates[at]!.group)
    const counts = { sites: read('contributing', at), competing: read('competing', at) }
    return figuresOf(rates[at]!, counts, grids[at]!, years[at]!, protocol)
  }) as [GroupFigures | WithheldGroup, GroupFigures | WithheldGroup]
  const both = shown[0] === true && shown[1] === true
  const bothCounts = {
    sites: Math.max(read('contributing', 0), read('contributing', 1)),
    competing: read('competing', 0) + read('competing', 1),
  }
  const patients = patientsOfBoth(sums, endpoint, parts.route === 'rows' ? 0 : protocol.threshold)
  const together = { ...rates[2]!, patients: patients.atLeast }
  const all = both
    ? { ...figuresOf(together, bothCounts, gridOfBoth(grids), [], protocol), patients: patients.shown }
    : withheld('all')
  const measured = sums[`${endpoint}/measured`]!
  const shareOf = parts.route === 'rows' ? exactShare : twentieths
  const restorations = sums[`${endpoint}/restorations`]!
  const measuredShare = both
    ? shareOf(measured[0]! + measured[1]!, restorations[0]! + restorations[1]!)
    : notEstimable('too-few-patients-or-practices')
  const { comparison, between } = comparisonOf(sums, protocol, endpoint, both, parts)
  const model = roundsModel(protocol, parts.models?.[endpoint], both)
  return {
    endpoint,
    all,
    groups: figures,
    measuredShare,
    comparison,
    between,
    model,
    open: openSites(endpoint, protocol, parts),
    verdict: verdictOf({
      protocol,
      figures,
      comparison,
      between,
      measuredShare,
      charted: 1 - shareOf(measured[1]!, restorations[1]!),
      sites: parts.sites.length,
    }),
  }
}

function ratePartsOf(sums: Sums, protocol: Protocol, endpoint: string, at: 0 | 1 | 2): RateParts {
  const read = (name: string): number => {
    const values = sums[`${endpoint}/${name}`]!
    return at === 2 ? values[0]! + values[1]! : values[at]!
  }
  const squares = sums[`${endpoint}/patientRateSquares`]!
  return {
    group: at === 2 ? 'all' : at === 1 ? protocol.groups.group : protocol.groups.against,
    n: read('restorations'),
    patients: at === 2 ? sums[`${endpoint}/patientsAll`]![0]! : read('patients'),
    events: read('events'),
    years: yearsOf(read('days')),
    squares: [squares[at * 3]!, squares[at * 3 + 1]!, squares[at * 3 + 2]!],
  }
}

/** Intervals of both groups together, as far as both may be printed: one group is all less the other. */
function gridOfBoth(grids: readonly (readonly TimeCell[])[]): readonly TimeCell[] {
  const [against, group] = grids as [readonly TimeCell[], readonly TimeCell[]]
  return against.slice(0, Math.min(against.length, group.length)).map((cell, j) => {
    const other = group[j]!
    return {
      ...cell,
      atRisk: cell.atRisk + other.atRisk,
      endpoint: cell.endpoint + other.endpoint,
      competing: cell.competing + other.competing,
      days: cell.days + other.days,
    }
  })
}

function figuresOf(
  rate: RateParts,
  counts: Pick<GroupFigures, 'sites' | 'competing'>,
  grid: readonly TimeCell[],
  years: readonly TimeCell[],
  protocol: Protocol,
): GroupFigures {
  const curve = gridCurve(grid, designEffect(rate), protocol.level)
  return {
    group: rate.group,
    restorations: rate.n,
    patients: rate.patients,
    events: rate.events,
    ...counts,
    restorationYears: rate.years,
    rate: groupRate(rate, protocol),
    years: years.map(({ fromDay, toDay, atRisk, endpoint, competing, days, patients, sites }) => ({
      fromDay,
      toDay,
      atRisk,
      endpoint,
      competing,
      restorationYears: yearsOf(days),
      patients,
      sites,
    })),
    curve,
    risks: horizonRisks(curve, rate, protocol),
  }
}

function withheld(group: string): WithheldGroup {
  return { group, withheld: 'too-few-patients-or-practices' }
}

function roundsModel(
  protocol: Protocol,
  model: { readonly at: ModelAt; readonly rounds: number; readonly settled: boolean } | undefined,
  shown: boolean,
): RoundsModel {
  if (protocol.covariates.length === 0) return { state: 'not-asked' }
  if (model === undefined || !shown)
    return { state: 'not-estimable', reason: 'no-information-on-coefficient' }
  const { at, rounds, settled } = model
  // The last step from complete totals is taken: nothing needs to be asked for it.
  const critical = normalUpperQuantile((1 - protocol.level) / 2)
  const against = [
    protocol.groups.against,
    ...protocol.covariates.flatMap(({ field, levels }) =>
      levels.slice(1).map(() => `${field}: ${levels[0]}`),
    ),
  ]
  return {
    state: settled ? 'settled' : 'stopped',
    rounds,
    hazardRatios: coefficientNames(protocol).map((name, j) => {
      const log = at.coefficients[j]! + (settled ? at.step[j]! : 0)
      const error = Math.sqrt(at.covariance[j]![j]!)
      const limits = { lower: Math.exp(log - critical * error), upper: Math.exp(log + critical * error) }
      return {
        name,
        estimate: threeDigits(Math.exp(log)),
        interval: { lower: threeDigits(limits.lower), upper: threeDigits(limits.upper) },
        standardError: { value: threeDigits(error), scale: 'log hazard ratio' },
        level: protocol.level,
        method: methodOf(
          'cox-regression-stratified-by-clinic-in-rounds',
          'efron-s-ties',
          'variance-robust-by-patient',
        ),
        n: at.restorations,
        events: at.events,
        clusters: at.restorations,
        warnings: [],
        reference: 'pooled-sums',
        comparator: { group: name, against: against[j]! },
      }
    }),
  }
}

function openSites(endpoint: string, protocol: Protocol, { open = [] }: ResultParts): OpenSites {
  const critical = normalUpperQuantile((1 - protocol.level) / 2)
  return {
    sites: open.flatMap(({ name, figures }): OpenSites['sites'] => {
      const own = figures.find((one) => one.endpoint === endpoint)
      if (own === undefined) return []
      const { logHazardRatio: log, standardError: error, restorations, events } = own
      const counts = { name, restorations: restorations[0] + restorations[1], events: events[0] + events[1] }
      if (log === undefined || error === undefined) {
        const reason = 'no-event-while-both-at-risk'
        return [{ ...counts, hazardRatio: notEstimable(reason), interval: noInterval(reason) }]
      }
      const interval = { lower: Math.exp(log - critical * error), upper: Math.exp(log + critical * error) }
      return [{ ...counts, hazardRatio: Math.exp(log), interval, standardError: error }]
    }),
  }
}

function exactShare(part: number, whole: number): number {
  return whole === 0 ? 0 : part / whole
}

/** A share to the nearest twentieth, so that with the whole it does not tell how few are left. */
function twentieths(part: number, whole: number): number {
  return Math.round(20 * exactShare(part, whole)) / 20
}

/**
 * A result with five significant digits of all that is no whole number. Full digits of an interval or a curve hold
 * several whole numbers at once, which could be had back from them: how many patients had two events, for one.
 */
function fiveDigits<T>(value: T): T {
  if (typeof value === 'number') return (Number.isInteger(value) ? value : Number(value.toPrecision(5))) as T
  if (Array.isArray(value)) return value.map(fiveDigits) as T
  if (typeof value !== 'object' || value === null) return value
  return Object.fromEntries(Object.entries(value).map(([key, inner]) => [key, fiveDigits(inner)])) as T
}

/** Three significant digits, which is all that is released of an estimate from the sums. */
export function threeDigits(value: number): number {
  return Number(value.toPrecision(3))
}
