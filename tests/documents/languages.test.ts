import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, test } from 'vitest'
import { documentHtml } from '../../src/documents/formats/html.js'
import { findBrowser, pdfOfHtml } from '../../src/documents/formats/pdf.js'
import { leafletDocument } from '../../src/documents/kinds/leafletDocument.js'
import { shortReport } from '../../src/documents/kinds/shortReport.js'
import { supplementDocument } from '../../src/documents/kinds/supplementDocument.js'
import { figuresOf } from '../../src/documents/model/contents.js'
import { plainText, type ReportDocument } from '../../src/documents/model/document.js'
import { documentLanguages, languageOf } from '../../src/documents/model/documentLanguages.js'
import { outsideReport } from '../../src/documents/writeReport.js'
import { languages } from '../../src/messages/catalogue.js'
import { type AuditResult, auditCohort } from '../../src/questions/audit.js'
import { practice, type TestRestoration, times } from '../questions/practice.js'
import { contradictionsIn, numbersIn } from './consistency.js'
import { drawFigures } from './drawFigures.js'
import { readingEase, sentencesIn } from './readingLevel.js'
import { phrasesOf } from './wordChecks.js'

const options = { date: '2026-05-04', version: '0.1.0' }
const chromium = await findBrowser()
const of = (...restorations: readonly TestRestoration[]): AuditResult => auditCohort(practice(restorations))

/** The longest text, and every way in which a leaflet says less. */
const practices: Readonly<Record<string, AuditResult>> = {
  'everything known': of(
    ...times(120, { checks: [400, 1300] }),
    ...times(14, { loose: 500 }),
    ...times(110, { checks: [400, 1300], repeated: true }),
    ...times(9, { loose: 600, repeated: true }),
    ...times(20, { checks: [] }),
  ),
  'no event': of(...times(20, { checks: [300, 900] }), ...times(20, { checks: [300, 900], repeated: true })),
  'one crown': of({ checks: [400] }),
  'short follow-up': of(...times(12, { checks: [90] }), ...times(3, { loose: 60 })),
  'most never seen again': of(...times(20, { checks: [500] }), ...times(30, { checks: [] })),
  'one way': of(...times(40, { checks: [300, 1300] }), ...times(6, { loose: 500, checks: [200] })),
}

function textsOf(document: ReportDocument): readonly string[] {
  const figures = figuresOf(document).flatMap(({ caption, column, page }) => [
    caption,
    ...[column, page].flatMap((one) => [
      one.description,
      ...[...JSON.stringify(one).matchAll(/"text":"([^"]+)"/g)].map(([, text]) => text!),
    ]),
  ])
  const phrases = document.sections.flatMap(({ blocks }) => blocks.flatMap(phrasesOf)).map(plainText)
  const titles = document.sections.map(({ title }) => title)
  return [plainText(document.title), plainText(document.summary), ...titles, ...phrases, ...figures].filter(
    (text) => /\p{L}{4}/u.test(text),
  )
}

function citedIn(document: ReportDocument): readonly string[] {
  const phrases = [document.summary, ...document.sections.flatMap(({ blocks }) => blocks.flatMap(phrasesOf))]
  return phrases
    .flatMap(numbersIn)
    .map(({ path, format }) => `${path} as ${format}`)
    .sort()
}

test('the leaflet compares nothing unless it is asked to, and knows no margin', () => {
  for (const language of documentLanguages.leaflet) {
    const made = (comparison?: boolean): ReportDocument[] => [
      leafletDocument(practices['everything known']!, {
        ...options,
        language,
        ...(comparison === undefined ? {} : { comparison }),
      }),
      outsideReport(practices['everything known']!, {
        ...options,
        kind: 'leaflet',
        language,
        ...(comparison === undefined ? {} : { comparison }),
      }).document,
    ]
    const sectionsOf = (one: ReportDocument): readonly string[] => one.sections.map(({ id }) => id)
    for (const one of made()) expect(sectionsOf(one)).not.toContain('compared')
    for (const one of made(true)) expect(sectionsOf(one)).toContain('compared')
    for (const one of [...made(), ...made(true)])
      for (const text of textsOf(one)) expect(text).not.toMatch(/margin|Schwelle|Grenzwert|margen|marge/i)
  }
})

test('French puts a space before its semicolons and colons, in what is read aloud of a figure too', () => {
  for (const audit of Object.values(practices)) {
    for (const text of textsOf(leafletDocument(audit, { ...options, language: 'fr', comparison: true })))
      expect(text).not.toMatch(/[^\u00a0\s][;:?!](?:\s|$)| [;:?!]/)
  }
})

describe.each(documentLanguages.leaflet.filter((one) => one !== 'en'))('the leaflet in %s', (language) => {
  test.each(Object.entries(practices))(
    'is wholly in it, with the numbers of the English one: %s',
    (_name, audit) => {
      for (const make of [false, true].flatMap((comparison) => [
        (one: object) => leafletDocument(audit, { ...options, comparison, ...one }),
        (one: object) => outsideReport(audit, { ...options, kind: 'leaflet', comparison, ...one }).document,
      ])) {
        const [own, english] = [make({ language }), make({})]
        expect(own.language).toBe(language)
        const said = new Set(textsOf(english))
        expect(textsOf(own).filter((text) => said.has(text))).toEqual([])
        expect(citedIn(own)).toEqual(citedIn(english))
        expect(contradictionsIn(audit, { own }).filter((one) => !one.includes('horizon'))).toEqual([])
      }
    },
  )

  test.each(['A4', 'letter'] as const)(
    'prints on one page of %s',
    async (paper) => {
      if (chromium === undefined) {
        process.stderr.write(
          'NOT RUN: printing the leaflet. There is no Chromium; apt-get install chromium.\n',
        )
        return
      }
      const document = leafletDocument(practices['everything known']!, {
        ...options,
        language,
        comparison: true,
      })
      const html = documentHtml(document, await drawFigures(document), paper)
      expect(html).toContain(`<html lang="${language}">`)
      const pdf = Buffer.from(await pdfOfHtml(html, { date: '2026-05-04' })).toString('latin1')
      expect(pdf.match(/\/Type\s*\/Page\b(?!s)/g)).toHaveLength(1)
    },
    60_000,
  )
})

test('reads plainly in every language', () => {
  const eases = Object.fromEntries(
    documentLanguages.leaflet.map((language) => {
      const { sections } = leafletDocument(practices['everything known']!, { ...options, language })
      const blocks = sections.filter(({ id }) => id !== 'contact').flatMap((section) => section.blocks)
      const texts = blocks
        .filter(({ kind }) => kind !== 'figure')
        .flatMap(phrasesOf)
        .map(plainText)
      return [language, readingEase(texts.flatMap(sentencesIn), language)]
    }),
  )
  for (const [language, ease] of Object.entries(eases))
    expect(ease, `${language}: ${ease}`).toBeGreaterThan(60)
  expect(readingEase(['The cat sat on the mat.'], 'en')).toBeCloseTo(116.145, 3)
  const docs = readFileSync(join(import.meta.dirname, '../../docs/documents.md'), 'utf8').replace(/\s+/g, ' ')
  const names = { en: 'English', de: 'German', es: 'Spanish', fr: 'French' } as const
  const stated = Object.entries(names).map(([language, name]) => `${name} ${Math.round(eases[language]!)}`)
  expect(docs).toContain(stated.join(', '))
})

test('days are written as the language writes them', () => {
  const html = documentHtml(
    leafletDocument(practices['one crown']!, { ...options, language: 'de' }),
    new Map(),
  )
  expect(html).toContain('Erstellt am 4. Mai 2026')
})

test('a language in which a document is not whole is refused, with what there is', () => {
  expect(languages()).toEqual([...documentLanguages.leaflet].sort())
  expect(() => languageOf('de', 'case-series')).toThrow(
    'the document case-series is not wholly there in the language de. Expected: one of en. Mend: in de there is: summary, report, supplement, slides, --kind leaflet.',
  )
  const one = practices['one crown']!
  expect(() => supplementDocument(one, { ...options, language: 'fr' })).toThrow(
    'supplement is not wholly there',
  )
  expect(() => shortReport(one, { ...options, language: 'fr' })).toThrow('report is not wholly there')
  expect(() => languageOf('it', 'leaflet')).toThrow(
    'there is no language "it". Expected: one of de, en, es, fr.',
  )
  expect(() => outsideReport(practices['one crown']!, { ...options, language: 'fr' })).toThrow(
    'not wholly there',
  )
})
