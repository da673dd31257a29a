import { describe, expect, it } from 'vitest'
import { defaultDefinition, exposureGroups } from '../../src/cohort/definition.js'
import { deliveryDayExposure } from '../../src/cohort/exposure.js'
import { crown, recordsOf, tightening } from './recordsOf.js'

/** Exposure of one restoration with the tightenings given. */
function exposed(
  tightenings: readonly ReturnType<typeof tightening>[],
  more: Parameters<typeof crown>[1] = {},
): { group: string; wait: number; disagrees: number; reportOnly: number } {
  const records = recordsOf({ restorations: [crown('a', more)], tightenings })
  const exposure = deliveryDayExposure(records, defaultDefinition)
  return {
    group: exposureGroups[exposure.groupCode[0]!]!,
    wait: exposure.waitMinutes[0]!,
    disagrees: exposure.disagrees[0]!,
    reportOnly: exposure.fromReportOnly[0]!,
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
      group: 'repeated in the window',
      reportOnly: 1,
    })
    expect(exposed([tightening('a', 0)], { tightening_group: 'repeated' })).toMatchObject({
      group: 'single',
      disagrees: 1,
      reportOnly: 0,
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
