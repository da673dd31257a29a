import { readFileSync } from 'node:fs'
import { parse } from 'csv-parse/sync'
import { describe, expect, it } from 'vitest'
import { randomStream } from '../../../src/core/random.js'
import { coxRegression } from '../../../src/statistics/hazardModels/cox.js'
import { bootstrapCox, coxReplicator } from '../../../src/statistics/hazardModels/coxReplicator.js'
import { drawClusterWeights, percentileInterval } from '../../../src/statistics/resampling/resampling.js'

const kidney = parse(readFileSync(new URL('../../reference/data/kidney.csv', import.meta.url)), {
  columns: true,
}) as Record<string, string>[]
const column = (name: string): number[] => kidney.map((row) => Number(row[name]))
const times = { time: column('time'), event: column('status') }
const covariates = { age: column('age'), sex: column('sex') }

describe('refits of samples of clusters', () => {
  const replicator = coxReplicator(times, covariates, column('id'))

  it('of every cluster once give the fit itself', () => {
    const fit = coxRegression(times, covariates)
    const again = replicator.refit(new Array(38).fill(1))
    fit.hazardRatios.forEach((one, j) => {
      expect(again[j]).toBeCloseTo(one.logHazardRatio as number, 9)
      expect(replicator.original[j]).toBe(one.logHazardRatio)
    })
  })

  it('of one cluster have no estimate', () => {
    const counts = new Array(38).fill(0)
    counts[0] = 38
    expect([...replicator.refit(counts)]).toEqual([Number.NaN, Number.NaN])
  })

  it('give the bootstrap what refits of written-out samples give', async () => {
    const replicates = 12
    const seed = 3
    const found = await bootstrapCox(times, covariates, column('id'), {
      resampling: { replicates, seed, threads: 0 },
    })
    const ids = [...new Set(column('id'))].sort((a, b) => a - b)
    const counts = new Float64Array(ids.length)
    const logs = Array.from({ length: replicates }, (_, i) => {
      drawClusterWeights(randomStream(seed, i), counts)
      const rows = column('id').flatMap((id, row) =>
        Array.from({ length: counts[ids.indexOf(id)]! }, () => row),
      )
      const drawn = (values: number[]): number[] => rows.map((row) => values[row]!)
      const fit = coxRegression(
        { time: drawn(times.time), event: drawn(times.event) },
        { age: drawn(covariates.age), sex: drawn(covariates.sex) },
      )
      return fit.hazardRatios[1]!.logHazardRatio as number
    })
    const summary = percentileInterval(logs)
    expect(found[1]!.name).toBe('sex')
    expect(found[1]!.computed).toBe(replicates)
    expect(found[1]!.standardError as number).toBeCloseTo(summary.standardError as number, 8)
    expect(found[1]!.interval.lower as number).toBeCloseTo(summary.interval.lower as number, 8)
  })
})
