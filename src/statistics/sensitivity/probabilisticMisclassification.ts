import { NumericalError } from '../../core/errors.js'
import { type Warning, warning } from '../../core/estimate.js'
import { type MethodName, methodOf } from '../../core/method.js'
import { type RandomStream, randomStream } from '../../core/random.js'
import { checked } from '../kernel/checked.js'
import { requireLevel } from '../numeric/columns.js'
import {
  correctedError,
  correctedTable,
  type Measure,
  type MisclassifiedItem,
  measureOf,
} from './misclassification.js'
import { type Accuracy, type OutcomeTable, requireTable } from './misclassificationTable.js'

/** What is believed of a share: a distribution on [0, 1]. */
export type ShareBelief =
  | { readonly kind: 'beta'; readonly a: number; readonly b: number }
  | { readonly kind: 'uniform'; readonly lower: number; readonly upper: number }
  | { readonly kind: 'triangular'; readonly lower: number; readonly mode: number; readonly upper: number }
  | {
      readonly kind: 'trapezoidal'
      readonly lower: number
      readonly lowerMode: number
      readonly upperMode: number
      readonly upper: number
    }

/** What is believed of both accuracies. */
export interface AccuracyBelief {
  readonly sensitivity: ShareBelief
  readonly specificity: ShareBelief
}

/** Options of a probabilistic correction. */
export interface ProbabilisticOptions {
  /** Default 'endpoint'. */
  readonly item?: MisclassifiedItem
  /** Default 'risk-ratio'. */
  readonly measure?: 'risk-ratio' | 'risk-difference' | 'odds-ratio'
  /**
   * Belief for the second group (unexposed, or those without the event); default the same draw as the first: error
   * that does not differ.
   */
  readonly second?: AccuracyBelief
  /** Default 10,000. */
  readonly draws?: number
  /** Default 1. */
  readonly seed?: number
  /** Share of draws between the limits; default 0.95. */
  readonly level?: number
}

/** Median and limits over draws. */
export interface SimulationInterval {
  readonly median: number
  readonly lower: number
  readonly upper: number
}

/** What a probabilistic correction answers. */
export interface ProbabilisticCorrection {
  /** Spread that comes from what is not known of the accuracies alone. */
  readonly systematic: SimulationInterval
  /** With the sampling error added. */
  readonly total: SimulationInterval
  readonly draws: number
  /** Share of draws that could not have given the recorded table, and were left out. */
  readonly impossibleShare: number
  readonly seed: number
  readonly level: number
  readonly method: MethodName
  readonly warnings: readonly Warning[]
  readonly reference: string
}

/**
 * Corrects an association for misclassification when the accuracies are known only roughly: they are drawn from what
 * is believed of them, the table is corrected for each draw, and sampling error is added (Fox, Lash and Greenland
 * 2005). Draws that could not have given the recorded table are left out and counted.
 *
 * @param table counts as recorded
 * @param belief of sensitivity and specificity in the first group (exposed, or cases for the exposure)
 * @param options item 'endpoint'; measure 'risk-ratio'; second as the first; draws 10,000; seed 1; level 0.95
 * @throws NumericalError `counts-not-usable`, `belief-not-usable`, `level-out-of-range`, `all-draws-impossible`
 * @example probabilisticMisclassification({ events1: 20, total1: 100, events0: 10, total0: 100 }, { sensitivity: { kind: 'uniform', lower: 1, upper: 1 }, specificity: { kind: 'uniform', lower: 1, upper: 1 } }, { draws: 10 }).systematic.median // => 2
 */
export const probabilisticMisclassification = checked(
  'probabilisticMisclassification',
  (
    table: OutcomeTable,
    belief: AccuracyBelief,
    options: ProbabilisticOptions = {},
  ): ProbabilisticCorrection => {
    const { item = 'endpoint', measure = 'risk-ratio', draws = 10_000, seed = 1, level = 0.95 } = options
    requireLevel(level)
    requireTable(table, [])
    for (const one of [belief, options.second ?? belief]) {
      requireBelief(one.sensitivity)
      requireBelief(one.specificity)
    }
    const scale: Measure = measure === 'risk-difference' ? measure : `log-${measure}`
    const random = randomStream(seed)
    const systematic: number[] = []
    const total: number[] = []
    for (let draw = 0; draw < draws; draw++) {
      const first = drawnAccuracy(belief, random)
      const second = options.second === undefined ? first : drawnAccuracy(options.second, random)
      const noise = random.normal()
      const corrected = correctedTable(table, first, second, item)
      const value = corrected === undefined ? Number.NaN : measureOf(corrected, scale)
      if (!Number.isFinite(value)) continue
      const error = correctedError(table, first, second, item, scale)
      systematic.push(value)
      total.push(value + (Number.isFinite(error) ? noise * error : 0))
    }
    requirePossible(systematic.length)
    const back = scale === 'risk-difference' ? (x: number) => x : Math.exp
    const impossibleShare = 1 - systematic.length / draws
    return Object.freeze({
      systematic: summarised(systematic, level, back),
      total: summarised(total, level, back),
      draws,
      impossibleShare,
      seed,
      level,
      method: methodOf(`misclassified-${item}`, measure, 'accuracies-drawn'),
      warnings: Object.freeze(impossibleWarning(impossibleShare)),
      reference: 'misclassification',
    })
  },
)

function drawnAccuracy(belief: AccuracyBelief, random: RandomStream): Accuracy {
  return { sensitivity: drawn(belief.sensitivity, random), specificity: drawn(belief.specificity, random) }
}

function drawn(belief: ShareBelief, random: RandomStream): number {
  switch (belief.kind) {
    case 'beta': {
      const a = random.gamma(belief.a)
      return a / (a + random.gamma(belief.b))
    }
    case 'uniform':
      return belief.lower + (belief.upper - belief.lower) * random.uniform()
    case 'triangular':
      return trapezoid(belief.lower, belief.mode, belief.mode, belief.upper, random.uniform())
    case 'trapezoidal':
      return trapezoid(belief.lower, belief.lowerMode, belief.upperMode, belief.upper, random.uniform())
  }
}

/** Quantile of a trapezoidal distribution: rising, level and falling part in turn. */
function trapezoid(a: number, b: number, c: number, d: number, u: number): number {
  const area = d + c - a - b
  if (area === 0) return a
  const rising = (b - a) / area
  const falling = (d - c) / area
  if (u < rising) return a + Math.sqrt(u * area * (b - a))
  if (u > 1 - falling) return d - Math.sqrt((1 - u) * area * (d - c))
  return (u * area + a + b) / 2
}

function summarised(
  values: readonly number[],
  level: number,
  back: (x: number) => number,
): SimulationInterval {
  const sorted = [...values].sort((left, right) => left - right)
  const quantile = (share: number): number => {
    const at = share * (sorted.length - 1)
    const low = Math.floor(at)
    const high = Math.min(low + 1, sorted.length - 1)
    return sorted[low]! + (at - low) * (sorted[high]! - sorted[low]!)
  }
  const tail = (1 - level) / 2
  return Object.freeze({
    median: back(quantile(0.5)),
    lower: back(quantile(tail)),
    upper: back(quantile(1 - tail)),
  })
}

function impossibleWarning(share: number): Warning[] {
  if (share <= 0.1) return []
  return [warning('impossible-draws', { share })]
}

function requireBelief(belief: ShareBelief): void {
  if (isUsable(belief)) return
  throw new NumericalError({
    code: 'belief-not-usable',
    problem: `a ${belief.kind} belief has parameters out of order or range.`,
    expected: 'limits and modes from 0 to 1 in rising order, or beta parameters above 0.',
    mend: 'check the beliefs of sensitivity and specificity.',
  })
}

function isUsable(belief: ShareBelief): boolean {
  if (belief.kind === 'beta') {
    return Number.isFinite(belief.a) && Number.isFinite(belief.b) && belief.a > 0 && belief.b > 0
  }
  const points = [belief.lower, ...modesOf(belief), belief.upper]
  return (
    points[0]! >= 0 && points.at(-1)! <= 1 && points.every((point, i) => i === 0 || point >= points[i - 1]!)
  )
}

function modesOf(belief: Exclude<ShareBelief, { kind: 'beta' }>): readonly number[] {
  if (belief.kind === 'uniform') return []
  return belief.kind === 'triangular' ? [belief.mode] : [belief.lowerMode, belief.upperMode]
}

function requirePossible(kept: number): void {
  if (kept > 0) return
  throw new NumericalError({
    code: 'all-draws-impossible',
    problem: 'no draw of the accuracies could have given the recorded table.',
    expected: 'beliefs under which the table is possible.',
    mend: 'believe in a higher specificity, or check the counts.',
  })
}
