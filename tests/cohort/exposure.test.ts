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
})
