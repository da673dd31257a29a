import { NumericalError } from '../../core/errors.js'
import { notEstimable, type PlainReason, type Quantity, type Warning, warning } from '../../core/estimate.js'
import { methodOf } from '../../core/method.js'
import { checked } from '../kernel/checked.js'
import { type NumberColumn, requireLevel, requireNonNegative, requireSameLength } from '../numeric/columns.js'
import { chiSquareUpperTail } from '../numeric/distributions.js'
import { noPooledEffect, normalSpread, type PooledEffect, pooledEffect } from './pooledEffect.js'
import { requireAnyStudy } from './weightedFit.js'

/** Counts of two groups in each study: events and units at risk. */
export interface TwoGroupCounts {
  readonly events1: NumberColumn
  readonly total1: NumberColumn
  readonly events2: NumberColumn
  readonly total2: NumberColumn
}

/** Which contrast of group 1 against group 2 is pooled; ratios are pooled as logarithms. */
export type RareEventMeasure = 'log-odds-ratio' | 'log-risk-ratio' | 'risk-difference'

/** Peto's pooled log odds ratio with the spread between studies. */
export interface PetoResult {
  readonly pooled: PooledEffect
  /** Heterogeneity around the pooled log odds ratio. */
  readonly q: Quantity
  readonly degreesOfFreedom: number
  readonly pValue: Quantity
}

interface Study {
  readonly a: number
  readonly n1: number
  readonly c: number
  readonly n2: number
  readonly n: number
}

/**
 * Pools two-group counts of rare events by Mantel and Haenszel's weights, with no continuity correction: the log odds
 * ratio (variance of Robins, Breslow and Greenland 1986), the log risk ratio (Greenland and Robins 1985) or the risk
 * difference (Sato, Greenland and Robins 1989).
 *
 * Studies without an event in either group say nothing about a ratio and are passed over with a warning; they count
 * in a risk difference. No event in one group over all studies: a ratio is not estimable.
 *
 * @param counts events and totals of both groups, one entry per study; whole numbers, events at most the total
 * @param options.measure default 'log-odds-ratio'; options.level default 0.95
 * @throws NumericalError `no-studies`, `unequal-length`, `not-finite`, `negative`, `events-above-total`
 * @example mantelHaenszelMetaAnalysis({ events1: [2, 1], total1: [50, 40], events2: [6, 3], total2: [50, 45] }).estimate // => -1.1306
 */
export const mantelHaenszelMetaAnalysis = checked(
  'mantelHaenszelMetaAnalysis',
  (
    counts: TwoGroupCounts,
    options: { readonly measure?: RareEventMeasure; readonly level?: number } = {},
  ): PooledEffect => {
    const { measure = 'log-odds-ratio', level = 0.95 } = options
    requireLevel(level)
    const studies = readCounts(counts)
    const fields = {
      level,
      method: methodOf('mantel-haenszel', measure),
      scale: measure,
      studies: studies.length,
      sizes: sizesOf(studies),
      warnings: measure === 'risk-difference' ? [] : silentStudies(studies),
      reference: 'rare-events',
    }
    const pooled = measures[measure](studies)
    if (typeof pooled === 'string') return noPooledEffect(pooled, fields)
    return pooledEffect(pooled.effect, normalSpread(pooled.effect, pooled.standardError, level), fields)
  },
)

/**
 * Pools two-group counts of rare events by Peto's one-step log odds ratio: Σ(O − E) / ΣV with the hypergeometric
 * expectation and variance (Yusuf and others 1985). Good where events are rare, groups of like size and effects
 * small; biased otherwise, and a warning says where groups are unequal.
 *
 * @param counts events and totals of both groups, one entry per study
 * @param options.level default 0.95
 * @throws NumericalError as mantelHaenszelMetaAnalysis
 * @example petoMetaAnalysis({ events1: [2, 1], total1: [50, 40], events2: [6, 3], total2: [50, 45] }).pooled.estimate // => -1.022
 */
export const petoMetaAnalysis = checked(
  'petoMetaAnalysis',
  (counts: TwoGroupCounts, options: { readonly level?: number } = {}): PetoResult => {
    const { level = 0.95 } = options
    requireLevel(level)
    const studies = readCounts(counts)
    const telling = studies.filter(hasBothOutcomes)
    let excess = 0
    let variance = 0
    let squares = 0
    for (const study of telling) {
      const part = hypergeometric(study)
      excess += part.excess
      variance += part.variance
      squares += part.excess ** 2 / part.variance
    }
    const unequal = telling.some(({ n1, n2 }) => Math.max(n1, n2) > 3 * Math.min(n1, n2))
    const warnings = [...silentStudies(studies)]
    if (unequal) {
      warnings.push(warning('unequal-groups'))
    }
    const fields = {
      level,
      method: methodOf('peto-one-step-log-odds-ratio'),
      scale: 'log-odds-ratio',
      studies: studies.length,
      sizes: sizesOf(studies),
      warnings,
      reference: 'rare-events',
    }
    if (telling.length === 0) {
      const reason = 'no-study-with-both-outcomes'
      const absent = notEstimable(reason)
      return Object.freeze({
        pooled: noPooledEffect(reason, fields),
        q: absent,
        degreesOfFreedom: 0,
        pValue: absent,
      })
    }
    const effect = excess / variance
    const q = Math.max(0, squares - excess ** 2 / variance)
    const degreesOfFreedom = telling.length - 1
    return Object.freeze({
      pooled: pooledEffect(effect, normalSpread(effect, 1 / Math.sqrt(variance), level), fields),
      q,
      degreesOfFreedom,
      pValue:
        degreesOfFreedom === 0 ? notEstimable('one-study-tells') : chiSquareUpperTail(q, degreesOfFreedom),
    })
  },
)

interface Pooled {
  readonly effect: number
  readonly standardError: number
}

/** The pooled contrast, or the reason why there is none. */
const measures: Readonly<Record<RareEventMeasure, (studies: readonly Study[]) => Pooled | PlainReason>> = {
  'log-odds-ratio': pooledOddsRatio,
  'log-risk-ratio': pooledRiskRatio,
  'risk-difference': pooledRiskDifference,
}

function pooledOddsRatio(studies: readonly Study[]): Pooled | PlainReason {
  let r = 0
  let s = 0
  let pr = 0
  let cross = 0
  let qs = 0
  for (const { a, n1, c, n2, n } of studies) {
    if (n === 0) continue
    const b = n1 - a
    const d = n2 - c
    const ri = (a * d) / n
    const si = (b * c) / n
    const p = (a + d) / n
    const q = (b + c) / n
    r += ri
    s += si
    pr += p * ri
    cross += p * si + q * ri
    qs += q * si
  }
  if (r === 0 || s === 0) return 'odds-not-compared'
  return {
    effect: Math.log(r / s),
    standardError: Math.sqrt(0.5 * (pr / r ** 2 + cross / (r * s) + qs / s ** 2)),
  }
}

function pooledRiskRatio(studies: readonly Study[]): Pooled | PlainReason {
  let r = 0
  let s = 0
  let spread = 0
  for (const { a, n1, c, n2, n } of studies) {
    if (n === 0) continue
    r += (a * n2) / n
    s += (c * n1) / n
    spread += (n1 / n) * (n2 / n) * (a + c) - (a / n) * c
  }
  if (r === 0 || s === 0) return 'group-without-event-in-studies'
  return { effect: Math.log(r / s), standardError: Math.sqrt(spread / (r * s)) }
}

function pooledRiskDifference(studies: readonly Study[]): Pooled | PlainReason {
  let top = 0
  let bottom = 0
  let tilt = 0
  let spread = 0
  for (const { a, n1, c, n2, n } of studies) {
    if (n === 0) continue
    const share1 = n1 / n
    const share2 = n2 / n
    top += a * share2 - c * share1
    bottom += n1 * share2
    tilt += c * share1 ** 2 - a * share2 ** 2 + (share1 * share2 * (n2 - n1)) / 2
    spread += (a * (n2 - c) + c * (n1 - a)) / n
  }
  if (bottom === 0) return 'no-study-of-both-groups'
  const effect = top / bottom
  const variance = (effect * tilt + spread / 2) / bottom ** 2
  if (!(variance > 0)) return 'no-study-with-both-outcomes'
  return { effect, standardError: Math.sqrt(variance) }
}

function hypergeometric({ a, n1, c, n2, n }: Study): { excess: number; variance: number } {
  const events = a + c
  return {
    excess: a - (events * n1) / n,
    variance: (events * (n - events) * (n1 / n) * (n2 / n)) / (n - 1),
  }
}

/** Whether both groups are there and some but not all units had the event. */
function hasBothOutcomes({ a, n1, c, n2, n }: Study): boolean {
  return n1 > 0 && n2 > 0 && a + c > 0 && a + c < n
}

function silentStudies(studies: readonly Study[]): readonly Warning[] {
  const silent = studies.filter((study) => !hasBothOutcomes(study)).length
  if (silent === 0) return []
  return [warning('silent-studies', { silent, studies: studies.length })]
}

function sizesOf(studies: readonly Study[]): { n: number; events: number; clusters: number } {
  const n = studies.reduce((sum, study) => sum + study.n, 0)
  return { n, events: studies.reduce((sum, study) => sum + study.a + study.c, 0), clusters: n }
}

function readCounts(counts: TwoGroupCounts): readonly Study[] {
  const { events1, total1, events2, total2 } = counts
  const k = requireSameLength({ events1, total1, events2, total2 })
  requireAnyStudy(k)
  for (const [name, column] of Object.entries({ events1, total1, events2, total2 })) {
    requireNonNegative(name, column)
  }
  requireWithin('events1', events1, total1)
  requireWithin('events2', events2, total2)
  return Array.from({ length: k }, (_, i) => {
    const n1 = total1[i]!
    const n2 = total2[i]!
    return { a: events1[i]!, n1, c: events2[i]!, n2, n: n1 + n2 }
  })
}

/** Refuses more events than units. */
export function requireWithin(name: string, events: NumberColumn, totals: NumberColumn): void {
  for (let i = 0; i < events.length; i++) {
    if (events[i]! > totals[i]!) {
      throw new NumericalError({
        code: 'events-above-total',
        problem: `column ${name} exceeds its total, first in study ${i + 1} of ${events.length}.`,
        expected: 'events counted once per unit.',
        mend: 'count units with the event, or pool rates instead.',
      })
    }
  }
}
