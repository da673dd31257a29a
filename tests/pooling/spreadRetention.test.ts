import { expect, it } from 'vitest'
import { spreadRetentions } from '../../src/pooling/spreadRetention.js'
import type { SiteSummary } from '../../src/pooling/summarySchema.js'

type Table = SiteSummary['blocks'][number]['groups'][number]

function siteOf(ends: number[], table: Partial<Table>): SiteSummary {
  const none = ends.map(() => 0)
  const group = { group: 'all', atRisk: none, endpoint: none, competing: none, censored: none, entered: none }
  return {
    blocks: [
      { levels: ['all'], intervalEndsDays: ends, groups: [{ ...group, timeAtRiskDays: none, ...table }] },
    ],
  } as unknown as SiteSummary
}

const everybody = (): boolean => true

// By hand: site A has 10 events in 1,000 days at risk over days 0 to 100, then 0 in 500 over 100 to 200; site B 6 events
// in 3,000 days over 0 to 200. Days 0 to 100: (10/100 + 6/200) / (1000/100 + 3000/200) = 0.13/25 a day; then
// (6/200) / (500/100 + 3000/200) = 0.03/20.
it('adds the hazards of sites on grids of their own', () => {
  const a = siteOf([100, 200], { endpoint: [10, 0], timeAtRiskDays: [1000, 500] })
  const b = siteOf([200], { endpoint: [6], timeAtRiskDays: [3000] })
  const [half, first, last, beyond] = spreadRetentions([a, b], everybody, [50, 100, 200, 201], 0.95)
  expect(half!.retention).toBeCloseTo(Math.exp(-50 * (0.13 / 25)), 12)
  expect(first!.retention).toBeCloseTo(Math.exp(-0.52), 12)
  expect(last!.retention).toBeCloseTo(Math.exp(-0.52 - 0.15), 12)
  expect([first!.meanAtRisk, last!.meanAtRisk]).toEqual([25, 20])
  // One event of A adds 100/100/25; one of B adds 100/200/25 + 100/200/20.
  const variance = 10 * 0.04 ** 2 + 6 * (0.02 + 0.025) ** 2
  const factor = Math.exp((1.959963984540054 * Math.sqrt(variance)) / 0.67)
  expect(last!.interval.lower).toBeCloseTo(Math.exp(-0.67 * factor), 10)
  expect(last!.interval.upper).toBeCloseTo(Math.exp(-0.67 / factor), 10)
  expect(beyond!.retention).toEqual({ state: 'not-estimable', reason: 'follow-up ends at day 200' })
})

it('counts events of day 0 as a share, where a grid shows that day', () => {
  const site = siteOf([0, 100], { endpoint: [5, 0], atRisk: [50, 45], timeAtRiskDays: [0, 4500] })
  const [start, later] = spreadRetentions([site], everybody, [0, 100], 0.95)
  expect(start!.retention).toBeCloseTo(0.9, 12)
  expect(later!.retention).toBeCloseTo(0.9, 12)
})

it('has no interval before the first event', () => {
  const site = siteOf([100], { endpoint: [0], timeAtRiskDays: [4500] })
  const [only] = spreadRetentions([site], everybody, [50], 0.95)
  expect(only!.retention).toBe(1)
  expect(only!.interval.lower).toEqual({ state: 'not-estimable', reason: 'no event until then' })
})
