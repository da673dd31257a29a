import { execFileSync } from 'node:child_process'
import { mkdtempSync, readdirSync, readFileSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join, resolve } from 'node:path'
import { describe, expect, test } from 'vitest'
import { notEstimable, warning } from '../../src/core/estimate.js'
import { catalogueOf, languages, readCatalogue } from '../../src/messages/catalogue.js'
import { listOf, message } from '../../src/messages/message.js'
import { foreign } from '../../src/messages/phrase.js'
import { reasonOf, speaker, speakerOf, warningOf } from '../../src/messages/speaker.js'
import { number, pathsOf } from '../../src/questions/words/place.js'

const root = resolve(import.meta.dirname, '../..')
const { codesOf, messagesOf, parametersOf, typesOf } = (await import(
  join(root, 'scripts/messageTypes.mjs')
)) as {
  messagesOf: (folder: string) => ReadonlyMap<string, string>
  codesOf: (messages: ReadonlyMap<string, string>) => string
  parametersOf: (words: string, code: string) => ReadonlyMap<string, string>
  typesOf: (messages: ReadonlyMap<string, string>) => string
}
const english = messagesOf(join(root, 'src/messages/en'))
const sources = (readdirSync(join(root, 'src'), { recursive: true }) as string[])
  .filter((name) => name.endsWith('.ts') && name !== 'messages/parameters.ts')
  .map((name) => readFileSync(join(root, 'src', name), 'utf8'))

/** Code written out, or the fixed beginning of one that is put together: `torque.band.${…}`. */
const named = new Set<string>()
const beginnings = new Set<string>(['reason.', 'warning.'])
for (const text of sources) {
  for (const [, code] of text.matchAll(/'([a-z][\w-]*(?:\.[\w·-]+)+)'/g)) named.add(code!)
  for (const [, beginning] of text.matchAll(/`([a-z][\w-]*\.[\w.-]*)\$\{/g)) beginnings.add(beginning!)
}
const coded = sources.join('\n')

describe('the catalogues', () => {
  test('types of the parameters are those of the catalogue', () => {
    const published = readFileSync(join(root, 'src/messages/parameters.ts'), 'utf8')
    expect(published === typesOf(english), 'run node scripts/messageTypes.mjs').toBe(true)
    const codes = readFileSync(join(root, 'src/core/codes.ts'), 'utf8')
    expect(codes === codesOf(english), 'run node scripts/messageTypes.mjs').toBe(true)
  })

  test('no message stands unused', () => {
    const unused = [...english.keys()].filter((code) => {
      const [, reason] = /^(?:reason|warning)\.(.*)$/.exec(code) ?? []
      if (reason !== undefined) return !coded.includes(`'${reason}'`)
      return !named.has(code) && ![...beginnings].some((beginning) => code.startsWith(beginning))
    })
    expect(unused).toEqual([])
  })

  test('every language asks for the parameters that English asks for, and has no message that English lacks', () => {
    for (const language of languages()) {
      for (const [code, words] of messagesOf(join(root, 'src/messages', language))) {
        const inEnglish = english.get(code)
        expect(inEnglish, `${language}: ${code}`).toBeDefined()
        const asked = [...parametersOf(words, code)].sort()
        const known = new Map(parametersOf(inEnglish!, code))
        for (const [name] of asked)
          expect(known.has(name), `${language}: ${code} asks for ${name}`).toBe(true)
      }
    }
  })

  test('a language without a folder is refused with those that there are', () => {
    expect(() => catalogueOf('enn')).toThrow(
      'there is no language "enn". Expected: one of de, en, es, fr. Mend: did you mean en?',
    )
    expect(() => catalogueOf('../en')).toThrow('there is no language "../en"')
  })

  test('a language is one folder: what it lacks is said in English', () => {
    const folder = mkdtempSync(join(tmpdir(), 'language-'))
    writeFileSync(
      join(folder, 'torque.json'),
      JSON.stringify({ 'torque.over': 'Darüber', 'quantity.interval': '{lower} bis {upper}' }),
    )
    const german = speakerOf('de', readCatalogue(folder))
    const at = pathsOf({ from: 0.1234, to: 1234.5 })
    expect(german.text(message('torque.over'))).toBe('Darüber')
    expect(german.text(message('torque.under'))).toBe('Under')
    expect(
      german.text(
        message('quantity.interval', { lower: number(at.from, 'percent'), upper: number(at.to, 'count') }),
      ),
    ).toBe('12,3\u00a0% bis 1.235')
  })
})

describe('a speaker', () => {
  const at = pathsOf({ applications: 1, restorations: 1234, share: 0.5 }, 'torque')

  test('keeps cited numbers, pointers and text of the data as parts of their own', () => {
    const pointer = { kind: 'pointer', target: 'table-torque', text: 'Table 1' } as const
    const said = speaker().phrase(
      message('quantity.interval', { lower: number(at.share, 'percent'), upper: [pointer, foreign('<b>')] }),
    )
    expect(said).toEqual([
      { kind: 'number', text: '50.0%', path: 'torque.share', format: 'percent', value: 0.5 },
      ' to ',
      pointer,
      { kind: 'foreign', text: '<b>' },
    ])
  })

  test('counts by the number that is cited, and shows it', () => {
    expect(
      speaker().text(
        message('torque.no-target-known', {
          applications: number(at.applications, 'count'),
          restorations: number(at.restorations, 'count'),
        }),
      ),
    ).toMatch(/^1 tightening of 1,234 restorations is recorded/)
  })

  test('joins as the language joins', () => {
    expect(speaker().text(listOf(['a', 'b', 'c']))).toBe('a, b and c')
    expect(speakerOf('de', new Map()).text(listOf(['a', 'b']))).toBe('a und b')
  })

  test('words reasons and warnings by their codes, and shows a code of a later release as it is', () => {
    expect(speaker().text(warningOf(warning('measured-repeatedly', { restorations: 2 })))).toBe(
      '2 restorations were measured more than once; the mean of each counts as one value.',
    )
    expect(speaker().text(warningOf({ code: 'of-a-later-release' }))).toBe('of-a-later-release')
    expect(speaker().text(reasonOf(notEstimable('no-rows')))).toBe('there are no rows')
    expect(speaker().text(reasonOf({ reason: 'of-a-later-release' }))).toBe('of-a-later-release')
  })
})

test('the generator of the types refuses a number without its name, and names the message', () => {
  expect(() => parametersOf('{n, plural, one {#} other {#}}', 'a.b')).toThrow(
    'a.b: write the name of the number rather than #',
  )
  expect(() => parametersOf('{n, plural', 'a.b')).toThrow('a.b: ')
  const printed = execFileSync(process.execPath, [join(root, 'scripts/messageTypes.mjs'), '--print'], {
    encoding: 'utf8',
  })
  expect(printed).toBe(typesOf(english))
})
