import { beforeAll, describe, expect, it } from 'vitest'
import { daysPerYear } from '../../src/core/calendar.js'
import { clusteredRateRatio } from '../../src/statistics/clusteredRateRatio.js'
import { agreedOn, demoRows, sitesOf, type TestSite, throughRounds } from './demoGroup.js'

const agreed = agreedOn()
let sites: readonly TestSite[]
beforeAll(async () => {
  sites = await sitesOf(await demoRows(agreed), agreed)
})

describe('the rate ratio of one site', () => {
  it('is the ratio of crude rates where the grid has one interval', () => {
    const site = sites.find(({ made }) => made.plan.ends[0]!.length === 1 && !made.plan.grouping.mergeGroups)!
    const { rows } = site
    const sum = (group: number, read: (row: number) => number): number =>
      Array.from({ length: rows.n }, (_x, row) => (rows.group[row] === group ? read(row) : 0)).reduce(
        (a, b) => a + b,
      )
    const rate = (group: number): number =>
      sum(group, (row) => (rows.status[row] === 1 ? 1 : 0)) /
      sum(group, (row) => rows.timeDays[row]! - rows.entryDays[row]!)
    const { model } = site.made.summary
    if (model.state !== 'given') throw new Error('unexpected')
    expect(model.own!.logRateRatio).toBeCloseTo(Math.log(rate(1) / rate(0)), 10)
    // The toolkit's own clustered rate ratio of the same rows: same estimate, same kind of variance.
    const event = rows.status.map((one) => (one === 1 ? 1 : 0))
    const years = rows.timeDays.map((day, row) => (day - rows.entryDays[row]!) / daysPerYear)
    const direct = clusteredRateRatio(event, years, rows.group, rows.patient)
    expect(Math.exp(model.own!.logRateRatio)).toBeCloseTo(direct.estimate as number, 10)
    expect(Math.sqrt(model.own!.robustVariance) / direct.standardError!.value).toBeCloseTo(1, 1)
  })

  it('warns where groups were followed unevenly within intervals', () => {
    const result = throughRounds(sites, agreed)
    expect(result.warnings.map(({ code }) => code)).toContain('uneven-follow-up')
    expect(result.synthesis!.sites).toHaveLength(2)
    expect(result.synthesis!.without).toHaveLength(3)
  })
})
