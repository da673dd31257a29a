import { readdirSync, readFileSync } from 'node:fs'
import { join, resolve } from 'node:path'
import ts from 'typescript'
import { expect, test } from 'vitest'
import { catalogueOf } from '../../src/messages/catalogue.js'
import { problemWords } from '../../src/messages/problemWords.js'
import { speaker } from '../../src/messages/speaker.js'
import { ProblemList } from '../../src/records/problems.js'
import { setAsideRules } from '../../src/records/setAsideRules.js'

const root = resolve(import.meta.dirname, '../../src/records')

/** What an object of the sources says, as far as it says it in one piece. */
interface Stated {
  readonly code: string
  readonly stops: boolean
  readonly found: string | undefined
  readonly expected: string | undefined
  readonly mend: string | undefined
}

/** Objects with a code and a text, in the rooms whose problems end in a report. */
const stated: readonly Stated[] = ['check', 'read', 'understand', 'identities/checkGate.ts']
  .flatMap((place) =>
    place.endsWith('.ts')
      ? [place]
      : (readdirSync(join(root, place), { recursive: true }) as string[]).map((name) => join(place, name)),
  )
  .filter((name) => name.endsWith('.ts'))
  .flatMap((name) => {
    const text = readFileSync(join(root, name), 'utf8')
    const out: Stated[] = []
    const visit = (node: ts.Node): void => {
      if (ts.isObjectLiteralExpression(node)) {
        const said = new Map(
          node.properties.filter(ts.isPropertyAssignment).map((one) => [one.name.getText(), one.initializer]),
        )
        const literal = (key: string): string | undefined => {
          const value = said.get(key)
          return value !== undefined && ts.isStringLiteralLike(value) ? value.text : undefined
        }
        const code = literal('code')
        if (code !== undefined && said.has('problem')) {
          out.push({
            code,
            stops: literal('severity') === 'stop' && !said.has('leavesOut'),
            found: literal('problem'),
            expected: literal('expected'),
            mend: literal('mend'),
          })
        }
      }
      ts.forEachChild(node, visit)
    }
    visit(ts.createSourceFile(name, text, ts.ScriptTarget.Latest, true))
    return out
  })

/** Errors that end a run before there is anything to report. */
const thrown = [
  'bad-column-map',
  'no-such-map',
  'no-such-corrections',
  'bad-corrections',
  'no-such-path',
  'not-shareable',
]

test('what the checks find has words in every language of a supplement, and the English ones are those of the records', () => {
  const english = speaker()
  expect(stated.length).toBeGreaterThan(80)
  for (const { code, stops, found, expected, mend } of stated) {
    if (stops || thrown.includes(code)) continue
    for (const language of ['en', 'de'])
      for (const kind of ['found', 'expected', 'mend'])
        expect(catalogueOf(language).has(`problem.${kind}.${code}`), `${language} ${kind} ${code}`).toBe(true)
    const own = Object.entries({ found, expected, mend })
    for (const [kind, text] of own) {
      const words = catalogueOf('en').get(`problem.${kind}.${code}`)!
      if (text !== undefined && text !== '' && !words.includes('{'))
        expect(english.text({ kind: 'message', code: `problem.${kind}.${code}`, parameters: {} })).toBe(text)
    }
  }
})

test('whatever can be set aside by name has words', () => {
  const without = Object.keys(setAsideRules).filter((code) => !catalogueOf('de').has(`problem.found.${code}`))
  expect(without).toEqual([])
})

test('a problem that was set aside by name says so in the language of the reader', () => {
  const problems = new ProblemList(['unknown-word'])
  problems.add(
    {
      severity: 'stop',
      leavesOut: 'value',
      code: 'unknown-word',
      parameters: { column: 'bruxism', codes: 'none, possible' },
      problem: 'a word is none of the codes of bruxism.',
      expected: 'none, possible, or empty where it is not known.',
      mend: 'correct the word in a copy.',
    },
    7,
  )
  const [one] = problems.all()
  const said = (language: string): readonly string[] => {
    const { found, expected } = problemWords(one!)
    return [speaker(language).text(found), speaker(language).text(expected)]
  }
  expect(said('de')).toEqual([
    'ein Wort ist keiner der Codes von bruxism. Auf Anweisung gelten die Werte als unbekannt (--set-aside unknown-word).',
    'none, possible oder leer, wo es nicht bekannt ist.',
  ])
  expect(said('en')).toEqual([
    'a word is none of the codes of bruxism. By the user’s word the values count as unknown (--set-aside unknown-word).',
    'none, possible, or empty where it is not known.',
  ])
})

test('what may identify a person is named in the language, and a code of a later release stands as it is', () => {
  const gate = {
    code: 'possible-identifier-value',
    parameters: { kind: 'a postcode' },
    problem: '',
    expected: '',
    mend: '',
  }
  expect(speaker('de').text(problemWords(gate).found)).toBe('die Spalte enthält womöglich eine Postleitzahl.')
  const later = { code: 'of-next-year', problem: 'something.', expected: 'else.', mend: 'mend it.' }
  expect(speaker('de').text(problemWords(later).found)).toBe('something.')
})
