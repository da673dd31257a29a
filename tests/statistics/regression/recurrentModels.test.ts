import { describe, expect, it } from 'vitest'
import { coxRegression } from '../../../src/statistics/hazardModels/cox.js'
import {
  andersenGill,
  conditionalModel,
  eventNumbers,
  marginalModel,
  marginalRows,
} from '../../../src/statistics/hazardModels/recurrentModels.js'
import { splitAtChange } from '../../../src/statistics/hazardModels/timeDependent.js'

// Three units: u has events at 3 and 7, then leaves at 9; v leaves at 5; w has an event at 4 and leaves with it.
const episodes = { start: [3, 0, 7, 0, 0], stop: [7, 3, 9, 5, 4], event: [1, 1, 0, 0, 1] }
const unit = ['u', 'u', 'u', 'v', 'w']
const x = [1, 1, 1, 0, 0]

describe('recurrent events', () => {
  it('are numbered by what came before, in any order of rows', () => {
    expect([...eventNumbers(episodes, unit)]).toEqual([2, 1, 3, 1, 1])
  })

  it('refuse stretches that overlap', () => {
    expect(() => eventNumbers({ start: [0, 2], stop: [3, 5], event: [1, 0] }, ['u', 'u'])).toThrow(
      'two stretches of one unit overlap, first in row 2 of 2. Expected: stretches of a unit that follow each other. Mend: cut each stretch where the next begins.',
    )
  })

  it('on one clock are a Cox regression with robust variance', () => {
    const fit = andersenGill(episodes, { x }, unit)
    const cox = coxRegression(episodes, { x }, { cluster: unit })
    expect(fit).toEqual(cox)
    // Risk sets by hand: at 3 {u, v, w}, at 4 {u, v, w}, at 7 {u}: U(β) = (1 − p) − p with p = r/(r + 2), so r = 2.
    expect(fit.hazardRatios[0]!.estimate).toBeCloseTo(2, 8)
  })

  it('by gap time start anew after each event', () => {
    const gap = conditionalModel(episodes, { x }, eventNumbers(episodes, unit), unit, { clock: 'gap' })
    const byHand = coxRegression(
      { time: [4, 3, 2, 5, 4], event: episodes.event },
      { x },
      { strata: [2, 1, 3, 1, 1], cluster: unit },
    )
    expect(gap).toEqual(byHand)
    // Risk sets by hand: first events at 3 {u, v, w} and 4 {v, w}, second at 4 {u}; at β = 0 their logarithms.
    expect(gap.logLikelihoodAtZero).toBeCloseTo(-Math.log(3) - Math.log(2), 12)
  })

  it('pool late events in one stratum on request', () => {
    const pooled = conditionalModel(episodes, { x }, eventNumbers(episodes, unit), unit, { pooledFrom: 1 })
    expect(pooled.logLikelihood).toBe(andersenGill(episodes, { x }, unit).logLikelihood)
  })

  it('in the marginal model wait for each event from the origin', () => {
    const rows = marginalRows(episodes, unit, 2)
    expect([...rows.time]).toEqual([3, 7, 5, 5, 4, 4])
    expect([...rows.event]).toEqual([1, 1, 0, 0, 1, 0])
    expect([...rows.eventNumber]).toEqual([1, 2, 1, 2, 1, 2])
    const fit = marginalModel(
      { time: rows.time, event: rows.event },
      { x: Array.from(rows.episode, (episode) => x[episode]!) },
      rows.eventNumber,
      Array.from(rows.episode, (episode) => unit[episode]!),
    )
    expect(fit.events).toBe(3)
    expect(fit.clusters).toBe(3)
  })
})

describe('rows cut at a change', () => {
  it('count time before the change to the group before it', () => {
    const rows = splitAtChange({ time: [5, 8, 4, 6], event: [1, 0, 1, 1] }, [3, Number.NaN, 4, 0])
    expect([...rows.row]).toEqual([0, 0, 1, 2, 3, 3])
    expect([...rows.changed]).toEqual([0, 1, 0, 0, 0, 1])
    expect([...rows.event]).toEqual([0, 1, 0, 1, 0, 1])
    expect([...rows.stop]).toEqual([3, 5, 8, 4, 0, 6])
  })

  it('leave the likelihood of covariates that do not change as it was', () => {
    const times = { time: [5, 8, 4, 6, 9, 2], event: [1, 0, 1, 1, 1, 1] }
    const group = [1, 0, 1, 0, 0, 1]
    const rows = splitAtChange(times, [3, 2, Number.NaN, 5, 1, 1])
    const { start, stop, event } = rows
    const cut = coxRegression({ start, stop, event }, { group: Array.from(rows.row, (row) => group[row]!) })
    expect(cut.logLikelihood).toBeCloseTo(coxRegression(times, { group }).logLikelihood, 12)
  })
})
