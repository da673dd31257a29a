import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { overlapRisks } from '../../src/statistics/weighting/overlapRisks.js'
import { overlapScores } from '../../src/statistics/weighting/overlapScores.js'
import { influenceVariance, patientVariance } from '../../src/statistics/weighting/patientVariance.js'

interface Case {
  readonly id: string
  readonly data: Readonly<Record<string, readonly number[]>>
  readonly options: { readonly horizon: number; readonly operators: number }
  readonly expected: Readonly<Record<string, number>> & { readonly coefficients: readonly number[] }
  readonly tolerance: number
}

const cases = JSON.parse(
  readFileSync(new URL('../reference/data/overlap_risks.json', import.meta.url), 'utf8'),
) as readonly Case[]

describe.each(cases)(
  'risks under overlap weights against R, $id',
  ({ data, options, expected, tolerance }) => {
    const width = options.operators + 2
    const design = new Float64Array(data.time!.length * width)
    data.time!.forEach((_one, i) => {
      design[i * width] = 1
      if (data.operator![i]! > 1) design[i * width + data.operator![i]! - 1] = 1
      design[i * width + options.operators] = data.age![i]!
      design[i * width + options.operators + 1] = data.bruxism![i]!
    })
    const scores = overlapScores(data.inGroup!, design, width)
    const columns = {
      time: Float64Array.from(data.time!),
      status: data.status!,
      entry: Float64Array.from(data.entry!),
    }
    const risks = overlapRisks(columns, data.inGroup!, scores, options.horizon)
    const close = (found: number, wanted: number): void => {
      expect(Math.abs(found - wanted)).toBeLessThan(tolerance * Math.max(1, Math.abs(wanted)))
    }
    const clusters = Math.max(...data.patient!) + 1

    it('gives the coefficients and the risks', () => {
      expected.coefficients.forEach((wanted, j) => {
        close(scores.coefficients[j]!, wanted)
      })
      close(risks.group, expected.group!)
      close(risks.against, expected.against!)
      close(risks.difference, expected.difference!)
    })

    it('gives the standard errors over patients, scores known and estimated', () => {
      const ofArm = (arm: number): number =>
        Math.sqrt(
          influenceVariance(
            risks.influence.map((one, i) => (data.inGroup![i] === arm ? one : 0)),
            data.patient!,
            clusters,
          ),
        )
      const rowByRow = risks.influence.reduce(
        (sum, one, i) => sum + (data.inGroup![i] === 1 ? one * one : 0),
        0,
      )
      close(Math.sqrt(rowByRow), expected.groupErrorOfCurve!)
      close(ofArm(1), expected.groupError!)
      close(ofArm(0), expected.againstError!)
      const signed = risks.influence.map((one, i) => (data.inGroup![i] === 1 ? one : -one))
      const both = patientVariance(signed, risks.ofScores, data.patient!, clusters)
      close(Math.sqrt(both.scoresKnown), expected.knownError!)
      close(Math.sqrt(both.scoresEstimated), expected.estimatedError!)
      expect(both.larger).toBe(Math.max(both.scoresKnown, both.scoresEstimated))
    })
  },
)
