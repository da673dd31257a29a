import { beforeAll, describe, expect, test } from 'vitest'
import { further, type Group, group, type Json, read, truth } from './outsider.js'

/**
 * Six practices share the days to the end of 2023, five of them the two years after: what do both releases together tell
 * of the one that stayed away, which everybody knows by name?
 */

let made: Group
let first: Json
let second: Json
let alone: number[]

beforeAll(() => {
  made = group(6, 40, true)
  alone = truth(made.at('place-5'))
  first = read(made.at('release', 'report', 'results.json')).endpoints[0]
  further(made, [0, 1, 2, 3, 4], 'second', { from: '2023-12-31', cutoff: '2025-12-31' })
  second = read(made.at('second-out', 'report', 'results.json')).endpoints[0]
}, 300_000)

/** Of the one that stayed away, by group: restorations that went on when the first release ended. */
const wentOn = (at: number): number =>
  (alone[1 + at] as number) - (alone[3 + at] as number) - (alone[5 + at] as number)

describe('a practice that stays away from the second release', () => {
  test('events of the second release are of other days and practices: the first less them is nothing', () => {
    for (const at of [0, 1]) {
      expect(second.groups[at].sites).toBe(5)
      expect(second.groups[at].events).toBeLessThan(first.groups[at].events)
    }
  })
  test('how many of its restorations went on is told nearly: those of all less those seen again', () => {
    // Who was not seen again after the first release, and who was new in the second, keep the difference from being it.
    const guessed = [0, 1].map((at) => {
      const { restorations, events, competing } = first.groups[at]
      return restorations - events - competing - second.groups[at].restorations
    })
    expect([guessed, [0, 1].map(wentOn)]).toEqual([
      [12, 20],
      [18, 18],
    ])
  })
  test('by interval since delivery the totals give bounds only, seldom the number, and never that there is one', () => {
    // Of those of all that went on in an interval, at least so many entered it in the second release.
    const totals = ['release', 'second-out'].map(
      (folder) => read(made.at(folder, 'for-sites', 'totals.json')).values as number[],
    ) as [number[], number[]]
    let [cells, reached] = [0, 0]
    for (const at of [0, 1])
      for (let k = 0; k < 40; k++) {
        const read = (values: readonly number[], interval: number, part: number): number =>
          interval < 0 || interval > 39 ? 0 : (values[29 + 5 * (40 * at + interval) + part] as number)
        const gone = (values: readonly number[]): number =>
          read(values, k, 0) - read(values, k + 1, 0) - read(values, k, 1) - read(values, k, 2)
        const entered =
          read(totals[1], k, 0) -
          read(totals[1], k - 1, 0) +
          read(totals[1], k - 1, 1) +
          read(totals[1], k - 1, 2)
        const most = gone(totals[0]) - Math.max(0, k === 0 ? 0 : entered)
        const own = gone(alone)
        if (own === 0) continue
        cells++
        expect(most).toBeGreaterThanOrEqual(own)
        if (most === own) reached++
      }
    expect([cells, reached]).toEqual([17, 1])
  })
})
