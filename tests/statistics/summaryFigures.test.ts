import { describe, expect, it } from 'vitest'
import { standardisedDifference } from '../../src/statistics/means/effectSizes.js'
import { equivalenceTest } from '../../src/statistics/means/equivalence.js'
import { pairwiseDifferences, varianceAnalysis } from '../../src/statistics/means/manyMeans.js'
import { meanDifference, pairedMeanDifference, summaryFigures } from '../../src/statistics/means/means.js'
import { varianceRatio } from '../../src/statistics/means/varianceRatio.js'
import { contingencyTest } from '../../src/statistics/proportions/contingency.js'
import { fisherTest, oddsRatio } from '../../src/statistics/proportions/oddsRatio.js'
import { riskRatio } from '../../src/statistics/proportions/twoProportions.js'

function groups(n: number, ...figures: readonly (readonly [mean: number, standardDeviation: number])[]) {
  return figures.map(([mean, standardDeviation]) => ({ n, mean, standardDeviation }))
}

/** Half of the last digit that a text prints. */
function halfDigit(printed: string): number {
  const [digits, exponent = '0'] = printed.toLowerCase().split('e')
  const decimals = digits!.split('.')[1]?.length ?? 0
  return 0.5 * 10 ** (Number(exponent) - decimals)
}

function expectPrinted(value: unknown, printed: string): void {
  expect(Math.abs((value as number) - Number(printed))).toBeLessThanOrEqual(halfDigit(printed) * (1 + 1e-9))
}

function expectPairs(figures: ReturnType<typeof groups>, printed: Readonly<Record<string, string>>): void {
  for (const pair of pairwiseDifferences(figures).pairs) {
    const text = printed[`${pair.first + 1}–${pair.second + 1}`]
    if (text !== undefined) expectPrinted(pair.pValue, text)
  }
}

describe('worked examples of the literature, from their summary figures', () => {
  // Tolerance: half of the last digit printed. The printed values of D1 to D9 were recomputed outside the project
  // from the rounded summary figures of the papers named; where a paper prints its own, it is named too.
  it('D1 Ebadian 2021, Int J Dent 3595064: four ways of tightening', () => {
    const figures = groups(10, [26.8, 1.3], [24.9, 1.2], [25.1, 1.3], [27.8, 1.3])
    const classical = varianceAnalysis(figures)
    expectPrinted(classical.statistic, '11.900')
    expect(classical.denominatorDegreesOfFreedom).toBe(36)
    expectPrinted(classical.pValue, '1.46e-5')
    const welch = varianceAnalysis(figures, { variances: 'unequal' })
    expectPrinted(welch.statistic, '11.224')
    expectPrinted(welch.denominatorDegreesOfFreedom, '19.99')
    expectPairs(figures, {
      '1–2': '0.0104',
      '1–3': '0.0253',
      '1–4': '0.312',
      '2–3': '0.985',
      '2–4': '6.7e-5',
      '3–4': '0.00019',
    })
  })

  it('D2 Sella 2013, Implant Dent 22:534: torque held for 0 to 30 s', () => {
    const figures = groups(10, [11.61, 1.43], [18.64, 1.71], [21.62, 0.97], [21.48, 1.55])
    expectPrinted(varianceAnalysis(figures).statistic, '105.867')
    expectPairs(figures, { '2–3': '0.00027', '2–4': '0.00051', '3–4': '0.996' })
  })

  it('D3 J Prosthodont 2019 (PMID 31560132): angle of the screw channel', () => {
    const figures = groups(16, [31.16, 1.12], [32.07, 0.97], [30.08, 0.88])
    const classical = varianceAnalysis(figures)
    expectPrinted(classical.statistic, '16.041')
    expect(classical.denominatorDegreesOfFreedom).toBe(45)
    expectPairs(figures, { '1–2': '0.0341', '1–3': '0.0099', '2–3': '3.0e-6' })
    // The paper prints F = 15.954 from unrounded data and P of .033, .011, < .001.
    expect(Math.abs((classical.statistic as number) - 15.954)).toBeLessThan(0.1)
  })

  it('D4 Alotaibi 2023, J Biomater Tissue Eng: at once, again at 10 min, held 1 min', () => {
    const figures = groups(16, [32.5, 0.93], [30.54, 0.9], [32.68, 2.04])
    expectPrinted(varianceAnalysis(figures).statistic, '11.587')
    const welch = varianceAnalysis(figures, { variances: 'unequal' })
    expectPrinted(welch.statistic, '20.35')
    expectPrinted(welch.denominatorDegreesOfFreedom, '28.1')
    expectPairs(figures, { '1–2': '0.00073', '1–3': '0.929', '2–3': '0.00023' })
  })

  it('D5 Barbosa 2011, Braz Dent J 22:51: loss of torque, new and re-used screws', () => {
    const figures = groups(20, [50.71, 11.36], [24.01, 3.33], [25.6, 4.64])
    expectPairs(figures, { '2–3': '0.773' })
    const pairs = pairwiseDifferences(figures).pairs
    // The paper prints .000, .000 and .774.
    expect(pairs[0]!.pValue as number).toBeLessThan(0.0005)
    expect(pairs[1]!.pValue as number).toBeLessThan(0.0005)
  })

  it('D6 J Oral Implantol 2015 41:139: preload and its loss', () => {
    const [high, low] = groups(10, [6.05, 0.95], [4.88, 0.92])
    const pooled = meanDifference(high!, low!, { variances: 'equal' })
    expectPrinted(pooled.statistic, '2.798')
    expect(pooled.degreesOfFreedom).toBe(18)
    expectPrinted(pooled.pValue, '0.0119')
    const [small, large] = groups(10, [13.84, 6.43], [52.65, 14.81])
    const welch = meanDifference(small!, large!)
    expectPrinted(welch.statistic, '-7.60')
    expectPrinted(welch.degreesOfFreedom, '12.28')
  })

  it('D7 McCracken 2009, J Prosthodont: means alike, variances not', () => {
    const toggle = { n: 9, mean: 38.1, standardDeviation: 16 }
    const beam = { n: 8, mean: 32.8, standardDeviation: 1.1 }
    expectPrinted(meanDifference(toggle, beam).pValue, '0.35')
    const ratio = varianceRatio(toggle, beam)
    expectPrinted(ratio.estimate, '211.6')
    expectPrinted(ratio.pValue, '2.4e-7')
    // R 4.2: 211.5702479 / qf(0.975, 8, 7) and / qf(0.025, 8, 7).
    expect(ratio.interval.lower).toBeCloseTo(43.18341244728, 8)
    expect(ratio.interval.upper).toBeCloseTo(958.1090163018, 7)
  })

  it('D8 Hong 2018, J Korean Acad Prosthodont 56:212: molar against premolar', () => {
    const [molar, premolar] = [
      { events: 26, n: 277 },
      { events: 3, n: 114 },
    ]
    const table = [
      [26, 251],
      [3, 111],
    ]
    expectPrinted(fisherTest(molar, premolar).pValue, '0.0193')
    expectPrinted(contingencyTest(table).statistic, '5.366')
    expectPrinted(contingencyTest(table).pValue, '0.0205')
    expectPrinted(contingencyTest(table, { statistic: 'yates' }).pValue, '0.0354')
    expectPrinted(oddsRatio(molar, premolar).estimate, '3.83')
    expectPrinted(riskRatio(molar, premolar).estimate, (26 / 277 / (3 / 114)).toFixed(6))
  })

  it('D9 Schwarz 2012, Clin Implant Dent Relat Res: chipping', () => {
    const [one, two] = [
      { events: 13, n: 53 },
      { events: 17, n: 179 },
    ]
    const test = contingencyTest([
      [13, 40],
      [17, 162],
    ])
    expectPrinted(fisherTest(one, two).pValue, '0.00873')
    expectPrinted(test.statistic, '8.206')
    expectPrinted(test.pValue, '0.0042')
    expectPrinted(oddsRatio(one, two).estimate, '3.10')
  })
})

describe('effect size, equivalence', () => {
  it('Hedges g and its interval agree with R (pt with ncp, uniroot)', () => {
    const [one, two] = groups(10, [6.05, 0.95], [4.88, 0.92])
    const d = standardisedDifference(one!, two!, { correction: 'none' })
    expect(d.estimate).toBeCloseTo(1.17 / Math.sqrt((0.95 ** 2 + 0.92 ** 2) / 2), 12)
    // R 4.2: uniroot(function(d) pt(2.79771436571655, 18, d) - p, tol = 1e-13)$root * sqrt(0.2).
    expect(d.interval.lower).toBeCloseTo(0.2710295245898336, 8)
    expect(d.interval.upper).toBeCloseTo(2.202801518734966, 8)
    const g = standardisedDifference(one!, two!)
    // R: gamma(9) / (sqrt(9) * gamma(8.5)).
    const factor = (g.estimate as number) / (d.estimate as number)
    expect(factor).toBeCloseTo(0.957646427023718, 12)
  })

  it('two one-sided tests: the interval at 90% lies in the margin exactly where both reject', () => {
    const [one, two] = groups(20, [25, 2], [24.6, 1.5])
    for (const margin of [0.5, 1, 1.3, 1.35, 2]) {
      const test = equivalenceTest(one!, two!, { margin: { lower: -margin, upper: margin } })
      const { lower, upper } = test.interval as { lower: number; upper: number }
      expect(test.equivalent).toBe(lower > -margin && upper < margin)
    }
    // R 4.2: pt((0.4 - 1.5)/se, df) with Welch's df.
    const test = equivalenceTest(one!, two!, { margin: { lower: -1.5, upper: 1.5 } })
    expect(test.pValue).toBeCloseTo(0.02850381810654893, 10)
  })

  it('paired t is the one-sample t of the differences', () => {
    const paired = pairedMeanDifference([3, 5, 6, 9], [1, 6, 2, 4])
    const { mean, standardDeviation } = summaryFigures([2, -1, 4, 5])
    expect(paired.statistic).toBeCloseTo(mean / (standardDeviation / 2), 12)
    expect(paired.degreesOfFreedom).toBe(3)
  })
})

describe('figures that allow no answer', () => {
  const still = { n: 5, mean: 1, standardDeviation: 0 }
  const single = { n: 1, mean: 1, standardDeviation: 0 }
  const usual = { n: 5, mean: 2, standardDeviation: 1 }

  it('are tagged with the reason', () => {
    expect(meanDifference(still, still).pValue).toHaveProperty('reason', 'values-do-not-vary')
    expect(meanDifference(single, usual).pValue).toHaveProperty('reason', 'group-too-small-for-variance')
    expect(meanDifference(single, usual, { variances: 'equal' }).degreesOfFreedom).toBe(4)
    expect(varianceAnalysis([usual]).statistic).toHaveProperty('reason', 'fewer-than-two-groups')
    expect(varianceAnalysis([usual, { n: 0, mean: 0, standardDeviation: 0 }]).statistic).toHaveProperty(
      'reason',
      'group-empty',
    )
    expect(varianceAnalysis([usual, still], { variances: 'unequal' }).statistic).toHaveProperty(
      'reason',
      'group-does-not-vary',
    )
    expect(varianceAnalysis([still, still]).statistic).toHaveProperty('reason', 'values-do-not-vary')
    expect(varianceRatio(usual, still).estimate).toHaveProperty('state', 'not-estimable')
    expect(varianceRatio(single, usual).estimate).toHaveProperty('state', 'not-estimable')
    expect(standardisedDifference(still, still).estimate).toHaveProperty('state', 'not-estimable')
    expect(equivalenceTest(still, still, { margin: { lower: -1, upper: 1 } }).pAgainstLower).toHaveProperty(
      'state',
      'not-estimable',
    )
    expect(pairwiseDifferences([still, still]).pairs[0]!.pValue).toHaveProperty('state', 'not-estimable')
  })

  it('are refused where they cannot be', () => {
    expect(() => meanDifference({ ...usual, standardDeviation: -1 }, usual)).toThrow(
      'standardDeviation is -1. Expected: a finite number, zero or more. Mend: correct standardDeviation.',
    )
    expect(() => meanDifference({ ...usual, n: 2.5 }, usual)).toThrow(
      'n is 2.5. Expected: a whole number, zero or more. Mend: pass n as a count.',
    )
    expect(() => meanDifference({ ...usual, mean: Number.NaN }, usual)).toThrow(/mean/)
    expect(() => equivalenceTest(usual, usual, { margin: { lower: 1, upper: 1 } })).toThrow(
      'the margin runs from 1 to 1. Expected: a lower margin below the upper one. Mend: give the margin as { lower: -2, upper: 2 }, in the unit of the means.',
    )
    expect(() => summaryFigures([])).toThrow(
      'the column is empty. Expected: at least one value. Mend: leave the group out.',
    )
  })
})
