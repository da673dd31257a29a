import type { Interval, Quantity } from '../../core/estimate.js'
import type { ReferenceCase } from '../referenceCase.js'

/** Confidence level of a case; 0.95 unless its options state another. */
export function levelOf(reference: ReferenceCase): number {
  return typeof reference.options.conf === 'number' ? reference.options.conf : 0.95
}

/** Both limits in a list; tagged states where there is none. */
export function limitsOf(interval: Interval): readonly Quantity[] {
  return [interval.lower, interval.upper]
}

/** Both limits in a list, or the one state of an interval that cannot be had. */
export function limitsOrState(interval: Interval): Quantity | readonly Quantity[] {
  const { lower } = interval
  return typeof lower !== 'number' && lower.state === 'not-estimable' ? lower : limitsOf(interval)
}

/** A list of numbers; a lone number becomes a list of one. */
export function numbersOf(value: unknown): readonly number[] {
  return Array.isArray(value) ? value.map(Number) : [Number(value)]
}

/** Confidence levels in per cent that keys of expected values may name. */
export const percentages: readonly number[] = [50, 60, 70, 75, 80, 90, 95, 97.5, 98, 99, 99.5, 99.9]
