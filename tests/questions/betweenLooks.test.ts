import { describe, expect, it } from 'vitest'
import { betweenLooks, mostForNonParametric } from '../../src/questions/betweenLooks/answer.js'
import { betweenLooksTable } from '../../src/questions/betweenLooks/section.js'
import { defaultSettings } from '../../src/questions/plan/settings.js'
import { pathsOf } from '../../src/questions/words/place.js'
import { practice, times } from './practice.js'

const years = (horizonsYears: readonly number[]) => ({ ...defaultSettings, horizonsYears })

describe('the risk where no event is placed', () => {
  it('is bounded by hand: events of one gap may all lie before a horizon within it, or all after it', () => {
    // 12 of 40 come loose in the gap from day 1000 to day 1200; 28 are clean on both days. Before the gap nothing, after
    // it 12 of 40; at 3 years (day 1095.75), within it, anything from 0 to 12 of 40.
    const cohort = practice([
      ...times(28, { checks: [1000, 1200, 2000] }),
      ...times(12, { checks: [1000], loose: 1200 }),
    ])
    const { horizons, events, restorations } = betweenLooks(cohort, years([1, 3, 5]))!
    expect([restorations, events]).toEqual([40, 12])
    const bounds = horizons.map(({ nonParametric }) => [nonParametric!.lower, nonParametric!.upper])
    expect(bounds[0]).toEqual([0, 0])
    expect(bounds[1]![0]).toBeCloseTo(0, 12)
    expect(bounds[1]![1]).toBeCloseTo(0.3, 9)
    expect(bounds[2]![0]).toBeCloseTo(0.3, 9)
    expect(bounds[2]![1]).toBeCloseTo(0.3, 9)
  })

  it('has a Weibull curve that reaches the share seen where gaps are short, and holds it in its interval', () => {
    // Loosened evenly over 1,500 days, each looked at every 30 days: by day 730.5 a share of 730.5/1500 of 60 in 100.
    const loose = Array.from({ length: 60 }, (_one, i) => 25 * (i + 1))
    const cohort = practice([
      ...loose.map((day) => ({ checks: day > 30 ? [day - 30] : [], loose: day })),
      ...times(40, { checks: [1500] }),
    ])
    const [at] = betweenLooks(cohort, years([2]))!.horizons
    const share = 0.6 * (730.5 / 1500)
    expect(Math.abs((at!.weibull!.estimate as number) - share)).toBeLessThan(0.03)
    expect(at!.weibull!.interval.lower).toBeLessThan(share)
    expect(at!.weibull!.interval.upper).toBeGreaterThan(share)
  })

  it('is not asked below ten events, and leaves out those that entered late', () => {
    expect(betweenLooks(practice([...times(40, { checks: [1200] }), ...times(9, { loose: 300 })]))).toBe(
      undefined,
    )
    const late = { observation_start_date: 100 }
    const cohort = practice([
      ...times(40, { checks: [1200] }),
      ...times(12, { checks: [200], loose: 300 }),
      ...times(5, { checks: [1200], fields: late }),
    ])
    expect(betweenLooks(cohort)).toMatchObject({ restorations: 52, lateEntry: 5 })
  })

  it('keeps the slow estimate of many restorations for full detail, and says so', () => {
    const cohort = practice([
      ...times(mostForNonParametric, { checks: [1200] }),
      ...times(12, { checks: [200], loose: 300 }),
    ])
    const result = betweenLooks(cohort, years([3]))!
    expect(result.horizons[0]!.nonParametric).toBe(undefined)
    const { notes } = betweenLooksTable(result, pathsOf(result))
    expect(JSON.stringify(notes)).toContain('between-looks.on-request')
    const full = betweenLooks(cohort, { ...years([3]), detail: 'full' })!
    expect(full.horizons[0]!.nonParametric).toBeDefined()
  })
})
