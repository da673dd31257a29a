import { expect } from 'vitest'
import type { Quantity } from '../../../src/core/estimate.js'

/** Asserts that every quantity is a number within a relative tolerance of the one wanted. */
export function expectClose(found: readonly Quantity[], wanted: readonly number[], relative: number): void {
  expect(found.length).toBe(wanted.length)
  found.forEach((value, i) => {
    expect(typeof value).toBe('number')
    expect(Math.abs((value as number) - wanted[i]!)).toBeLessThanOrEqual(relative * Math.abs(wanted[i]!))
  })
}

/** The error that a call throws, as its code and message. */
export function refusal(call: () => unknown): { readonly code: string; readonly message: string } {
  try {
    call()
  } catch (thrown) {
    return thrown as { code: string; message: string }
  }
  throw new Error('nothing was thrown')
}
