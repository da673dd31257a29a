import { describe, expect, it } from 'vitest'
import { defaultDefinition, exposureGroups } from '../../src/cohort/definition.js'
import { chartedWays, deliveryDayExposure } from '../../src/cohort/exposure.js'
import { crown, recordsOf, tightening } from './recordsOf.js'

/** Exposure of one restoration with the tightenings given. */
function exposed(
  tightenings: readonly ReturnType<typeof tightening>[],
  more: Parameters<typeof crown>[1] = {},
): { group: string; wait: number; disagrees: number; reportOnly: number; second: number; charted: string } {
  const records = recordsOf({ restorations: [crown('a', more)], tightenings })
  const exposure = deliveryDayExposure(records, defaultDefinition)
  return {
    group: exposureGroups[exposure.groupCode[0]!]!,
    wait: exposure.waitMinutes[0]!,
    disagrees: exposure.disagrees[0]!,
    reportOnly: exposure.fromReportOnly[0]!,
    second: exposure.secondRecorded[0]!,
    charted: chartedWays[exposure.charted[0]!]!,
  }
}

describe('exposure of the delivery day', () => {
  it.each([
    [[0], 'single'],
    [[0, 10], 'repeated in the window'],
    [[0, 15], 'repeated in the window'],
    [[0, 9.9], 'repeated outside the window'],
    [[0, 16], 'repeated outside the window'],
    [[0, 5, 12], 'repeated in the window'],
    [[3, 15], 'repeated in the window'],
    [[], 'unknown'],
  ])('of tightenings at minutes %j is %s', (minutes, group) => {
    expect(exposed(minutes.map((minute) => tightening('a', minute))).group).toBe(group)
  })

  it('keeps undoing and tightening again apart', () => {
    const again = tightening('a', 12, { action: 'undo_then_tighten' })
    expect(exposed([tightening('a', 0), again]).group).toBe('undone and tightened again')
  })

  it('never counts a later tightening at recall, nor a bench measurement', () => {
    const recall = tightening('a', 12, { context: 'recall_check', days_since_delivery: 365 })
    const bench = tightening('a', 12, { action: 'removal_measurement' })
    expect(exposed([tightening('a', 0), recall, bench]).group).toBe('single')
  })

  it('is "other" where the screws of one restoration disagree', () => {
    const two = [
      tightening('a', 0, { screw_position: '1' }),
      tightening('a', 12, { screw_position: '1' }),
      tightening('a', 0, { screw_position: '2' }),
    ]
    expect(exposed(two).group).toBe('other')
  })

  it('takes the reported group only for want of events, and says so', () => {
    expect(exposed([], { tightening_group: 'repeated' })).toMatchObject({
      group: 'repeated, wait not recorded',
      reportOnly: 1,
    })
    expect(exposed([], { tightening_group: 'single' })).toMatchObject({
      group: 'single, by the chart',
      reportOnly: 1,
    })
    expect(exposed([tightening('a', 0)], { tightening_group: 'repeated' })).toMatchObject({
      group: 'single',
      disagrees: 1,
      reportOnly: 0,
    })
  })

  it('calls a second tightening without minutes repeated, and never by the window', () => {
    const second = tightening('a', 0, { minutes_since_first: Number.NaN })
    expect(exposed([tightening('a', 0), second])).toMatchObject({
      group: 'repeated, wait not recorded',
      second: 1,
      reportOnly: 0,
    })
  })

  it('reads one blank beside a later minute as the first tightening', () => {
    const first = tightening('a', 0, { minutes_since_first: Number.NaN })
    expect(exposed([first, tightening('a', 12)]).group).toBe('repeated in the window')
  })

  it('does not count what is called delivery but dated at a later visit', () => {
    const later = tightening('a', 12, { days_since_delivery: '200' })
    expect(exposed([tightening('a', 0), later], { tightening_group: 'repeated' })).toMatchObject({
      group: 'single',
      second: 0,
      charted: 'repeated',
    })
  })

  it('takes a reported repeat as agreeing with a repeat outside the window', () => {
    const late = [tightening('a', 0), tightening('a', 30)]
    expect(exposed(late, { tightening_group: 'repeated' }).disagrees).toBe(0)
  })

  it('measures the wait from the first to the second tightening', () => {
    expect(exposed([tightening('a', 0), tightening('a', 12), tightening('a', 30)]).wait).toBe(12)
  })

  it('takes the shortest wait where several screws waited', () => {
    const screws = (first: number, second: number) => [
      tightening('a', 0, { screw_position: '1' }),
      tightening('a', first, { screw_position: '1' }),
      tightening('a', 0, { screw_position: '2' }),
      tightening('a', second, { screw_position: '2' }),
    ]
    expect(exposed(screws(14, 11))).toMatchObject({ group: 'repeated in the window', wait: 11 })
    expect(exposed(screws(11, 14))).toMatchObject({ group: 'repeated in the window', wait: 11 })
    expect(exposed(screws(11, 30))).toMatchObject({ group: 'other', wait: 11 })
    const one = [tightening('a', 0, { screw_position: '1' }), ...screws(0, 13).slice(2)]
    expect(exposed(one)).toMatchObject({ group: 'other', wait: 13, second: 1 })
    expect(exposed([tightening('a', 0)])).toMatchObject({ wait: Number.NaN, second: 0 })
  })

  it('counts the wait from the first, in whatever order the rows stand', () => {
    expect(exposed([tightening('a', 30), tightening('a', 3), tightening('a', 15)])).toMatchObject({
      group: 'repeated in the window',
      wait: 12,
    })
  })

  it('knows no wait where more than one time is blank, or the blank stands beside the first', () => {
    const blank = tightening('a', 0, { minutes_since_first: Number.NaN })
    expect(exposed([blank, blank])).toMatchObject({ group: 'repeated, wait not recorded', wait: Number.NaN })
    expect(exposed([blank, blank, tightening('a', 12)])).toMatchObject({
      group: 'repeated, wait not recorded',
    })
    expect(exposed([blank, tightening('a', 0)])).toMatchObject({
      group: 'repeated, wait not recorded',
      wait: Number.NaN,
    })
    expect(exposed([blank, tightening('a', 12), tightening('a', 30)])).toMatchObject({
      group: 'repeated in the window',
      wait: 12,
    })
    expect(exposed([blank])).toMatchObject({ group: 'single', wait: Number.NaN, second: 0 })
  })

  it('reads what has no recorded context, action or screw by what it does say', () => {
    const { context: _context, ...placeless } = tightening('a', 0)
    expect(exposed([placeless as never])).toMatchObject({ group: 'unknown' })
    const { action: _action, ...bare } = tightening('a', 0)
    expect(exposed([bare as never])).toMatchObject({ group: 'single' })
    expect(exposed([bare as never, { ...bare, minutes_since_first: 12 } as never])).toMatchObject({
      group: 'repeated in the window',
      wait: 12,
    })
  })

  it('of the day itself counts, dated or not', () => {
    const dated = [
      tightening('a', 0, { days_since_delivery: 0 }),
      tightening('a', 12, { days_since_delivery: 0 }),
    ]
    expect(exposed(dated).group).toBe('repeated in the window')
    const later = tightening('a', 12, { days_since_delivery: 1 })
    expect(exposed([tightening('a', 0, { days_since_delivery: 0 }), later]).group).toBe('single')
  })

  it.each([
    ['single', [0], 0],
    ['single', [0, 12], 1],
    ['repeated', [0], 1],
    ['repeated', [0, 12], 0],
    ['other', [0], 1],
    ['other', [0, 12], 1],
  ])('charted as %s with minutes %j disagrees: %i', (tightening_group, minutes, disagrees) => {
    expect(
      exposed(
        minutes.map((one) => tightening('a', one)),
        { tightening_group },
      ),
    ).toMatchObject({
      disagrees,
      charted: tightening_group,
      reportOnly: 0,
    })
  })

  it('charted as other agrees with what was undone, and the chart alone says other', () => {
    const undone = [tightening('a', 0), tightening('a', 12, { action: 'undo_then_tighten' })]
    expect(exposed(undone, { tightening_group: 'other' })).toMatchObject({ disagrees: 0 })
    expect(exposed(undone, { tightening_group: 'single' })).toMatchObject({ disagrees: 1 })
    expect(exposed([], { tightening_group: 'other' })).toMatchObject({ group: 'other', reportOnly: 1 })
    expect(exposed([])).toMatchObject({ group: 'unknown', reportOnly: 0, charted: 'nothing', disagrees: 0 })
    // Where the chart says nothing, nothing disagrees with it.
    expect(exposed([tightening('a', 0)])).toMatchObject({ charted: 'nothing', disagrees: 0 })
    expect(exposed(undone)).toMatchObject({ charted: 'nothing', disagrees: 0 })
  })

  it('is undone only where the screw itself was, and tightened at recall only where that is said', () => {
    const groups = (tightenings: readonly ReturnType<typeof tightening>[], count = 2) =>
      Array.from(
        deliveryDayExposure(
          recordsOf({ restorations: [crown('a'), crown('b')].slice(0, count), tightenings }),
          defaultDefinition,
        ).groupCode,
        (code) => exposureGroups[code],
      )
    const undone = tightening('a', 12, { action: 'undo_then_tighten' })
    const bench = tightening('a', 0, { action: 'removal_measurement' })
    // What is recorded first of all is an undoing, or a measurement.
    expect(groups([undone, tightening('b', 0), tightening('b', 12)])).toEqual([
      'undone and tightened again',
      'repeated in the window',
    ])
    expect(groups([bench, tightening('b', 0)])).toEqual(['unknown', 'single'])
    // A recall without a day is none of the day of delivery.
    expect(groups([tightening('a', 0), tightening('a', 12, { context: 'recall_check' })], 1)).toEqual([
      'single',
    ])
  })

  it('is read restoration by restoration', () => {
    const records = recordsOf({
      restorations: [crown('a'), crown('b'), crown('c')],
      tightenings: [tightening('a', 0), tightening('a', 12), tightening('c', 0)],
    })
    const { groupCode, waitMinutes } = deliveryDayExposure(records, defaultDefinition)
    expect(Array.from(groupCode, (code) => exposureGroups[code])).toEqual([
      'repeated in the window',
      'unknown',
      'single',
    ])
    expect([...waitMinutes]).toEqual([12, Number.NaN, Number.NaN])
  })

  it('follows the window that is asked for', () => {
    const records = recordsOf({
      restorations: [crown('a')],
      tightenings: [tightening('a', 0), tightening('a', 20)],
    })
    const by = (from: number, to: number) =>
      exposureGroups[
        deliveryDayExposure(records, { ...defaultDefinition, waitWindowMinutes: { from, to } }).groupCode[0]!
      ]
    expect(by(20, 30)).toBe('repeated in the window')
    expect(by(5, 20)).toBe('repeated in the window')
    expect(by(5, 19)).toBe('repeated outside the window')
    expect(by(21, 30)).toBe('repeated outside the window')
  })
})
