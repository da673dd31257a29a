import { notEstimable, type Quantity, type TestResult, type Warning, warning } from '../../core/estimate.js'
import { type MethodName, methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import { chiSquareUpperTail } from '../numeric/distributions.js'
import { type Cells, informativeCells, type ProportionStratum, pooledOddsRatio } from './mantelHaenszel.js'

/**
 * Test that two groups do not differ in any stratum (Cochran, Mantel and Haenszel).
 *
 * @param strata events and n of both groups in each stratum
 * @param options correction (false): take ½ off the absolute sum of differences where it is at least ½
 * @returns frozen test on one degree of freedom; not estimable where no stratum has both groups and both outcomes
 * @throws NumericalError `not-a-count`, `more-events-than-units`
 * Sources: Cochran 1954; Mantel and Haenszel 1959.
 * @example stratifiedTest([{ group: { events: 3, n: 10 }, against: { events: 1, n: 10 } }]).statistic // => 1.1875
 */
export const stratifiedTest = checked(
  'stratifiedTest',
  (strata: readonly ProportionStratum[], options: { readonly correction?: boolean } = {}): TestResult => {
    const { correction = false } = options
    const cells = testable(informativeCells(strata))
    let difference = 0
    let variance = 0
    for (const { a, c, n1, n2, m, total } of cells) {
      difference += (a * n2 - c * n1) / total
      variance += ((n1 / total) * (n2 / total) * m * (total - m)) / (total - 1)
    }
    const distance = Math.abs(difference)
    const corrected = correction && distance >= 0.5 ? distance - 0.5 : distance
    const statistic: Quantity =
      cells.length === 0 ? notEstimable('no-informative-stratum') : (corrected * corrected) / variance
    const corrections = correction ? methodOf('continuity-corrected') : []
    return testOf(cells, statistic, 1, methodOf('cochran-mantel-haenszel', ...corrections), [])
  },
)

/**
 * Test that the odds ratio is the same in all strata (Breslow and Day), by default with Tarone's correction. Strata
 * without both groups and both outcomes say nothing and are left out, with their degrees of freedom.
 *
 * @param strata events and n of both groups in each stratum
 * @param options tarone (true)
 * @returns frozen test; not estimable where fewer than two strata count or the common odds ratio is 0 or infinite
 * @throws NumericalError `not-a-count`, `more-events-than-units`
 * Sources: Breslow and Day 1980; Tarone 1985 (Biometrika 72:91).
 * @example homogeneityTest([{ group: { events: 3, n: 9 }, against: { events: 1, n: 9 } }, { group: { events: 2, n: 9 }, against: { events: 4, n: 9 } }]).degreesOfFreedom // => 1
 */
export const homogeneityTest = checked(
  'homogeneityTest',
  (strata: readonly ProportionStratum[], options: { readonly tarone?: boolean } = {}): TestResult => {
    const { tarone = true } = options
    const all = informativeCells(strata)
    const cells = testable(all)
    const method = methodOf(tarone ? 'breslow-day-with-tarone-s-correction' : 'breslow-day')
    const warnings =
      cells.length < strata.length
        ? [warning('strata-left-out', { strata: strata.length - cells.length })]
        : []
    const common = pooledOddsRatio(strata).estimate
    const degreesOfFreedom = cells.length - 1
    if (degreesOfFreedom < 1) {
      const none = notEstimable('fewer-than-two-informative-strata')
      return testOf(cells, none, none, method, warnings)
    }
    if (typeof common !== 'number' || common === 0) {
      const none = notEstimable('common-odds-ratio-extreme')
      return testOf(cells, none, degreesOfFreedom, method, warnings)
    }
    let statistic = 0
    let difference = 0
    let information = 0
    for (const one of cells) {
      const expected = expectedAt(one, common)
      const inverse =
        1 / expected + 1 / (one.m - expected) + 1 / (one.n1 - expected) + 1 / (one.n2 - one.m + expected)
      statistic += (one.a - expected) ** 2 * inverse
      difference += one.a - expected
      information += 1 / inverse
    }
    if (tarone) statistic -= difference ** 2 / information
    return testOf(cells, statistic, degreesOfFreedom, method, warnings)
  },
)

/** Expected events of the group at an odds ratio, given the margins; the root free of cancellation. */
function expectedAt({ n1, n2, m, total }: Cells, oddsRatio: number): number {
  const linear = n2 - m + oddsRatio * (n1 + m)
  const middle = n1 * n2 + m * (total - m)
  const root = Math.sqrt((n2 - m) ** 2 + 2 * oddsRatio * middle + oddsRatio ** 2 * (n1 - m) ** 2)
  if (linear > 0) return (2 * oddsRatio * n1 * m) / (linear + root)
  return (root - linear) / (2 * (1 - oddsRatio))
}

function testable(cells: readonly Cells[]): readonly Cells[] {
  return cells.filter((one) => one.m > 0 && one.m < one.total)
}

function testOf(
  cells: readonly Cells[],
  statistic: Quantity,
  degreesOfFreedom: Quantity,
  method: MethodName,
  warnings: readonly Warning[],
): TestResult {
  const n = cells.reduce((sum, one) => sum + one.total, 0)
  return deepFreeze({
    statistic,
    degreesOfFreedom,
    pValue:
      typeof statistic === 'number' && typeof degreesOfFreedom === 'number'
        ? chiSquareUpperTail(statistic, degreesOfFreedom)
        : statistic,
    method,
    n,
    events: cells.reduce((sum, one) => sum + one.m, 0),
    clusters: n,
    warnings,
    reference: 'mantel-haenszel',
  })
}
