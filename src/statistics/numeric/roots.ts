import { NumericalError } from '../../core/errors.js'

/**
 * Root of a continuous function between two points of opposite sign (Brent 1973, chapter 4), to full double
 * precision.
 *
 * @throws NumericalError `no-sign-change` where the function has one sign at both ends
 */
export function brentRoot(f: (x: number) => number, lower: number, upper: number, tolerance = 1e-15): number {
  let a = lower
  let b = upper
  let fa = f(a)
  let fb = f(b)
  if (fa === 0) return a
  if (fb === 0) return b
  if (!(fa * fb < 0)) {
    throw new NumericalError({
      code: 'no-sign-change',
      problem: `the function has the same sign at ${lower} and ${upper}.`,
      expected: 'a bracket with one sign at each end.',
      mend: 'widen the bracket.',
    })
  }
  let c = a
  let fc = fa
  let previous = b - a
  let step = previous
  for (let iteration = 0; iteration < 500; iteration++) {
    if (fb > 0 === fc > 0) {
      c = a
      fc = fa
      previous = b - a
      step = previous
    }
    if (Math.abs(fc) < Math.abs(fb)) {
      ;[a, b, c] = [b, c, b]
      ;[fa, fb, fc] = [fb, fc, fb]
    }
    const least = 2 * Number.EPSILON * Math.abs(b) + 0.5 * tolerance * Math.min(1, Math.abs(b))
    const middle = 0.5 * (c - b)
    if (Math.abs(middle) <= least || fb === 0) return b
    const interpolated = Math.abs(previous) >= least && Math.abs(fa) > Math.abs(fb)
    const proposal = interpolated ? interpolation(a, b, c, fa, fb, fc) : Number.NaN
    const accepted =
      interpolated &&
      2 * Math.abs(proposal) < Math.min(3 * Math.abs(middle) - least, Math.abs(previous)) &&
      proposal * middle > 0
    previous = accepted ? step : middle
    step = accepted ? proposal : middle
    a = b
    fa = fb
    b += Math.abs(step) > least ? step : Math.sign(middle) * least
    fb = f(b)
  }
  return b
}

/** Step by inverse quadratic interpolation, or by the secant where two points coincide. */
function interpolation(a: number, b: number, c: number, fa: number, fb: number, fc: number): number {
  const s = fb / fa
  if (a === c) return -(s * (c - b)) / (1 - s)
  const q = fa / fc
  const r = fb / fc
  const numerator = s * ((c - b) * q * (q - r) - (b - a) * (r - 1))
  return -numerator / ((q - 1) * (r - 1) * (s - 1))
}
