import { NumericalError } from '../../core/errors.js'
import { notEstimable, type Quantity, type TestResult, type Warning, warning } from '../../core/estimate.js'
import { type MethodName, methodOf } from '../../core/method.js'
import { deepFreeze } from '../../core/plain.js'
import { checked } from '../kernel/checked.js'
import { requireCount } from '../numeric/counts.js'
import { chiSquareUpperTail } from '../numeric/distributions.js'
import { deviancePart } from '../numeric/largeShape.js'

/** Statistics of a table of counts. */
export type ContingencyStatistic = 'pearson' | 'yates' | 'n-minus-1' | 'likelihood-ratio'

/** Settings of a test of a table of counts. */
export interface ContingencyOptions {
  /** Statistic; default 'pearson'. Yates's correction is for tables of two by two. */
  readonly statistic?: ContingencyStatistic
}

const methodNames: Readonly<Record<ContingencyStatistic, MethodName>> = {
  pearson: methodOf('pearson-chi-square'),
  yates: methodOf('chi-square-with-yates-s-correction'),
  'n-minus-1': methodOf('chi-square-times-n-1-n'),
  'likelihood-ratio': methodOf('likelihood-ratio-chi-square-g'),
}

/**
 * Test of independence of the rows and columns of a table of counts.
 *
 * @param table rows of counts, each of one length
 * @param options statistic ('pearson')
 * @returns frozen test; rows and columns without counts are left out, warned, and take their degrees of freedom
 * along; with one row or column left a chi-square is not estimable, and G is 0 with P 1
 * @throws NumericalError `not-a-count`, `unequal-length`, `not-two-by-two`
 * Sources: Pearson 1900; Yates 1934 (the correction never exceeds |observed − expected|); Campbell 2007 ((N − 1)/N).
 * @example contingencyTest([[13, 40], [17, 162]]).statistic // => 8.206
 */
export const contingencyTest = checked(
  'contingencyTest',
  (table: readonly (readonly number[])[], options: ContingencyOptions = {}): TestResult => {
    const { statistic = 'pearson' } = options
    requireTable(table, statistic)
    const kept = withoutEmpty(table)
    const warnings =
      kept.length * (kept[0]?.length ?? 0) < table.length * (table[0]?.length ?? 0) ? [leftOut()] : []
    const n = kept.flat().reduce((sum, count) => sum + count, 0)
    const degreesOfFreedom = kept.length === 0 ? 0 : (kept.length - 1) * (kept[0]!.length - 1)
    const value = statisticOf(kept, n, degreesOfFreedom, statistic)
    const pValue =
      typeof value !== 'number'
        ? value
        : degreesOfFreedom === 0
          ? 1
          : chiSquareUpperTail(value, degreesOfFreedom)
    return deepFreeze({
      statistic: value,
      degreesOfFreedom,
      pValue,
      method: methodNames[statistic],
      n,
      events: n,
      clusters: n,
      warnings,
      reference: 'contingency-test',
    })
  },
)

function statisticOf(
  table: readonly (readonly number[])[],
  n: number,
  degreesOfFreedom: number,
  statistic: ContingencyStatistic,
): Quantity {
  if (degreesOfFreedom === 0) {
    return statistic === 'likelihood-ratio' ? 0 : notEstimable('fewer-than-two-margins')
  }
  const rows = table.map((row) => row.reduce((sum, count) => sum + count, 0))
  const columns = table[0]!.map((_, j) => table.reduce((sum, row) => sum + row[j]!, 0))
  let sum = 0
  for (const [i, row] of table.entries()) {
    for (const [j, count] of row.entries()) {
      const expected = (rows[i]! * columns[j]!) / n
      sum +=
        statistic === 'likelihood-ratio' ? gPart(count, expected) : pearsonPart(count, expected, statistic)
    }
  }
  return statistic === 'n-minus-1' ? (sum * (n - 1)) / n : sum
}

function pearsonPart(count: number, expected: number, statistic: ContingencyStatistic): number {
  const distance = Math.abs(count - expected)
  const corrected = statistic === 'yates' ? Math.max(0, distance - 0.5) : distance
  return (corrected * corrected) / expected
}

/** 2 (O log(O/E) + E − O): the added terms sum to zero over the table and keep the digits of large counts. */
function gPart(count: number, expected: number): number {
  return 2 * (count === 0 ? expected : deviancePart(count, expected))
}

function withoutEmpty(table: readonly (readonly number[])[]): readonly (readonly number[])[] {
  const rows = table.filter((row) => row.some((count) => count > 0))
  return rows.map((row) => row.filter((_, j) => rows.some((other) => other[j]! > 0)))
}

function leftOut(): Warning {
  return warning('empty-margin')
}

function requireTable(table: readonly (readonly number[])[], statistic: ContingencyStatistic): void {
  const width = table[0]?.length ?? 0
  for (const row of table) {
    if (row.length !== width) {
      throw new NumericalError({
        code: 'unequal-length',
        problem: `a row of the table has ${row.length} counts where the first has ${width}.`,
        expected: 'rows of one length.',
        mend: 'write 0 where nothing was counted.',
      })
    }
    for (const count of row) requireCount('a cell', count)
  }
  if (statistic === 'yates' && (table.length !== 2 || width !== 2)) {
    throw new NumericalError({
      code: 'not-two-by-two',
      problem: `the table has ${table.length} rows and ${width} columns.`,
      expected: 'two by two for Yates’s correction.',
      mend: 'ask for the statistic without correction.',
    })
  }
}
