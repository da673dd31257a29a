import type { Contrast, Interval, Quantity } from '../core/estimate.js'
import { deepFreeze } from '../core/plain.js'
import {
  type LeftOut,
  leaveOneOut,
  type MetaAnalysis,
  metaAnalysis,
  type StudyInfluence,
  smallStudyTest,
  studyInfluence,
} from '../statistics/metaAnalysis.js'
import { normalUpperQuantile } from '../statistics/numeric/distributions.js'
import type { OwnEstimate } from './ownRateRatio.js'
import type { AgreedProtocol, Protocol } from './protocol.js'
import type { SiteSummary } from './summarySchema.js'

/** One site's own rate ratio of the group. */
export interface SiteRatio {
  readonly clinic: string
  readonly restorations: number
  readonly events: number
  readonly logRateRatio: number
  readonly standardError: number
  readonly ratio: number
  readonly lower: number
  readonly upper: number
  readonly commonWeight: number
  readonly randomWeight: number
}

/** Limits of a funnel at one standard error of the log rate ratio. */
export interface FunnelLimit {
  readonly error: number
  readonly lower: number
  readonly upper: number
}

/** Random-effects synthesis of the sites' own log rate ratios. */
export interface PooledSynthesis {
  readonly sites: readonly SiteRatio[]
  /** Sites without an own estimate, with the reason. */
  readonly without: readonly { readonly clinic: string; readonly reason: string }[]
  /** On the log scale. */
  readonly analysis: MetaAnalysis
  readonly common: Contrast
  readonly random: Contrast
  /** For the rate ratio of a new clinic like these. */
  readonly predictionInterval: Interval
  readonly leaveOneOut: readonly {
    readonly clinic: string
    readonly random: Quantity
    readonly interval: Interval
  }[]
  readonly influence: readonly (StudyInfluence & { readonly clinic: string })[]
  /** Limits of the rate ratio at given standard errors if all sites have the common one, at the level. */
  readonly funnelLimits: readonly FunnelLimit[]
  /** P value of the test for asymmetry of the funnel (Egger 1997). */
  readonly funnelAsymmetry: Quantity
}

/**
 * Synthesis over sites; undefined where no site has an estimate of its own.
 *
 * Each site's variance allows for several restorations in one patient. Restricted maximum likelihood, interval by
 * Hartung and Knapp and never narrower than the common-effect one.
 */
export function pooledSynthesis(
  summaries: readonly SiteSummary[],
  { protocol }: AgreedProtocol,
): PooledSynthesis | undefined {
  return synthesisOf(
    summaries.map(({ clinic, model }) =>
      model.state === 'given'
        ? {
            clinic,
            restorations: model.restorations,
            events: model.events,
            own: model.own,
            reason: model.events === 0 ? 'no event' : 'its events lie in one group, or one group is missing',
          }
        : { clinic, restorations: 0, events: 0, own: null, reason: model.reason },
    ),
    protocol,
  )
}

/** What one site brings to a synthesis. */
export interface SynthesisSite {
  readonly clinic: string
  readonly restorations: number
  readonly events: number
  readonly own: OwnEstimate | null
  /** Why it has no estimate, where it has none. */
  readonly reason: string
}

/** Synthesis of the estimates of sites, however they were had. */
export function synthesisOf(
  sites: readonly SynthesisSite[],
  protocol: Protocol,
): PooledSynthesis | undefined {
  const own = sites.flatMap((site) => (site.own === null ? [] : [{ ...site, own: site.own }]))
  if (own.length === 0) return undefined
  const effects = own.map((one) => one.own.logRateRatio)
  const variances = own.map((one) => one.own.robustVariance)
  const options = {
    level: protocol.level,
    scale: 'log rate ratio',
    n: own.map(({ restorations }) => restorations),
    events: own.map(({ events }) => events),
  }
  const analysis = metaAnalysis(effects, variances, options)
  const comparator = { group: protocol.groups.group, against: protocol.groups.against }
  const ratio = (effect: MetaAnalysis['common']): Contrast => ({
    estimate: exponential(effect.estimate),
    interval: exponentialInterval(effect.interval),
    level: effect.level,
    method: effect.method,
    n: effect.n,
    events: effect.events,
    clusters: effect.clusters,
    warnings: effect.warnings,
    reference: effect.reference,
    comparator,
  })
  return deepFreeze({
    sites: own.map((site, i) => siteRatio(site.clinic, site, analysis, i)),
    without: sites.flatMap(({ clinic, own: none, reason }) => (none === null ? [{ clinic, reason }] : [])),
    analysis,
    common: ratio(analysis.common),
    random: ratio(analysis.random),
    predictionInterval: exponentialInterval(analysis.predictionInterval),
    leaveOneOut: leaveOneOut(effects, variances, options).map((left: LeftOut) => ({
      clinic: own[left.study]!.clinic,
      random: exponential(left.analysis.random.estimate),
      interval: exponentialInterval(left.analysis.random.interval),
    })),
    influence: studyInfluence(effects, variances).map((one) => ({ clinic: own[one.study]!.clinic, ...one })),
    funnelLimits: funnelLimits(analysis, protocol.level),
    funnelAsymmetry:
      own.length < 3
        ? { state: 'not-estimable' as const, reason: 'fewer than three sites have an estimate' }
        : smallStudyTest(effects, variances).pValue,
  })
}

/** Fifty steps down to a little below the least certain site. */
function funnelLimits(analysis: MetaAnalysis, level: number): readonly FunnelLimit[] {
  const { estimate } = analysis.common
  if (typeof estimate !== 'number') return []
  const deepest = Math.max(...analysis.studies.map(({ standardError }) => standardError))
  const critical = normalUpperQuantile((1 - level) / 2)
  return Array.from({ length: 51 }, (_one, i) => {
    const error = (i / 50) * 1.2 * deepest
    return {
      error,
      lower: Math.exp(estimate - critical * error),
      upper: Math.exp(estimate + critical * error),
    }
  })
}

function siteRatio(
  clinic: string,
  model: { readonly restorations: number; readonly events: number },
  analysis: MetaAnalysis,
  i: number,
): SiteRatio {
  const study = analysis.studies[i]!
  const limit = (quantity: Quantity): number => Math.exp(quantity as number)
  return {
    clinic,
    restorations: model.restorations,
    events: model.events,
    logRateRatio: study.effect,
    standardError: study.standardError,
    ratio: Math.exp(study.effect),
    lower: limit(study.interval.lower),
    upper: limit(study.interval.upper),
    commonWeight: study.commonWeight,
    randomWeight: study.randomWeight,
  }
}

function exponential(quantity: Quantity): Quantity {
  return typeof quantity === 'number' ? Math.exp(quantity) : quantity
}

function exponentialInterval({ lower, upper }: Interval): Interval {
  return { lower: exponential(lower), upper: exponential(upper) }
}
