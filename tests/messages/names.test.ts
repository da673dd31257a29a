import { describe, expect, test } from 'vitest'
import { askedNames } from '../../src/cohort/traits.js'
import { opening } from '../../src/messages/message.js'
import { endpointLabel, fieldName, groupNameBy, levelName } from '../../src/messages/names.js'
import { hasMessage, speaker } from '../../src/messages/speaker.js'
import { endpointNames } from '../../src/vocabulary/endpoints.js'
import { exposureGroups } from '../../src/vocabulary/exposure.js'
import { fieldOf, sheetFields } from '../../src/vocabulary/fields.js'

const english = speaker()
const say = (words: Parameters<typeof english.text>[0]): string => english.text(words)

describe('names', () => {
  test('there are of everything that a cohort can be asked by, and of every code of it', () => {
    const nameless = askedNames.filter(
      (name) => typeof fieldName(name) === 'object' && !worded(fieldName(name)),
    )
    expect(nameless).toEqual([])
    const levels = sheetFields.restorations
      // Bands of age are numbers, and read as they stand.
      .filter(({ name, codes }) => codes !== undefined && name !== 'age_band')
      .flatMap(({ name, codes }) => codes!.map((code) => [name, code] as const))
    expect(levels.filter(([name, code]) => !worded(levelName(name, code)))).toEqual([])
  })

  test('there are of every finding, of what was done, and of every endpoint and group', () => {
    for (const field of ['finding', 'action_taken', 'restoration_status']) {
      const codes = fieldOf('visits', field)!.codes!
      expect(codes.filter((code) => !hasMessage(`level.${field}.${code}`))).toEqual([])
    }
    expect(endpointNames.filter((name) => !worded(endpointLabel(name)))).toEqual([])
    expect(exposureGroups.filter((group) => !worded(levelName('tightening', group)))).toEqual([])
  })

  test('are those of the messages; what the practice named stands as it is', () => {
    expect(say(fieldName('region'))).toBe('region of the mouth')
    expect(say(fieldName('clinic'))).toBe('clinic')
    expect(say(fieldName('our own column'))).toBe('our own column')
    expect(say(levelName('connection', 'internal_hex'))).toBe('internal hex')
    expect(say(levelName('component_system', 'System_A'))).toBe('System_A')
    expect(say(levelName('tightening_reason', 'unknown'))).toBe('not recorded')
    expect(say(levelName('region', 'unknown'))).toBe('not known')
    expect(speaker('de').text(levelName('region', 'molar'))).toBe('Molaren')
    expect(say(endpointLabel('screw_loosening'))).toBe('screw loosening')
  })

  test('of groups go by what they were formed by', () => {
    expect(say(groupNameBy({ group: 'repeated in the window' }))).toBe('Repeated in window')
    expect(say(groupNameBy({ group: 'all' }, 'connection'))).toBe('All')
    expect(say(groupNameBy({ group: 'internal_hex' }, 'connection'))).toBe('internal hex')
    expect(say(groupNameBy({ group: '20–30', range: { from: 20, below: 30 } }, 'wait_minutes'))).toBe(
      '20 to below 30',
    )
  })

  test('begin a sentence with a capital, unless they came with the data', () => {
    expect(say(opening(fieldName('region')))).toBe('Region of the mouth')
    expect(say(opening(fieldName('our own column')))).toBe('our own column')
    expect(say(opening('screw_checked yes'))).toBe('screw_checked yes')
  })
})

function worded(words: ReturnType<typeof fieldName>): boolean {
  return typeof words === 'object' && 'kind' in words && words.kind === 'message'
}
