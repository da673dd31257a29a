/** Smallest value below which a logarithm is computed by an expansion of its own instead of from the value. */
export const tiny = 1e-280

/**
 * Sharpens a quantile by Newton steps on the logarithm of the tail, taken in log x.
 * The function gives the distance of the log tails and the log of its derivative in x.
 */
export function polished(start: number, distance: (x: number) => [number, number]): number {
  let x = start
  if (!(x > 0) || !Number.isFinite(x)) return x
  for (let step = 0; step < 8; step++) {
    const [gap, logSlope] = distance(x)
    const inLog = gap / (x * Math.exp(logSlope))
    if (!Number.isFinite(inLog) || Math.abs(inLog) > 1) return x
    x *= Math.exp(-inLog)
    if (Math.abs(inLog) < 4e-16) return x
  }
  return x
}
