import { existsSync } from 'node:fs'
import { resolve } from 'node:path'
import { describe, expect, it } from 'vitest'
import { demoSettings } from '../../../src/demo/settings.js'
import {
  coverageTable,
  demoComparison,
  demoCoverageStudy,
  fitComparison,
  joinedRows,
  runDemoCoverage,
} from '../../../src/verification/simulation/demoCoverage.js'

describe('the study of coverage on demo data', () => {
  it('compares single with repeated tightening at risk for some time, whole patients apart when joined', async () => {
    const one = await demoComparison(demoSettings({ seed: 41, restorations: 400 }))
    const two = await demoComparison(demoSettings({ seed: 42, restorations: 400 }))
    const both = joinedRows([one, two])
    expect(both.stop).toHaveLength(one.stop.length + two.stop.length)
    expect(new Set(both.patient).size).toBe(new Set(one.patient).size + new Set(two.patient).size)
    expect(both.stop.every((stop, row) => stop > both.start[row]!)).toBe(true)
    expect(new Set(both.repeated)).toEqual(new Set([0, 1]))
    expect(new Set(both.operator).size).toBe(14)
  })

  it('finds the effect that was put in, where the group is large', async () => {
    const rows = await demoComparison(demoSettings({ seed: 43, restorations: 6000 }))
    const fit = fitComparison(rows)!
    // Conditional log hazard ratio ln 0.55 = −0.598; at these low risks the marginal one lies close by.
    expect(Math.abs(fit.robust.estimate + 0.598)).toBeLessThan(4 * fit.robust.standardError)
    expect(fit.robust.upper).toBeLessThan(0)
  })

  it('runs from the truth to the table', async () => {
    const plan = {
      replicates: 2,
      firstReplicateSeed: 1,
      truthGroups: 2,
      truthRestorations: 1500,
      firstTruthSeed: 50,
    }
    const found = await runDemoCoverage(plan)
    expect(found.robust.replicates + found.notEstimable).toBe(2)
    expect(found.robust.truth).toBe(found.truth.robust.estimate)
    expect(coverageTable(found)).toContain('| coverage of the 95% interval |')
    expect(await runDemoCoverage(plan)).toEqual(found)
  })

  it('has its plan and result in the documentation', () => {
    expect(existsSync(resolve(import.meta.dirname, '../../..', demoCoverageStudy.page))).toBe(true)
  })
})
