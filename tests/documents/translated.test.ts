import { join } from 'node:path'
import { describe, expect, test } from 'vitest'
import { buildCohort } from '../../src/cohort/cohort.js'
import { dayFromIso } from '../../src/core/calendar.js'
import { codeOf, type MethodName } from '../../src/core/method.js'
import { shortReport } from '../../src/documents/kinds/shortReport.js'
import { slidesDocument } from '../../src/documents/kinds/slides/slidesDocument.js'
import { summaryDocument } from '../../src/documents/kinds/summaryDocument.js'
import { supplementDocument } from '../../src/documents/kinds/supplementDocument.js'
import { figuresOf } from '../../src/documents/model/contents.js'
import type { Block, Phrase, ReportDocument } from '../../src/documents/model/document.js'
import { documentLanguages } from '../../src/documents/model/documentLanguages.js'
import { methodsUsed } from '../../src/documents/sections/methodSections.js'
import { catalogueOf } from '../../src/messages/catalogue.js'
import { methodWords } from '../../src/messages/methodWords.js'
import { hasMessage, speaker } from '../../src/messages/speaker.js'
import { type AuditResult, auditCohort } from '../../src/questions/audit.js'
import { defaultSettings } from '../../src/questions/plan/settings.js'
import { readRecords } from '../../src/records/read/readDataset.js'
import { endpointNames } from '../../src/vocabulary/endpoints.js'
import { practice, type TestRestoration, times } from '../questions/practice.js'
import { numbersIn } from './consistency.js'
import { everyAnalysis } from './everyAnalysis.js'
import { fixtures } from './fixture.js'
import { richPractice } from './richPractice.js'
import { phrasesOf } from './wordChecks.js'

const options = { date: '2026-05-04', version: '0.1.0' }
const of = (...restorations: readonly TestRestoration[]): AuditResult => auditCohort(practice(restorations))

/** Everything that a document may have to say, and every way in which it says less. */
const corpus: Readonly<Record<string, () => AuditResult>> = {
  ...fixtures,
  'every section': everyAnalysis,
  'every question': () => auditCohort(richPractice(), { ...defaultSettings, detail: 'full' }),
  'a difference': () =>
    of(
      ...times(150, { checks: [400, 1300] }),
      ...times(50, { loose: 500 }),
      ...times(150, { checks: [400, 1300], repeated: true }),
      ...times(9, { loose: 600, repeated: true }),
    ),
  'no event in two groups': () =>
    of(...times(20, { checks: [300, 900] }), ...times(20, { checks: [300, 900], repeated: true })),
  'one crown': () => of({ checks: [400] }),
  'short follow-up': () => of(...times(12, { checks: [90] }), ...times(3, { loose: 60 })),
  'most never seen again': () => of(...times(20, { checks: [500] }), ...times(30, { checks: [] })),
  'one way': () => of(...times(40, { checks: [300, 1300] }), ...times(6, { loose: 500, checks: [200] })),
  ...Object.fromEntries(
    endpointNames.map((endpoint) => [
      `the endpoint ${endpoint}`,
      () => {
        const audit = of(...times(40, { checks: [300, 1300] }), ...times(12, { loose: 500 }))
        const { definition, retention } = audit
        return { ...audit, definition: { ...definition, endpoint }, retention: { ...retention, endpoint } }
      },
    ]),
  ),
}

/** Words that stand in any English sentence and in none of the other language. */
const englishWords: Readonly<Record<string, RegExp>> = {
  de: /(?<!\p{L})(the|of|and|with|were|not|by|from|which|that|are|for|this|than|one|per|years?|each|no|to|is|as|at|be|it|restorations?|patients|events?|groups?)(?!\p{L})/iu,
  es: /(?<!\p{L})(the|of|and|with|were|not|by|from|which|that|are|for|this|than|one|per|years?|each|to|is|as|at|be|it|restorations?|patients|events?|groups?)(?!\p{L})/iu,
  fr: /(?<!\p{L})(the|of|and|with|were|not|by|from|which|that|are|for|this|than|one|per|years?|each|to|is|as|at|be|it|restorations?|events?|groups?)(?!\p{L})/iu,
}

/** Words of the English messages that stand in no message of a language that has nearly all of them. */
const onlyEnglish: ReadonlyMap<string, ReadonlySet<string>> = new Map(
  ['de'].map((language) => {
    const own = new Set(ours([...catalogueOf(language).values()]))
    return [language, new Set(ours([...catalogueOf('en').values()]).filter((word) => !own.has(word)))]
  }),
)

function ours(texts: readonly string[]): readonly string[] {
  return texts.flatMap((text) => text.toLowerCase().match(/\p{L}{2,}/gu) ?? [])
}

/** Tables and columns go by their names in the files, whatever the language. */
function withoutNames(text: string): string {
  return text.replaceAll(/\b(restorations|tightenings|visits):( \w+)?|\b[a-z]+(_[a-z]+)+\b/g, '…')
}

const make: Readonly<
  Record<
    string,
    (audit: AuditResult, options: { date: string; version: string; language?: string }) => ReportDocument
  >
> = { summary: summaryDocument, report: shortReport, supplement: supplementDocument, slides: slidesDocument }

const translated = Object.keys(make).flatMap((name) =>
  documentLanguages[name as 'summary']
    .filter((language) => language !== 'en')
    .map((language) => [name, language] as const),
)

/** Text of our own: that of the data, kept apart as such, may be in any language. */
function ownText(phrase: Phrase): string {
  return phrase
    .map((part) => {
      if (typeof part === 'string') return part
      if (part.kind === 'strong') return ownText(part.content)
      return part.kind === 'foreign' ? '…' : part.text
    })
    .join('')
}

function blocksOf({ sections }: ReportDocument): readonly Block[] {
  return sections.flatMap(({ blocks, aside }) => [...blocks, ...(aside?.blocks ?? [])])
}

/** Every text of a document and of its figures. */
function textsOf(document: ReportDocument): readonly string[] {
  const { title, summary, kicker, sections } = document
  const pictures = figuresOf(document).flatMap(({ page, column }) =>
    [page, column].flatMap((one) => [
      one.description,
      ...[...JSON.stringify(one).matchAll(/"text":"([^"]+)"/g)].map(([, text]) => text!),
    ]),
  )
  const titles = sections.flatMap((section) => [section.title, section.aside?.title ?? ''])
  return [title, summary, ...blocksOf(document).flatMap(phrasesOf)]
    .map(ownText)
    .concat(kicker, titles, pictures)
    .filter((text) => /\p{L}{3}/u.test(text))
}

function citedIn(document: ReportDocument): readonly string[] {
  return blocksOf(document)
    .flatMap(phrasesOf)
    .flatMap(numbersIn)
    .map(({ path, format }) => `${path} as ${format}`)
    .sort()
}

describe.each(translated)('the %s in %s', (name, language) => {
  test.each(Object.entries(corpus))(
    'is wholly in it, and cites what the English one cites: %s',
    (which, audited) => {
      const audit = audited()
      const document = make[name]!(audit, { ...options, language })
      expect(document.language).toBe(language)
      const texts = textsOf(document)
      expect(texts).toContain(
        speaker(language).text({ kind: 'message', code: 'document.translated', parameters: {} }),
      )
      // The hostile fixture has names of its own making in every place, which figures cannot tell from words of ours.
      if (which !== 'hostile') {
        const own = texts.map((text) => withoutNames(text.replaceAll(audit.summary.source.title, '…')))
        expect(own.filter((text) => englishWords[language]!.test(text))).toEqual([])
        expect(ours(own).filter((word) => onlyEnglish.get(language)?.has(word))).toEqual([])
      }
      for (const text of texts) expect(text).not.toMatch(/undefined|NaN|\[object|\{|\}/)
      expect(citedIn(document)).toEqual(citedIn(make[name]!(audit, options)))
    },
  )
})

test('areas from which a translated document draws have every message', () => {
  const short =
    /^(how-often|summary|slides|group\.(in-sentence|short)|comparison\.(challenge|reason|objection))\b/
  for (const language of documentLanguages.summary.filter((one) => one !== 'en')) {
    const own = catalogueOf(language)
    expect(
      [...catalogueOf('en').keys()].filter((code) => short.test(code) && !own.has(code)),
      language,
    ).toEqual([])
  }
  const whole =
    /^(between-looks|caption|clinics|contrast|described|evidence|hazard|identifier|life-table|literature|method|problem|protocol-change|reason|removal-torque|repeats|series|setting|severity|torque|trend|wait|warning|caution|comparison\.(challenge|effect|reason|left-out)|endpoint|field|group|how-often|left-out|level|limitation|methods|quantity|report|restoration-type|source-form|summary)\b/
  const own = catalogueOf('de')
  expect([...catalogueOf('en').keys()].filter((code) => whole.test(code) && !own.has(code))).toEqual([])
})

test('every method that an audit names is worded term by term, in either language', () => {
  for (const audited of Object.values(corpus)) {
    const audit = audited()
    const listed = methodsUsed(audit).map(({ method }) => method)
    const held = methodsIn(JSON.parse(JSON.stringify(audit)))
    expect(listed.length).toBeGreaterThan(0)
    expect(held.length).toBeGreaterThan(0)
    for (const term of [...listed, ...held].flat()) {
      const code = `method.${codeOf(term)}`
      expect(hasMessage(code), code).toBe(true)
      expect(catalogueOf('de').has(code), code).toBe(true)
    }
    for (const method of held) expect(speaker('de').text(methodWords(method))).not.toMatch(englishWords.de!)
  }
})

test('no German document of the demo says a method in English', async () => {
  const records = await readRecords(join(import.meta.dirname, '../../data-demo'), {
    today: dayFromIso('2026-05-04')!,
  })
  const audit = auditCohort(buildCohort(records), { ...defaultSettings, detail: 'full' })
  const held = methodsIn(JSON.parse(JSON.stringify(audit)))
  const spoken = held.flat().map((term) => {
    const [english, german] = ['en', 'de'].map((language) => speaker(language).text(methodWords([term])))
    return { english: english!, german: german! }
  })
  const lost = [...new Set(spoken.filter((one) => one.english !== one.german).map(({ english }) => english))]
  expect(lost.length).toBeGreaterThan(20)
  const german = translated.filter(([, language]) => language === 'de')
  const texts = german.map(([name, language]) =>
    textsOf(make[name]!(audit, { ...options, language })).join('\n'),
  )
  const said = (words: string): RegExp =>
    new RegExp(`(?<!\\p{L})${words.replace(/[()]/g, '\\$&')}(?!\\p{L})`, 'u')
  expect(lost.filter((words) => texts.some((text) => said(words).test(text)))).toEqual([])
  const found = spoken.filter((one) => texts.some((text) => said(one.german).test(text)))
  expect(found.length).toBeGreaterThan(20)
}, 120_000)

/** Every name of a method in results as they stand in a file, in whatever depth. */
function methodsIn(value: unknown): readonly MethodName[] {
  if (typeof value !== 'object' || value === null) return []
  return Object.entries(value).flatMap(([name, inner]): readonly MethodName[] =>
    name === 'method' ? [inner as MethodName] : methodsIn(inner),
  )
}
