import { describe, expect, test } from 'vitest'
import { auditDocument } from '../../src/documents/kinds/auditDocument.js'
import type {
  Block,
  CitedNumber,
  Inline,
  Phrase,
  ReportDocument,
} from '../../src/documents/model/document.js'
import { resultsJson } from '../../src/documents/results.js'
import { type FormatName, numberFormats } from '../../src/messages/numberFormats.js'
import { type AuditResult, auditCohort } from '../../src/questions/audit.js'
import { defaultSettings } from '../../src/questions/plan/settings.js'
import { everyAnalysis, simulatedCohort } from './everyAnalysis.js'
import { fixtures } from './fixture.js'
import { resolvePath } from './resolvePath.js'
import { richPractice } from './richPractice.js'

const audits: Readonly<Record<string, () => AuditResult>> = {
  ...fixtures,
  'a practice with half the hazard': () => auditCohort(simulatedCohort('half the hazard')),
  'a practice with visits that tell': () => auditCohort(simulatedCohort('informative visits')),
  'groups separated by period': () => auditCohort(simulatedCohort('separated by period')),
  'every analysis of a plan': everyAnalysis,
  'a practice with something for every section': () =>
    auditCohort(richPractice(), { ...defaultSettings, detail: 'full' }),
}

/** Running text of a document: what is read as sentences, the notes under tables and figures included. */
function proseOf(document: ReportDocument): readonly Phrase[] {
  const ofBlock = (block: Block): readonly Phrase[] => {
    switch (block.kind) {
      case 'paragraph':
        return [block.content]
      case 'list':
        return block.items
      case 'terms':
        return block.entries.map(({ meaning }) => meaning)
      case 'key-figures':
        return block.figures.flatMap(({ label, value, interval }) => [label, value, interval])
      case 'heading':
        return [[block.text]]
      case 'table':
      case 'figure':
        return [[block.caption], ...block.notes]
    }
  }
  return [
    document.title,
    document.summary,
    ...document.sections.flatMap(({ title, blocks, aside }) => [
      [title],
      ...blocks.flatMap(ofBlock),
      ...(aside?.blocks ?? []).flatMap(ofBlock),
    ]),
  ]
}

function flat(phrase: Phrase): readonly Inline[] {
  return phrase.flatMap((part) =>
    typeof part !== 'string' && part.kind === 'strong' ? flat(part.content) : [part],
  )
}

/** Numbers that belong to a definition or a unit and to no result, each with the words that it stands in. */
const fixedNumbers: readonly RegExp[] = [
  /\b(?:per|for every|every) 100 restoration-years/g,
  /\b(?:in|out of) (?:100|1,000)\b/gi,
  /A year is 365\.25 days/g,
  /(?:lies|both sides of|below|above|without) (?:below |above )?1\b/g,
  /nearer to 1 \(E-value\)/g,
  /at time 0\b/g,
  /its header is row 1\b/g,
  /\(SHA-256 ¤\)/g,
  // A calendar day.
  /\b\d{1,2} [A-Z][a-z]+ \d{4}\b/g,
  /; 0\.1 and more is usually taken/g,
  /P is 0\.05 or above/g,
  // Settings by definition: the window of the exposure and the horizon of captions, the least number at risk.
  /repeated after 10 to 15 minutes/g,
  /^The difference by \d years?, in percentage points/g,
  /^The comparison to within \d\.\d percentage points, by a study group/g,
  /^Within 20 years at this pace/g,
  /each restoration followed for \d years?$/g,
  // Counts of a warning are parameters of the warning itself, which stands in the results.
  /^With \d+ clusters the spread/g,
  /^\d+ units: over-dispersion/g,
  /(?:[Ff]ewer than|were) 10 (?:at risk|restorations)/g,
  /more than 20 years at this practice's pace/g,
  /\bfingerprint [0-9a-f]{12}\b/g,
  /\bBy the plan of \d{4}-\d\d-\d\d\b/g,
  /ISO 6789-1 for hand torque tools up to 10 N·m/g,
]

describe.each(Object.keys(audits))('the text of %s', (name) => {
  const audit = audits[name]!()
  const document = auditDocument(audit, { date: '2026-05-04', version: '0.1.0' })
  const prose = proseOf(document)

  test('holds no number of ours without the place in the results that it was read from', () => {
    const loose = prose.flatMap((phrase) => {
      // What a number stands between is kept, so that "10" and "%" cannot hide in two parts.
      const own = flat(phrase)
        .map((part) => (typeof part === 'string' ? part : part.kind === 'blank' ? part.text : '¤'))
        .join('')
      const rest = fixedNumbers.reduce((text, fixed) => text.replaceAll(fixed, ''), own)
      return /\d/.test(rest) ? [rest] : []
    })
    expect(loose).toEqual([])
  })

  test('gives each number as results.json has it, after rounding', () => {
    const results: unknown = JSON.parse(resultsJson(audit, 'audit', '0.1.0'))
    const cited = prose
      .flatMap(flat)
      .filter((part): part is CitedNumber => typeof part !== 'string' && part.kind === 'number')
    expect(cited.length).toBeGreaterThan(15)
    for (const { path, format, text } of cited) {
      const found = resolvePath(results, path)
      expect(typeof found, path).toBe('number')
      expect(numberFormats[format as FormatName].text(found as number), path).toBe(text)
    }
  })
})

describe('a path into the results', () => {
  const results = {
    fields: [
      { name: 'a', unknown: 0 },
      { name: 'b', unknown: 3 },
      { name: 'c', unknown: 0 },
    ],
    'a.b': { '[x=1]': 5 },
  }

  test('counts the entries of a list, and those whose field has a number', () => {
    expect(resolvePath(results, 'fields.length')).toBe(3)
    expect(resolvePath(results, 'fields[unknown=0].length')).toBe(2)
    expect(resolvePath(results, 'fields[unknown=0].1.name')).toBe('c')
    expect(resolvePath(results, 'fields[unknown=7].length')).toBe(0)
    expect(resolvePath(results, 'fields[none=0].length')).toBe(0)
  })

  test('reads a name in brackets as a name', () => {
    expect(resolvePath(results, '["a.b"]["[x=1]"]')).toBe(5)
    expect(resolvePath(results, 'fields.3')).toBeUndefined()
    expect(resolvePath(results, 'toString')).toBeUndefined()
  })
})
