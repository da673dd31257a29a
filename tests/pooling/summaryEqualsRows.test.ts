import { beforeAll, describe, expect, it } from 'vitest'
import { daysPerYear } from '../../src/core/calendar.js'
import type { PooledResult } from '../../src/pooling/combine.js'
import { logRank } from '../../src/statistics/comparison.js'
import { cumulativeIncidence } from '../../src/statistics/competingRisks.js'
import { pooledRateRatio } from '../../src/statistics/mantelHaenszel.js'
import { coxRegression } from '../../src/statistics/regression/cox.js'
import { kaplanMeier } from '../../src/statistics/survival.js'
import { agreedOn, demoRows, sitesOf, stackedOnGrids, type TestSite, throughRounds } from './demoGroup.js'
import { syntheticRows } from './syntheticRows.js'

const close = (found: unknown, expected: unknown): void => {
  expect(typeof expected).toBe('number')
  const size = Math.max(1e-3, Math.abs(expected as number))
  expect(Math.abs((found as number) - (expected as number))).toBeLessThan(1e-9 * size)
}

/** Rows with time from −1 where at risk from delivery, so that late entries and day 0 can stand together. */
const timesOf = (rows: { entryDays: number[]; timeDays: number[]; event: number[] }) => ({
  start: rows.entryDays.map((day) => (day === 0 ? -1 : day)),
  stop: rows.timeDays,
  event: rows.event,
})

// What is pooled from summaries against the same estimators on the rows themselves, moved to the same grids.
describe.each([
  { threshold: 5, strata: undefined, covariates: [] },
  { threshold: 3, strata: null, covariates: [] },
])(
  'the demo group at a threshold of $threshold, covariates $covariates',
  ({ threshold, strata, covariates }) => {
    const agreed = agreedOn({
      threshold,
      ...(strata === undefined ? {} : { strata }),
      model: { covariates },
      balance: [],
    })
    let sites: readonly TestSite[]
    let result: PooledResult
    beforeAll(async () => {
      sites = await sitesOf(await demoRows(agreed), agreed)
      result = throughRounds(sites, agreed)
    })
    const apart = (site: TestSite): boolean => !site.made.plan.grouping.mergeGroups

    it('gives the retention of the rows', () => {
      const rows = stackedOnGrids(sites, agreed)
      const curve = kaplanMeier(rows.timeDays, rows.event, { entry: rows.entryDays })
      expect(result.overall.steps).toHaveLength(curve.rows.length)
      curve.rows.forEach((row, i) => {
        const step = result.overall.steps[i]!
        expect(step.timeDays).toBe(row.time)
        close(step.retention, row.survival)
        expect(step.atRisk).toBe(row.atRisk)
        if (typeof row.lower === 'number') close(step.lower, row.lower)
      })
    })

    it('gives the cumulative incidence of the rows', () => {
      const rows = stackedOnGrids(sites, agreed)
      const [own, other] = cumulativeIncidence(rows.timeDays, rows.status, { entry: rows.entryDays }).causes
      own!.rows.forEach((row, i) => {
        close(result.overall.steps[i]!.incidence, row.incidence)
        close(result.overall.steps[i]!.competingIncidence, other!.rows[i]!.incidence)
      })
    })

    it('gives the stratified log-rank test of the rows', () => {
      const rows = stackedOnGrids(sites, agreed, apart)
      const test = logRank(rows.timeDays, rows.event, rows.group, {
        strata: rows.stratum,
        entry: rows.entryDays,
      })
      close(result.logRank.statistic, test.statistic)
      expect(result.logRank.n).toBe(test.n)
    })

    it('gives the Mantel–Haenszel rate ratio of the rows', () => {
      const rows = stackedOnGrids(sites, agreed, apart)
      const strata = [...new Set(rows.stratum)].map((stratum) => {
        const side = (group: number) => {
          const own = rows.stratum.flatMap((one, i) =>
            one === stratum && rows.group[i] === group ? [i] : [],
          )
          const sum = (read: (i: number) => number): number => own.reduce((total, i) => total + read(i), 0)
          return {
            events: sum((i) => rows.event[i]!),
            timeAtRisk: sum((i) => rows.exactTimeDays[i]! - rows.exactEntryDays[i]!) / daysPerYear,
          }
        }
        return { group: side(1), against: side(0) }
      })
      const ratio = pooledRateRatio(strata)
      close(result.rateRatio.estimate, ratio.estimate)
      close(result.rateRatio.interval.lower, ratio.interval.lower)
      close(result.rateRatio.interval.upper, ratio.interval.upper)
    })

    it('gives the stratified hazard ratios of the rows with their patient-robust intervals', () => {
      expect(result.model.state).toBe('settled')
      if (result.model.state !== 'settled') return
      const inModel = (site: TestSite): boolean => site.made.summary.model.state === 'given'
      const onModelGrid = sites.filter(inModel).map((site) => {
        if ('withheld' in site.made.model) throw new Error('unexpected')
        return { ...site, made: { ...site.made, plan: site.made.model.plan } }
      })
      const rows = stackedOnGrids(onModelGrid, agreed)
      const known = rows.event.flatMap((_e, i) =>
        rows.covariates.every((column) => column[i]! < 2) ? [i] : [],
      )
      const kept = <T>(column: readonly T[]): T[] => known.map((i) => column[i]!)
      const times = timesOf({
        entryDays: kept(rows.entryDays),
        timeDays: kept(rows.timeDays),
        event: kept(rows.event),
      })
      const columns = Object.fromEntries(rows.covariates.map((column, c) => [`c${c}`, kept(column)]))
      const fit = coxRegression(
        times,
        { group: kept(rows.group), ...columns },
        { strata: kept(rows.stratum), cluster: kept(rows.patient) },
      )
      fit.hazardRatios.forEach((expected, j) => {
        const found = result.model.state === 'settled' ? result.model.hazardRatios[j]! : undefined
        close(found!.estimate, expected.estimate)
        close(found!.standardError!.value, expected.standardError!.value)
        close(found!.interval.lower, expected.interval.lower)
        close(found!.interval.upper, expected.interval.upper)
        expect(found!.clusters).toBe(new Set(rows.patient).size)
      })
    })

    it('reads retention between the ends of intervals within two points of exact times', () => {
      const rows = stackedOnGrids(sites, agreed)
      const exact = kaplanMeier(rows.exactTimeDays, rows.exactEvent, { entry: rows.exactEntryDays })
      for (const { years, retentionSpread } of result.overall.horizons) {
        const value = [...exact.rows].reverse().find((row) => row.time <= years * daysPerYear)!.survival
        expect(Math.abs((retentionSpread.estimate as number) - value)).toBeLessThan(0.02)
      }
    })
  },
)

describe('a model with covariates over generated clinics', () => {
  it('gives the hazard ratios of the rows on the grids of the model', async () => {
    const agreed = agreedOn({
      strata: null,
      balance: [],
      model: { covariates: [{ field: 'opposing', levels: ['natural', 'ceramic', 'metal'] }] },
    })
    const sites = await sitesOf(
      [1, 2, 3].map((seed) =>
        syntheticRows(agreed.protocol, {
          clinic: `clinic ${seed}`,
          patients: seed === 3 ? 2000 : 700,
          eventShare: 0.25,
          competingShare: 0.1,
          lateShare: seed === 3 ? 0.5 : 0,
          seed,
        }),
      ),
      agreed,
    )
    const result = throughRounds(sites, agreed)
    if (result.model.state !== 'settled') throw new Error(result.model.state)
    const onModelGrid = sites.map((site) => {
      if ('withheld' in site.made.model) throw new Error(site.made.model.withheld)
      return { ...site, made: { ...site.made, plan: site.made.model.plan } }
    })
    const rows = stackedOnGrids(onModelGrid, agreed)
    const [covariate] = rows.covariates
    const known = rows.event.flatMap((_e, i) => (covariate![i]! < 3 ? [i] : []))
    const kept = <T>(column: readonly T[]): T[] => known.map((i) => column[i]!)
    const fit = coxRegression(
      timesOf({ entryDays: kept(rows.entryDays), timeDays: kept(rows.timeDays), event: kept(rows.event) }),
      {
        group: kept(rows.group),
        ceramic: kept(covariate!).map((code) => (code === 1 ? 1 : 0)),
        metal: kept(covariate!).map((code) => (code === 2 ? 1 : 0)),
      },
      { strata: kept(rows.stratum), cluster: kept(rows.patient) },
    )
    const { hazardRatios } = result.model
    expect(hazardRatios).toHaveLength(3)
    for (const [j, expected] of fit.hazardRatios.entries()) {
      close(hazardRatios[j]!.estimate, expected.estimate)
      close(hazardRatios[j]!.standardError!.value, expected.standardError!.value)
    }
  })
})
