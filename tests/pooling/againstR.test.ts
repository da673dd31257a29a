import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { pooledResult } from '../../src/pooling/coordinator/groupResult.js'
import { added } from '../../src/pooling/coordinator/poolRows.js'
import { agreedOn, groupRows, numbersOfRows } from './syntheticGroup.js'

// Computed with R 4.2 and its package survival by againstR.R from the rows of fifteen practices laid together.
const reference = JSON.parse(readFileSync(join(import.meta.dirname, 'againstR.json'), 'utf8')) as Record<
  string,
  number
>

const agreed = agreedOn()
const { protocol } = agreed
const sums = added(groupRows(protocol).map((rows) => numbersOfRows(rows, protocol).sums))
const result = pooledResult(sums, agreed, {
  route: 'rows',
  sites: Array.from({ length: 15 }, (_one, i) => ({ name: `Practice ${i}`, open: false })),
  generated: true,
}).endpoints[0]!

describe('sums of practices against R', () => {
  it('gives its hazard ratio, robust error, tests and rate ratio', () => {
    const { hazardRatio, rateRatio } = result.comparison
    expect(Math.abs(Math.log(hazardRatio.estimate as number) - reference.logHazardRatio!)).toBeLessThan(1e-8)
    expect(Math.abs(hazardRatio.standardError!.value / reference.robustError! - 1)).toBeLessThan(1e-7)
    const [score, , squares] = sums[`${protocol.endpoints[0]}/logRank`]!
    // The score test of the model with Breslow's ties divides by the variance of Breslow, the log-rank test by the
    // hypergeometric one; they agree where days hold one event each, and nearly so here.
    expect(Math.abs((result.comparison.logRank.statistic as number) / reference.logRank! - 1)).toBeLessThan(
      0.01,
    )
    expect(Math.abs(squares! / reference.patientSquare! - 1)).toBeLessThan(1e-9)
    expect(score).toBeGreaterThan(0)
    expect(Math.abs((rateRatio.estimate as number) / reference.rateRatio! - 1)).toBeLessThan(1e-9)
  })
})
