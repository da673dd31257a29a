import type { Interval, Quantity } from '../../core/estimate.js'
import type { ReferenceCase } from '../referenceCase.js'

/** A column of numbers by name, inline where the case gives it so, else from its table. */
export function numbersOf(reference: ReferenceCase, name: string): Float64Array {
  const inline = reference.data[name]
  if (Array.isArray(inline)) return Float64Array.from(inline, Number)
  if (typeof inline === 'number') return Float64Array.of(inline)
  return reference.table().numbers(name)
}

/** A single number of the data or, failing that, of the options. */
export function numberOf(reference: ReferenceCase, name: string, fallback?: number): number {
  const value = reference.data[name] ?? reference.options[name]
  return typeof value === 'number' ? value : (fallback ?? Number.NaN)
}

/** An interval as the pair that the reference files use. */
export function limits(interval: Interval): readonly [Quantity, Quantity] {
  return [interval.lower, interval.upper]
}
