import { describe, expect, it } from 'vitest'
import { daysPerYear } from '../../../src/core/calendar.js'
import { outcomeOf } from '../../../src/questions/comparison/answer.js'
import { lossChallenge } from '../../../src/questions/comparison/challenges.js'
import { choiceDesigns, comparedRows, fitChoice } from '../../../src/questions/comparison/choice.js'
import { overlapEstimate } from '../../../src/questions/comparison/estimate.js'
import { tighteningGroups } from '../../../src/questions/comparison/groups.js'
import { lossOf } from '../../../src/questions/comparison/loss.js'
import { practice, type TestRestoration } from '../../analysis/practice.js'

/** Loss of a practice of two groups whose members are drawn by a rule. */
function lossIn(restorations: readonly TestRestoration[], keys: readonly string[] = []) {
  const cohort = practice(restorations)
  const compared = comparedRows(
    cohort,
    tighteningGroups(cohort, { group: 'repeated in the window', against: 'single' }),
  )!
  const outcome = outcomeOf(cohort, compared, 'midpoint')
  const designs = choiceDesigns(
    cohort,
    compared,
    { ...outcome, eventObserved: outcome.status.map((one) => (one === 1 ? 1 : 0)) },
    { keys, seed: 1, imputations: 1 },
  )
  const choice = fitChoice(designs)!
  const days = 3 * daysPerYear
  const lead = overlapEstimate(choice, outcome, days, { level: 0.95 })!
  return lossOf(cohort, compared, choice, outcome, lead, days, 0.95)
}

const yearly = (count: number) => Array.from({ length: count }, (_one, i) => 365 * (i + 1))

describe('loss to follow-up', () => {
  it('does not call the group lost faster that only had fewer findings', () => {
    // Among those never found loose, one in four of either group stays away after two years. Of the others many more of
    // one group are found loose in the first year and come on for years, in which nobody could count as lost.
    const group = (repeated: boolean, loosened: number): TestRestoration[] =>
      Array.from({ length: 200 }, (_one, i) => {
        if (i < loosened) return { repeated, checks: [...yearly(6)], loose: 100 }
        return { repeated, checks: yearly(i % 4 === 0 ? 2 : 6) }
      })
    const loss = lossIn([...group(true, 8), ...group(false, 80)])
    expect(loss.favoured).toBe(1)
    expect(loss.lost).toEqual({ group: 48, against: 30 })
    expect(Math.abs(Math.log(loss.hazardRatio!))).toBeLessThan(0.02)
    expect(loss.excessShare).toBeLessThan(0.02)
  })

  it('calls the group lost faster whose members stay away more often', () => {
    const group = (repeated: boolean, every: number, loosened: number): TestRestoration[] =>
      Array.from({ length: 200 }, (_one, i) => {
        if (i < loosened) return { repeated, checks: [...yearly(6)], loose: 100 }
        return { repeated, checks: yearly(i % every === 0 ? 2 : 6) }
      })
    const loss = lossIn([...group(true, 2, 8), ...group(false, 6, 40)])
    expect(loss.hazardRatio).toBeGreaterThan(2.5)
    expect(loss.pValue).toBeLessThan(0.001)
    expect(loss.estimate!.group.estimate).toBeGreaterThan(0.1)
  })

  it('counts as lost who was not seen for one and a half times the median gap between visits, and not before', () => {
    // Visits once a year; the records of the clinic end on the day on which the last one was seen.
    const end = 3650
    const group = (repeated: boolean, unseenFor: number): TestRestoration[] =>
      Array.from({ length: 60 }, (_one, i) => {
        if (i < 12) return { repeated, checks: yearly(10), loose: 100 }
        return { repeated, checks: i < 20 ? yearly(Math.floor((end - unseenFor) / 365)) : yearly(10) }
      })
    const lost = (unseenFor: number) => lossIn([...group(true, unseenFor), ...group(false, unseenFor)]).lost
    expect(lost(365)).toEqual({ group: 0, against: 0 })
    expect(lost(2 * 365)).toEqual({ group: 8, against: 8 })
    const byDays = (days: number) =>
      lossIn([
        ...group(true, 0),
        ...group(false, 0),
        ...[true, false].map((repeated) => ({ repeated, checks: [...yearly(8), end - days] })),
      ]).lost
    expect(byDays(547)).toEqual({ group: 0, against: 0 })
    expect(byDays(548)).toEqual({ group: 1, against: 1 })
  })

  it('sees who stays away where they are the ones whose screws come loose, and not where they are the others', () => {
    // Molars come loose, premolars hardly. As many of the favoured group stay away in both practices: molars in one,
    // premolars in the other. Counted alike, neither shows much.
    const group = (repeated: boolean, stays: 'molars' | 'premolars' | 'nobody'): TestRestoration[] =>
      Array.from({ length: 300 }, (_one, i): TestRestoration => {
        const molar = i % 2 === 0
        const fields = { tooth_position: molar ? '36' : '34' }
        if (i % 20 === (repeated ? 0 : 2) || (!repeated && i % 20 === 4)) {
          return { repeated, fields, checks: [100, 300], loose: 400 }
        }
        const away =
          (stays === 'molars' && molar && i % 8 === 6) || (stays === 'premolars' && !molar && i % 8 === 7)
        return { repeated, fields, checks: yearly(away || i % 10 === 9 ? 2 : 6) }
      })
    const of = (stays: 'molars' | 'premolars') =>
      lossIn([...group(true, stays), ...group(false, 'nobody')], ['region'])
    const [molars, premolars] = [of('molars'), of('premolars')]
    expect(molars.favoured).toBe(1)
    expect(molars.pValue!).toBeLessThan(premolars.pValue! / 5)
  })

  it('contradicts from P < 0.10 on, and only where the counted losses bring zero into the interval', () => {
    const ranged = (lower: number, upper: number) => ({ estimate: (lower + upper) / 2, lower, upper })
    const lead = { difference: ranged(-0.08, -0.01) } as never
    const effect = (pValue: number, counted: { readonly lower: number; readonly upper: number }) =>
      lossChallenge(
        {
          favoured: 1,
          lost: { group: 9, against: 5 },
          excessShare: 0.3,
          pValue,
          estimate: { difference: counted },
        } as never,
        lead,
      ).effect
    expect(effect(0.099, ranged(-0.06, 0.001))).toBe('contradicts')
    expect(effect(0.1, ranged(-0.06, 0.001))).toBe('agrees')
    expect(effect(0.001, ranged(-0.06, -0.001))).toBe('weakens')
  })
})
