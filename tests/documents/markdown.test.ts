import { describe, expect, test } from 'vitest'
import { documentMarkdown, escapeMarkdown } from '../../src/documents/formats/markdown.js'
import { auditDocument } from '../../src/documents/kinds/auditDocument.js'
import { figuresOf, tablesOf } from '../../src/documents/model/contents.js'
import { phrase, plainText, type ReportDocument } from '../../src/documents/model/document.js'
import { resultsJson } from '../../src/documents/results.js'
import { expectedLines } from './expectedText.js'
import { fixtures } from './fixture.js'
import { simpleDocument } from './simpleDocument.js'

const options = { date: '2026-05-04', version: '0.1.0' }

describe.each(Object.keys(fixtures))('the Markdown of %s', (name) => {
  const audit = fixtures[name]!()
  const document = auditDocument(audit, options)
  const text = documentMarkdown(document)
  const results: unknown = JSON.parse(resultsJson(audit, 'audit', options.version))

  test('holds in every cell of every table what the results give after rounding', () => {
    const rows = text.split('\n').filter((line) => line.startsWith('| '))
    const found = rows.filter((line) => !/^\|(?: :?-+:? \|)+$/.test(line)).map(cellsOf)
    expect(found).toEqual(
      tablesOf(document).flatMap((table) => [
        table.columns.map(({ title }) => title),
        ...table.rows.map((row) =>
          row.map((cell) => {
            const [first, second] = expectedLines(cell, results)
            if (second === undefined) return oneSpaced(first!)
            return oneSpaced(second.startsWith('(') ? `${first} ${second}` : `${first} (${second})`)
          }),
        ),
      ]),
    )
  })

  test('has a heading for each section and a picture for each figure', () => {
    const headings = [...text.matchAll(/^## (.*)$/gm)].map((match) => read(match[1]!))
    expect(headings).toEqual(document.sections.map(({ title }) => title))
    const pictures = [...text.matchAll(/^!\[(.*)\]\((figures\/[a-z-]+-190mm\.svg)\)$/gm)]
    expect(pictures.map((match) => read(match[1]!))).toEqual(
      figuresOf(document).map(({ page }) => oneSpaced(page.description)),
    )
  })

  test('holds no HTML and no character that turns the direction of text', () => {
    expect(text).not.toMatch(/[<\u202e]/)
    expect(text).not.toMatch(/^\s*>(?! \*\*Generated)/m)
  })
})

test('says above everything that data are generated', () => {
  expect(documentMarkdown(auditDocument(fixtures.usual!(), options))).toMatch(
    /^> \*\*Generated demonstration data/,
  )
})

test.each([
  '<img src=x onerror=alert(1)>',
  '[a](javascript:alert(1))',
  '![a](b)',
  '`code` *x* _y_ ~~z~~',
  '&lt;b&gt;',
  'a | b',
  'http://a.b www.a.b a@b.c',
  '\\<b>',
  '# no heading',
  '$x$ ^1 {a}',
])('shows %j as text', (text) => {
  const escaped = escapeMarkdown(text)
  expect(read(escaped)).toBe(text)
  expect(escaped).not.toMatch(/[<>]|(?<!\\)[`*_[\]|~$@#]|[^\\]:\/\/|www\.[^\\]/)
})

test.each(['- x', '+ x', '= x', '1. x', '12) x'])('does not let %j open a list or a rule', (text) => {
  const markdown = documentMarkdown(simple(text))
  expect(markdown).not.toMatch(/^(?:[-+=] x|\d+[.)] x)$/m)
  expect(markdown).toMatch(/^\\?\d*\\?[-+=.)] x$/m)
})

test('isolates text that runs the other way', () => {
  expect(documentMarkdown(simple('שלום (1)'))).toContain('\u2068שלום (1)\u2069')
})

test('writes numbered lists, blanks and strong words', () => {
  const document = simple('')
  const markdown = documentMarkdown({
    ...document,
    sections: [
      {
        id: 'one',
        title: 'One',
        blocks: [
          { kind: 'list', numbered: true, items: [['first'], [{ kind: 'blank', text: 'name' }]] },
          { kind: 'paragraph', tone: 'plain', content: [{ kind: 'strong', content: ['strong'] }] },
        ],
      },
    ],
  })
  expect(markdown).toContain('1. first\n2. **\\[name\\]**\n\n**strong**')
})

function simple(text: string): ReportDocument {
  return simpleDocument({ kind: 'paragraph', tone: 'plain', content: [{ kind: 'foreign', text }] })
}

function cellsOf(line: string): readonly string[] {
  return line
    .replace(/^\| /, '')
    .replace(/ \|$/, '')
    .split(/(?<!\\) \| /)
    .map((cell) => read(cell).trim())
}

/** What a reader of Markdown makes of escaped text: marks of strong text go, escapes and entities are resolved. */
function read(text: string): string {
  return text
    .replace(/(?<!\\)\*\*/g, '')
    .replace(/\\([!-/:-@[-`{-~])/g, '$1')
    .replaceAll('&lt;', '<')
    .replaceAll('&gt;', '>')
    .replaceAll('&amp;', '&')
}

function oneSpaced(text: string): string {
  return text.replace(/\s+/g, ' ').trim()
}

test('plain text of a phrase is what the Markdown of it reads as', () => {
  const content = phrase`a ${{ kind: 'foreign', text: '<b>' }} c`
  expect(read(escapeMarkdown(plainText(content)))).toBe('a <b> c')
})
