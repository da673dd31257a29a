import { describe, expect, it } from 'vitest'
import { isNumber } from '../../src/core/estimate.js'
import { streamOfHashes } from '../../src/core/random.js'
import { pooledResult } from '../../src/pooling/coordinator/groupResult.js'
import { fromWholeNumbers, layoutOf, wholeNumbers } from '../../src/pooling/protocol/layout.js'
import type { SiteRows } from '../../src/pooling/site/siteRows.js'
import { coxRegression } from '../../src/statistics/hazardModels/cox.js'
import { agreedOn, numbersOfRows, stacked, syntheticPractice } from './syntheticGroup.js'

const agreed = agreedOn()
const { protocol } = agreed
const layout = layoutOf(protocol)
const seeds = process.env.HOLDFAST_SHAPES === 'full' ? 40 : 2

/** The result of a group as sums give it, rounded to parts of 128 times a factor. */
function resultOf(all: readonly SiteRows[], route: 'rows' | 'sums', finer: number) {
  const whole = all.map((one) => wholeNumbers(numbersOfRows(one, protocol).sums, layout, finer))
  const total = whole[0]!.map((_value, i) => whole.reduce((sum, one) => sum + one[i]!, 0))
  return pooledResult(fromWholeNumbers(total, layout, finer), agreed, {
    route,
    sites: all.map(({ clinics }) => ({ name: clinics[0]!, open: false })),
    generated: true,
  }).endpoints[0]!
}

type Shape = (rows: SiteRows, site: number) => SiteRows
const days = (rows: SiteRows, timeDays: Float64Array, entryDays = rows.entryDays): SiteRows => ({
  ...rows,
  timeDays,
  foundDays: timeDays,
  clearDays: timeDays,
  entryDays,
})
const noEntry = (rows: SiteRows): Float64Array => new Float64Array(rows.n).fill(-1)

const shapes: Readonly<Record<string, { readonly sites: number; readonly of: Shape }>> = {
  'as they come': { sites: 12, of: (rows) => rows },
  'three practices': { sites: 3, of: (rows) => rows },
  'ties by the month': {
    sites: 6,
    of: (rows) =>
      days(
        rows,
        rows.timeDays.map((day) => 30 * Math.ceil((day + 1) / 30)),
        noEntry(rows),
      ),
  },
  'all on one day': {
    sites: 6,
    of: (rows) =>
      days(
        rows,
        rows.timeDays.map(() => 400),
        noEntry(rows),
      ),
  },
  'everything in one practice, one restoration in each other': {
    sites: 5,
    of: (rows, site) => (site === 0 ? rows : first(rows, 1)),
  },
  'one patient in each practice': {
    sites: 8,
    of: (rows) => ({ ...rows, patient: new Int32Array(rows.n) }),
  },
  'events in one practice only': {
    sites: 6,
    of: (rows, site) => ({ ...rows, status: rows.status.map((one) => (site === 0 ? one : 0)) }),
  },
  'no events': { sites: 4, of: (rows) => ({ ...rows, status: new Uint8Array(rows.n) }) },
  'each practice one group': {
    sites: 6,
    of: (rows, site) => ({ ...rows, group: new Uint8Array(rows.n).fill(site % 2) }),
  },
  'a group without events': {
    sites: 6,
    of: (rows) => ({ ...rows, status: rows.status.map((one, row) => (rows.group[row] === 1 ? 0 : one)) }),
  },
}

function first(rows: SiteRows, n: number): SiteRows {
  const cut = Object.entries(rows).map(([name, value]) => [
    name,
    ArrayBuffer.isView(value) ? (value as Uint8Array).slice(0, n) : name === 'n' ? n : value,
  ])
  return Object.fromEntries(cut) as unknown as SiteRows
}

describe.each(Object.entries(shapes))('a group: %s', (_name, { sites, of }) => {
  it.each(Array.from({ length: seeds }, (_one, i) => i + 1))('seed %i', (seed) => {
    const stream = streamOfHashes(seed, 77)
    const all = Array.from({ length: sites }, (_one, i) => {
      const restorations = 3 + stream.index(200)
      const site = { name: `Practice ${i}`, restorations, eventShare: 0.15, groupShare: 0.4, lateShare: 0.2 }
      return of(syntheticPractice(protocol, site, seed * 100 + i), i)
    })
    const rows = stacked(all)
    const fine = resultOf(all, 'rows', 2 ** 26)
    const coarse = resultOf(all, 'sums', 1)
    for (const [group, figures] of coarse.groups.entries()) {
      if ('withheld' in figures) continue
      const own = rows.group.flatMap((one, row) => (one === group ? [row] : []))
      expect(figures.restorations).toBe(own.length)
      expect(figures.events).toBe(own.filter((row) => rows.event[row] === 1).length)
      for (const year of figures.years) expect(year.patients >= 5 && year.sites >= 3).toBe(true)
      const events = figures.years.reduce((sum, year) => sum + year.endpoint, 0)
      if (figures.years.length > 0) expect(events).toBe(figures.events)
    }
    // What is withheld or cannot be had is a state with a reason, nowhere a number that is none.
    expect(JSON.stringify(coarse)).not.toMatch(/null|NaN|Infinity/)
    const { estimate, standardError } = fine.comparison.hazardRatio
    const fit = fitOf(rows)
    if (fit === undefined || Math.abs(fit.log) > 1.9) return
    expect(Math.abs(Math.log(estimate as number) - fit.log)).toBeLessThan(1e-7)
    // What is left is the interpolation between 16 nodes: 1.9e-6 at most in 400 groups.
    expect(Math.abs(standardError!.value / fit.error - 1)).toBeLessThan(5e-6)
    const printed = coarse.comparison.hazardRatio
    if (!isNumber(printed.estimate)) return
    // Rounding to 1/128 at each practice, then three digits.
    expect(Math.abs(Math.log(printed.estimate) - fit.log)).toBeLessThan(0.006 + 0.01 * fit.error)
    expect(Math.abs(printed.standardError!.value / fit.error - 1)).toBeLessThan(0.02)
  })
})

function fitOf(
  rows: ReturnType<typeof stacked>,
): { readonly log: number; readonly error: number } | undefined {
  try {
    const { hazardRatios } = coxRegression(
      { start: rows.start, stop: rows.stop, event: rows.event },
      { group: rows.group },
      { strata: rows.stratum, cluster: rows.patient },
    )
    const { estimate, standardError } = hazardRatios[0]!
    if (!isNumber(estimate) || standardError === undefined || !(standardError.value > 1e-6)) return undefined
    return { log: Math.log(estimate), error: standardError.value }
  } catch {
    return undefined
  }
}
