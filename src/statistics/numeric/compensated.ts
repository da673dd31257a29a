/**
 * Sums of products as if in twice the working precision (Ogita, Rump and Oishi 2005): for residuals whose terms
 * cancel almost entirely.
 */

/** A sum as its rounded value and what the rounding left over. */
export interface UnevaluatedSum {
  high: number
  low: number
}

/** Splits a double in two halves of 26 bits, whose products are exact (Veltkamp; Dekker 1971). */
const splitter = 134217729

/** Adds left · right to a sum without losing what does not fit. */
export function addProduct(sum: UnevaluatedSum, left: number, right: number): void {
  const product = left * right
  const next = sum.high + product
  const carried = next - sum.high
  sum.low += sum.high - (next - carried) + (product - carried) + productError(left, right, product)
  sum.high = next
}

function productError(a: number, b: number, product: number): number {
  const scaledA = splitter * a
  const highA = scaledA - (scaledA - a)
  const lowA = a - highA
  const scaledB = splitter * b
  const highB = scaledB - (scaledB - b)
  const lowB = b - highB
  return lowA * lowB - (product - highA * highB - lowA * highB - highA * lowB)
}
