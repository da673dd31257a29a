import { describe, expect, it } from 'vitest'
import { randomStream } from '../../src/core/random.js'
import { takenCells } from '../../src/statistics/numeric/filledCells.js'
import { overlapRisks, type TimedColumns } from '../../src/statistics/weighting/overlapRisks.js'
import { overlapScores } from '../../src/statistics/weighting/overlapScores.js'
import { patientVariance } from '../../src/statistics/weighting/patientVariance.js'

/** A small practice with late entry, competing events and two covariates. */
function practice(n: number, seed: number) {
  const random = randomStream(seed)
  const inGroup = new Uint8Array(n)
  const design = new Float64Array(n * 3)
  const columns = {
    time: new Float64Array(n),
    status: new Uint8Array(n),
    entry: new Float64Array(n),
  }
  const patient = new Int32Array(n)
  for (let i = 0; i < n; i++) {
    const x = random.normal()
    const z = random.uniform() < 0.4 ? 1 : 0
    design.set([1, x, z], i * 3)
    inGroup[i] = random.uniform() < 1 / (1 + Math.exp(-(0.7 * x - 0.5 * z))) ? 1 : 0
    const event = -Math.log(random.uniform()) / (0.2 * Math.exp(0.5 * x))
    const gone = -Math.log(random.uniform()) / 0.05
    const seen = 1 + 5 * random.uniform()
    columns.time[i] = Math.ceil(10 * Math.min(event, gone, seen))
    columns.status[i] = event <= gone && event <= seen ? 1 : gone <= seen ? 2 : 0
    columns.entry[i] = i % 5 === 0 ? Math.min(columns.time[i]! - 1, 3) : 0
    patient[i] = Math.floor(i / 2)
  }
  return { inGroup, design, columns, patient }
}

/** The weighted incidence of one group from its definition, time by time. */
function plainRisk(columns: TimedColumns, weight: Float64Array, member: (i: number) => boolean, at: number) {
  const rows = Array.from(columns.time.keys()).filter(member)
  const times = [...new Set(rows.filter((i) => columns.status[i] !== 0).map((i) => columns.time[i]!))]
  let free = 1
  let risk = 0
  for (const time of times.sort((a, b) => a - b)) {
    if (time > at) break
    const sum = (kept: (i: number) => boolean): number =>
      rows.filter(kept).reduce((all, i) => all + weight[i]!, 0)
    const present = sum((i) => columns.entry![i]! < time && columns.time[i]! >= time)
    const own = sum((i) => columns.time[i] === time && columns.status[i] === 1)
    const any = sum((i) => columns.time[i] === time && columns.status[i] !== 0)
    risk += (free * own) / present
    free *= 1 - any / present
  }
  return risk
}

describe('risks under overlap weights', () => {
  const { inGroup, design, columns, patient } = practice(240, 7)
  const scores = overlapScores(inGroup, design, 3)
  const risks = overlapRisks(columns, inGroup, scores, 30)

  it('balances every column exactly', () => {
    for (let j = 1; j < 3; j++) {
      const means = [0, 1].map((arm) => {
        let sum = 0
        let all = 0
        for (let i = 0; i < inGroup.length; i++) {
          if (inGroup[i] !== arm) continue
          sum += scores.weight[i]! * design[i * 3 + j]!
          all += scores.weight[i]!
        }
        return sum / all
      })
      expect(means[1]! - means[0]!).toBeCloseTo(0, 8)
    }
  })

  it('is the weighted incidence of its definition, with late entry and competing events', () => {
    expect(risks.group).toBeCloseTo(
      plainRisk(columns, scores.weight, (i) => inGroup[i] === 1, 30),
      12,
    )
    expect(risks.against).toBeCloseTo(
      plainRisk(columns, scores.weight, (i) => inGroup[i] === 0, 30),
      12,
    )
  })

  it('has the derivative by each weight as influence', () => {
    for (const row of [0, 5, 17, 100, 239]) {
      const step = 1e-6
      const at = (change: number): number => {
        const weights = new Float64Array(240).fill(1)
        weights[row] = 1 + change
        const one = overlapRisks({ ...columns, weights }, inGroup, scores, 30)
        return one.group + one.against
      }
      expect(risks.influence[row]!).toBeCloseTo((at(step) - at(-step)) / (2 * step), 6)
    }
  })

  it('has the derivative through the scores as what estimating them adds', () => {
    // A row counted a little more changes the coefficients by the inverse information times its score.
    for (const row of [3, 50, 111]) {
      const step = 1e-5
      const at = (change: number): number => {
        const x = [0, 1, 2].map((j) => design[row * 3 + j]! * (inGroup[row]! - scores.score[row]!) * change)
        const moved = scores.solve(x)
        const score = Float64Array.from(scores.score, (_one, i) => {
          let eta = 0
          for (let j = 0; j < 3; j++) eta += design[i * 3 + j]! * (scores.coefficients[j]! + moved[j]!)
          return 1 / (1 + Math.exp(-eta))
        })
        const weight = Float64Array.from(score, (one, i) => (inGroup[i] === 1 ? 1 - one : one))
        return overlapRisks(columns, inGroup, { ...scores, score, weight }, 30).difference
      }
      expect(risks.ofScores[row]!).toBeCloseTo((at(step) - at(-step)) / (2 * step), 6)
    }
  })

  it('has a standard error near that of resampled patients', () => {
    const signed = risks.influence.map((one, i) => (inGroup[i] === 1 ? one : -one))
    const { scoresEstimated } = patientVariance(signed, risks.ofScores, patient, 120)
    const random = randomStream(11)
    const differences: number[] = []
    for (let sample = 0; sample < 400; sample++) {
      const rows: number[] = []
      for (let k = 0; k < 120; k++) {
        const drawn = random.index(120)
        rows.push(2 * drawn, 2 * drawn + 1)
      }
      const take = (column: ArrayLike<number>) => Float64Array.from(rows, (row) => column[row]!)
      const drawnGroup = Uint8Array.from(rows, (row) => inGroup[row]!)
      const drawnDesign = new Float64Array(rows.length * 3)
      for (const [i, row] of rows.entries()) drawnDesign.set(design.subarray(row * 3, row * 3 + 3), i * 3)
      const drawn = { time: take(columns.time), status: take(columns.status), entry: take(columns.entry) }
      const fitted = overlapScores(drawnGroup, drawnDesign, 3)
      differences.push(overlapRisks(drawn, drawnGroup, fitted, 30).difference)
    }
    const mean = differences.reduce((a, b) => a + b) / differences.length
    const spread = Math.sqrt(differences.reduce((a, b) => a + (b - mean) ** 2, 0) / (differences.length - 1))
    // 400 samples give a standard deviation to about 4 %; the linearisation costs a few per cent at 240 rows.
    expect(Math.sqrt(scoresEstimated) / spread).toBeGreaterThan(0.88)
    expect(Math.sqrt(scoresEstimated) / spread).toBeLessThan(1.12)
  })

  it('leaves what it is given unchanged', () => {
    const before = Float64Array.from(columns.time)
    overlapRisks(columns, inGroup, scores, 30)
    expect(columns.time).toEqual(before)
  })

  it('counts a weight of two as the row twice', () => {
    const weights = new Float64Array(240).fill(1)
    weights[4] = 2
    const twice = (column: ArrayLike<number>) => Float64Array.from([...Array.from(column), column[4]!])
    const doubled = {
      ...scores,
      score: twice(scores.score),
      weight: twice(scores.weight),
      cells: takenCells(scores.cells, Int32Array.of(...scores.score.keys(), 4)),
    }
    const repeated = { time: twice(columns.time), status: twice(columns.status), entry: twice(columns.entry) }
    expect(overlapRisks({ ...columns, weights }, inGroup, scores, 30).difference).toBeCloseTo(
      overlapRisks(repeated, twice(inGroup), doubled, 30).difference,
      12,
    )
  })

  it('refuses one group, and columns of other lengths', () => {
    expect(() => overlapScores(new Uint8Array(3), new Float64Array(3).fill(1), 1)).toThrow(
      'all rows belong to one group.',
    )
    expect(() => overlapScores(new Uint8Array(3), new Float64Array(4).fill(1), 1)).toThrow(
      'the design holds 4 values for 3 rows of 1 columns.',
    )
    expect(() => overlapRisks({ ...columns, time: new Float64Array(3) }, inGroup, scores, 30)).toThrow(
      'there are 240 groups, but 3 times.',
    )
  })
})
