import { NumericalError } from '../../core/errors.js'
import { normalUpperQuantile, studentTQuantile } from './distributions.js'

/** Fewest clusters from which the normal reference is trusted; below it Student's t is used. */
export const fewClusters = 30

/** Refuses anything but a whole number of zero or more. */
export function requireCount(name: string, value: number): void {
  if (!Number.isSafeInteger(value) || value < 0) {
    throw new NumericalError({
      code: 'not-a-count',
      problem: `${name} is ${value}.`,
      expected: 'a whole number, zero or more.',
      mend: `pass ${name} as a count.`,
    })
  }
}

/** Refuses a pair of which the events are not among the n. */
export function requireEventsAmong(events: number, n: number): void {
  requireCount('events', events)
  requireCount('n', n)
  if (events > n) {
    throw new NumericalError({
      code: 'more-events-than-units',
      problem: `there are ${events} events among ${n}.`,
      expected: 'no more events than units.',
      mend: 'count at most one event per unit, or ask for a rate.',
    })
  }
}

/** Refuses anything but a finite number of zero or more. */
export function requireAmount(name: string, value: number): void {
  if (!Number.isFinite(value) || value < 0) {
    throw new NumericalError({
      code: 'not-an-amount',
      problem: `${name} is ${value}.`,
      expected: 'a finite number, zero or more.',
      mend: `correct ${name}.`,
    })
  }
}

/** Refuses anything but a finite number above zero. */
export function requirePositive(name: string, value: number): void {
  if (!Number.isFinite(value) || value <= 0) {
    throw new NumericalError({
      code: 'not-positive',
      problem: `${name} is ${value}.`,
      expected: 'a finite number above zero.',
      mend: `correct ${name}.`,
    })
  }
}

/** Two-sided critical value of the standard normal. */
export function normalCritical(level: number): number {
  return normalUpperQuantile((1 - level) / 2)
}

/** Two-sided critical value for a number of clusters: normal from 30 on, else Student's t with clusters − 1. */
export function clusterCritical(level: number, clusters: number): number {
  if (clusters >= fewClusters) return normalCritical(level)
  return -studentTQuantile((1 - level) / 2, clusters - 1)
}
