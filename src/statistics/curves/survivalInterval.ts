import { type Interval, isNumber, noInterval, type Quantity, quantityOf } from '../../core/estimate.js'

/** Scale on which a symmetric interval of a probability is laid before it is carried back. */
export type IntervalScale = 'log-log' | 'log' | 'plain' | 'arcsin' | 'logit'

const atZero = noInterval('curve-at-zero')
const atOne = noInterval('scale-at-one')

/**
 * Interval of a probability p from the standard error of log p, clipped to [0, 1].
 *
 * At p = 0 there is none on any scale. At p = 1 with no variance the plain and log scales give [1, 1]; the others,
 * on which 1 lies at infinity, give none.
 */
export function probabilityInterval(
  probability: number,
  standardErrorLog: number,
  critical: number,
  scale: IntervalScale,
): Interval {
  if (!(probability > 0)) return atZero
  if (probability >= 1 && scale !== 'plain' && scale !== 'log') return atOne
  const [lower, upper] = limits(probability, critical * standardErrorLog, scale)
  return { lower: limit(lower), upper: limit(upper) }
}

const oneCluster = noInterval('one-patient')
const noEvents = noInterval('log-scale-at-zero')

/** Interval of a hazard or a mean count on the log scale; none at zero, nor where one cluster allows none. */
export function logInterval(value: number, standardError: number, critical: number | undefined): Interval {
  if (critical === undefined) return oneCluster
  if (!(value > 0)) return noEvents
  const factor = Math.exp((critical * standardError) / value)
  return { lower: value / factor, upper: quantityOf(value * factor, 'limit-out-of-range') }
}

function limit(value: number): Quantity {
  const quantity = quantityOf(value, 'limit-out-of-range')
  return isNumber(quantity) ? Math.min(1, Math.max(0, quantity)) : quantity
}

/** Limits from the half-width on the log scale (delta method; Borgan and Liestøl 1990, Kalbfleisch and Prentice 2002). */
function limits(p: number, half: number, scale: IntervalScale): readonly [number, number] {
  switch (scale) {
    case 'plain':
      return [p - p * half, p + p * half]
    case 'log':
      return [p * Math.exp(-half), p * Math.exp(half)]
    case 'log-log': {
      const logarithm = Math.log(p)
      const factor = Math.exp(-half / logarithm)
      return [Math.exp(logarithm * factor), Math.exp(logarithm / factor)]
    }
    case 'logit': {
      const odds = p / (1 - p)
      const factor = Math.exp(half / (1 - p))
      return [shareOf(odds / factor), shareOf(odds * factor)]
    }
    case 'arcsin': {
      const angle = Math.asin(Math.sqrt(p))
      const reach = 0.5 * half * Math.sqrt(p / (1 - p))
      return [Math.sin(Math.max(0, angle - reach)) ** 2, Math.sin(Math.min(Math.PI / 2, angle + reach)) ** 2]
    }
  }
}

function shareOf(odds: number): number {
  return odds === Number.POSITIVE_INFINITY ? 1 : odds / (1 + odds)
}
