import { stirlingError } from './largeShape.js'

/**
 * Mean of a function of the scale u = √(χ²/ν) of a variance estimate with ν degrees of freedom. Over log u the density
 * is smooth and falls off faster than exponentially, so that the trapezoidal rule with a step that fits its width is
 * exact to rounding (Goodwin 1949).
 *
 * @param value smooth function of u, of one sign
 * @param degreesOfFreedom positive
 * @param start log u near the largest part of the integrand
 * @param finest largest step that the function itself allows; default 0.1
 */
export function chiScaleMean(
  value: (u: number) => number,
  degreesOfFreedom: number,
  start: number,
  finest = 0.1,
): number {
  const half = degreesOfFreedom / 2
  const constant = Math.LN2 + 0.5 * Math.log(half / (2 * Math.PI)) - stirlingError(half)
  const step = Math.min(0.1, finest, 0.4 / Math.sqrt(2 * degreesOfFreedom))
  const term = (t: number): number =>
    Math.exp(constant + half * (2 * t - Math.expm1(2 * t))) * value(Math.exp(t))
  let sum = term(start)
  for (const direction of [1, -1]) {
    const past = direction === 1 ? Math.max(0, start) : Math.min(0, start)
    for (let k = 1; k < 100_000; k++) {
      const t = start + direction * k * step
      const next = term(t)
      sum += next
      if (next <= sum * 1e-19 && direction * (t - past) > 0) break
    }
  }
  return sum * step
}
