import { describe, expect, it } from 'vitest'
import { randomStream } from '../../src/core/random.js'
import {
  type FollowedSoFar,
  placedUnits,
  quantilesFor,
  staggeredPrecision,
  widthOfRisk,
} from '../../src/statistics/planning/staggeredPrecision.js'

const time = [
  1200, 759, 669, 313, 1104, 1152, 168, 490, 89, 273, 749, 434, 456, 244, 251, 1282, 159, 954, 179, 1099, 363,
  411, 250, 997, 999, 976, 112, 406, 1168, 857, 135, 165, 746, 1363, 161, 150, 455, 420, 285, 897, 1348, 502,
  484, 527, 736, 275, 390, 438, 1363, 39, 641, 1059, 1202, 524, 1206, 315, 408, 654, 260, 126,
]
const status = [
  0, 0, 0, 0, 0, 0, 1, 1, 1, 0, 0, 1, 1, 0, 0, 0, 1, 0, 1, 0, 0, 0, 0, 0, 0, 0, 1, 1, 0, 0, 1, 1, 0, 0, 1, 1,
  0, 0, 1, 0, 0, 0, 0, 0, 0, 1, 0, 1, 0, 1, 0, 0, 0, 0, 0, 0, 0, 0, 1, 1,
]
const sixty: FollowedSoFar = {
  time,
  status,
  entry: time.map(() => 0),
  cluster: time.map((_one, i) => i >> 1),
  possible: time.map((day) => day + 10),
}

describe('the precision of a risk among units that come in one after the other', () => {
  it('begins with what R finds in the same 60 units', () => {
    // R 4.2, package survival: survfit(Surv(time, status) ~ 1) at 1095 days: 0.6529876 free of the event, variance of its
    // log 0.01016311; with cluster = pairs of rows the variance is 1.288307 times as large. Time goes by months
    // here, which among so few moves the risk by a point.
    const found = staggeredPrecision(placedUnits(sixty, 365), { horizon: 1095.75, perDay: 0 })
    expect(Math.abs(found.risk - (1 - 0.6529876))).toBeLessThan(0.015)
    expect(found.in(0).independentVariance / 0.01016311).toBeCloseTo(1, 1)
    expect(found.ratio / 1.288307).toBeCloseTo(1, 1)
    expect(found.in(0).events).toBeCloseTo(
      status.reduce((sum, one) => sum + one, 0),
      1,
    )
  })

  it('counts a cluster that was drawn twice as two, and one that was not drawn not at all', () => {
    const drawn = Int32Array.from({ length: 30 }, (_one, cluster) => [1, 0, 2, 3][cluster % 4]!)
    const rows = time.flatMap((_one, row) =>
      Array.from({ length: drawn[row >> 1]! }, (_copy, copy) => ({ row, cluster: 10 * (row >> 1) + copy })),
    )
    const written: FollowedSoFar = {
      time: rows.map(({ row }) => time[row]!),
      status: rows.map(({ row }) => status[row]!),
      entry: rows.map(() => 0),
      cluster: rows.map(({ cluster }) => cluster),
      possible: rows.map(({ row }) => time[row]! + 10),
    }
    const options = { horizon: 1095.75, perDay: 0.1 }
    const found = staggeredPrecision(placedUnits(sixty, 365), { ...options, drawn })
    const wanted = staggeredPrecision(placedUnits(written, 365), options)
    expect(found.risk).toBeCloseTo(wanted.risk, 12)
    expect(found.ratio).toBeCloseTo(wanted.ratio, 12)
    for (const days of [0, 100, 400, 2000]) {
      const [one, other] = [found.in(days), wanted.in(days)]
      expect(one.events).toBeCloseTo(other.events, 10)
      expect(one.units).toBe(other.units)
      expect(one.independentVariance).toBeCloseTo(other.independentVariance, 12)
    }
  })

  it('gives a width that shrinks by the root of the units, by the formula of log-log limits', () => {
    // By hand: risk 0.1, standard error of the log 0.1, z = 1.959964.
    const spread = Math.exp((1.959964 * 0.1) / -Math.log(0.9))
    expect(widthOfRisk(0.1, 0.01, 1.959964)).toBeCloseTo(0.9 ** (1 / spread) - 0.9 ** spread, 6)
    // Table of Student's t in any handbook: 8 degrees of freedom, 97.5 %: 2.306.
    expect(quantilesFor(0.95)(10)).toBeCloseTo(2.306, 3)
    expect(widthOfRisk(0, 0.01, 2)).toBe(1)
  })

  it('counts at risk later what will be at risk: hand count of a steady stream', () => {
    // Nobody so far but ten with a full horizon each; one a day comes in, seen every 100 days, none lost, none with an
    // event before: after 1000 days, those older than the middle of the last bin less half a gap are at risk in it.
    const ten: FollowedSoFar = {
      time: Array.from({ length: 10 }, () => 365.25),
      status: Array.from({ length: 10 }, () => 0),
      entry: Array.from({ length: 10 }, () => 0),
      cluster: Array.from({ length: 10 }, (_one, i) => i),
      possible: Array.from({ length: 10 }, () => 365.25),
    }
    const found = staggeredPrecision(placedUnits(ten, 100), {
      horizon: 365.25,
      perDay: 1,
      assumedRisk: 0.0001,
      assumedRatio: 1,
    })
    const later = found.in(1000)
    const bins = 12
    const hazard = -Math.log1p(-0.0001) / bins
    let sum = 0
    for (let bin = 0; bin < bins; bin++) {
      const age = ((bin + 0.5) * 365.25) / 12
      sum += hazard / (10 + 1000 - age - 50)
    }
    expect(later.independentVariance / sum).toBeCloseTo(1, 3)
    expect(later.units).toBe(1010)
  })

  it('foretells the numbers at risk and the events of a practice that goes on for four years', () => {
    const [now, later] = [1500, 1500 + 1461]
    const units = drawn(11)
    const before = seenUntil(units, now)
    const model = staggeredPrecision(placedUnits(before, 365.25), {
      horizon: 1095.75,
      perDay: units.length / 3500,
    })
    const after = staggeredPrecision(placedUnits(seenUntil(units, later), 365.25), {
      horizon: 1095.75,
      perDay: 0,
    })
    const foretold = model.in(later - now)
    expect(foretold.events / after.in(0).events).toBeGreaterThan(0.85)
    expect(foretold.events / after.in(0).events).toBeLessThan(1.15)
    expect(foretold.independentVariance / after.in(0).independentVariance).toBeGreaterThan(0.8)
    expect(foretold.independentVariance / after.in(0).independentVariance).toBeLessThan(1.25)
  })
})

interface Unit {
  readonly came: number
  readonly eventDay: number
  readonly lostDay: number
}

/** Seven thousand units over 3500 days: constant hazard of 8 % in three years, a twentieth lost a year. */
function drawn(seed: number): readonly Unit[] {
  const random = randomStream(seed)
  return Array.from({ length: 7000 }, () => ({
    came: 3500 * random.uniform(),
    eventDay: (1095.75 * random.exponential()) / -Math.log(0.92),
    lostDay: (365.25 * random.exponential()) / 0.05,
  }))
}

/** What is known on a day: looks once a year, the event halfway between two of them. */
function seenUntil(units: readonly Unit[], day: number): FollowedSoFar {
  const rows = units.flatMap(({ came, eventDay, lostDay }, i) => {
    if (came >= day) return []
    const possible = day - came
    const looks = Math.floor(Math.min(possible, lostDay) / 365.25)
    const found = Math.ceil(eventDay / 365.25)
    const event = found <= looks
    return [{ time: 365.25 * (event ? found - 0.5 : looks), status: event ? 1 : 0, cluster: i, possible }]
  })
  return {
    time: rows.map((one) => one.time),
    status: rows.map((one) => one.status),
    entry: rows.map(() => 0),
    cluster: rows.map((one) => one.cluster),
    possible: rows.map((one) => one.possible),
  }
}
