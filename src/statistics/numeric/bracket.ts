import { brentRoot } from './roots.js'

/**
 * Root of a function that is negative near a start and positive far from it, such as a test statistic less its
 * critical value seen from the estimate. The path maps steps 0, 1, 2, … to points that lead away from the start.
 *
 * @returns the root, or undefined where the function changes sign nowhere along the path
 */
export function rootAlong(
  f: (x: number) => number,
  path: (step: number) => number,
  steps: number,
): number | undefined {
  let inside: number | undefined
  for (let step = 0; step <= steps; step++) {
    const point = path(step)
    const value = f(point)
    if (value < 0) inside = point
    else if (inside !== undefined) return brentRoot(f, inside, point)
  }
  return undefined
}

/** Root of an increasing function on the whole line, searched outward from a start in steps that double. */
export function increasingRoot(f: (x: number) => number, start: number): number | undefined {
  const up = f(start) < 0
  let near = start
  let step = 1
  for (let doubling = 0; doubling < 64; doubling++) {
    const far = near + (up ? step : -step)
    const value = f(far)
    if (up ? value >= 0 : value <= 0) return brentRoot(f, near, far)
    near = far
    step *= 2
  }
  return undefined
}
