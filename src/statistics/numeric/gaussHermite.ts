import { EigenvalueDecomposition, Matrix } from 'ml-matrix'

/** Nodes t and weights w with ∫ f(t) exp(−t²) dt ≈ Σ w f(t), exact for polynomials of degree 2·points − 1. */
export interface HermiteRule {
  readonly nodes: Float64Array
  readonly weights: Float64Array
  /** Logarithms of the weights, which fall off as exp(−t²). */
  readonly logWeights: Float64Array
}

/**
 * Gauss–Hermite rule: nodes from the eigenvalues of the Jacobi matrix (Golub and Welsch 1969), polished by Newton
 * steps on the orthonormal polynomial, whose derivative gives the weights to full precision.
 *
 * @param points from 1 to 100
 */
export function gaussHermite(points: number): HermiteRule {
  const known = rules.get(points)
  if (known !== undefined) return known
  const rule = computedRule(points)
  rules.set(points, rule)
  return rule
}

/** Rules already computed: they depend on the number of points alone. */
const rules = new Map<number, HermiteRule>()

function computedRule(points: number): HermiteRule {
  const jacobi = Matrix.zeros(points, points)
  for (let k = 1; k < points; k++) {
    jacobi.set(k - 1, k, Math.sqrt(k / 2))
    jacobi.set(k, k - 1, Math.sqrt(k / 2))
  }
  const start = new EigenvalueDecomposition(jacobi, { assumeSymmetric: true }).realEigenvalues
  const nodes = new Float64Array(points)
  const logWeights = new Float64Array(points)
  Array.from(start)
    .sort((a, b) => a - b)
    .forEach((eigenvalue, i) => {
      let node = 2 * i + 1 === points ? 0 : eigenvalue
      for (let step = 0; step < 3; step++) {
        const { last, previous } = orthonormal(points, node)
        node -= last / (Math.sqrt(2 * points) * previous)
      }
      const { previous } = orthonormal(points, node)
      nodes[i] = node
      logWeights[i] = -Math.log(points) - 2 * Math.log(Math.abs(previous))
    })
  return { nodes, weights: logWeights.map(Math.exp), logWeights }
}

/** The orthonormal Hermite polynomials of degree points and points − 1. */
function orthonormal(points: number, t: number): { readonly last: number; readonly previous: number } {
  let previous = 0
  let last = Math.PI ** -0.25
  for (let k = 1; k <= points; k++) {
    const next = t * Math.sqrt(2 / k) * last - Math.sqrt((k - 1) / k) * previous
    previous = last
    last = next
  }
  return { last, previous }
}
