import JSZip from 'jszip'
import { beforeAll, describe, expect, test } from 'vitest'
import { openPictureDrawer } from '../../src/charts/pictureDrawer.js'
import { textWidth } from '../../src/charts/textWidth.js'
import { documentDocx } from '../../src/documents/formats/docx.js'
import { columnWidths } from '../../src/documents/formats/docxBlocks.js'
import { beginPictures, pngsFor } from '../../src/documents/formats/pictures.js'
import { auditDocument } from '../../src/documents/kinds/auditDocument.js'
import { figuresOf, tablesOf } from '../../src/documents/model/contents.js'
import { plainText, type ReportDocument, type Table } from '../../src/documents/model/document.js'
import { resultsJson } from '../../src/documents/results.js'
import type { AuditResult } from '../../src/questions/audit.js'
import { everyAnalysis } from './everyAnalysis.js'
import { expectedLines } from './expectedText.js'
import { fixtures } from './fixture.js'
import { simpleDocument } from './simpleDocument.js'

const options = { date: '2026-05-04', version: '0.1.0' }
const audits: Readonly<Record<string, () => AuditResult>> = {
  usual: fixtures.usual!,
  'no events': fixtures['no events']!,
  'nothing estimable': fixtures['nothing estimable']!,
  hostile: fixtures.hostile!,
  'every analysis': everyAnalysis,
}
const shapes = Object.keys(audits)

interface Reopened {
  readonly document: ReportDocument
  readonly results: unknown
  readonly bytes: Uint8Array
  readonly zip: JSZip
  readonly xml: string
}

const files = new Map<string, Reopened>()

async function written(document: ReportDocument): Promise<Uint8Array> {
  return documentDocx(document, beginPictures(document, openPictureDrawer(), pngsFor(['word'], [])))
}

beforeAll(async () => {
  for (const shape of shapes) {
    const audit = audits[shape]!()
    const document = auditDocument(audit, options)
    const bytes = await written(document)
    const zip = await JSZip.loadAsync(bytes)
    files.set(shape, {
      document,
      results: JSON.parse(resultsJson(audit, 'audit', options.version)),
      bytes,
      zip,
      xml: await zip.file('word/document.xml')!.async('string'),
    })
  }
})

describe.each(shapes)('the Word file of %s', (shape) => {
  const file = (): Reopened => files.get(shape)!

  test('holds in every cell of every table what the results give after rounding', () => {
    const tables = tablesOf(file().document)
    const found = elements(file().xml, 'w:tbl').map((table) =>
      elements(table, 'w:tr').map((row) =>
        elements(row, 'w:tc').map((cell) => elements(cell, 'w:p').map(textOf)),
      ),
    )
    expect(found).toEqual(
      tables.map((table) => [
        table.columns.map(({ title }) => [title]),
        ...table.rows.map((row) => row.map((cell) => expectedLines(cell, file().results))),
      ]),
    )
  })

  test('has a heading of Word for each section, and a caption with a counted field for each table and figure', () => {
    const paragraphs = elements(file().xml, 'w:p')
    const styled = (style: string): readonly string[] =>
      paragraphs.filter((one) => one.includes(`<w:pStyle w:val="${style}"/>`)).map(textOf)
    expect(styled('Heading1')).toEqual(file().document.sections.map(({ title }) => title))
    expect(styled('Title')).toEqual([plainText(file().document.title)])
    const captions = [
      ...tablesOf(file().document).map(({ caption }, index) => `Table ${index + 1}. ${caption}`),
      ...figuresOf(file().document).map(({ caption }, index) => `Figure ${index + 1}. ${caption}`),
    ]
    expect([...styled('Caption')].sort()).toEqual(captions.sort())
    const fields = [...file().xml.matchAll(/w:instr="SEQ (Table|Figure) \\\* ARABIC"/g)]
    expect(fields).toHaveLength(captions.length)
  })

  test('repeats the head of every table and keeps rows whole', () => {
    for (const table of elements(file().xml, 'w:tbl')) {
      const [head, ...rows] = elements(table, 'w:tr')
      expect(head).toContain('<w:tblHeader/>')
      for (const row of rows) {
        expect(row).not.toContain('<w:tblHeader/>')
        expect(row).toContain('<w:cantSplit/>')
      }
    }
  })

  test('has every figure at 300 dots an inch or more, with its text alternative', async () => {
    const figures = figuresOf(file().document)
    const drawings = elements(file().xml, 'wp:inline')
    expect(drawings).toHaveLength(figures.length)
    const relations = await file().zip.file('word/_rels/document.xml.rels')!.async('string')
    for (const [index, drawing] of drawings.entries()) {
      expect(unescaped(/<wp:docPr [^>]*descr="([^"]*)"/.exec(drawing)![1]!)).toBe(
        figures[index]!.page.description,
      )
      const [, width, height] = /<wp:extent cx="(\d+)" cy="(\d+)"/.exec(drawing)!
      const relation = /r:embed="([^"]+)"/.exec(drawing)![1]!
      const target = new RegExp(
        `Id="${relation}"[^>]*Target="([^"]+)"|Target="([^"]+)"[^>]*Id="${relation}"`,
      ).exec(relations)!
      const png = await file()
        .zip.file(`word/${target[1] ?? target[2]}`)!
        .async('nodebuffer')
      const emuPerInch = 914_400
      expect(png.readUInt32BE(16) / (Number(width) / emuPerInch)).toBeGreaterThanOrEqual(300)
      expect(Number(width) / Number(height)).toBeCloseTo(png.readUInt32BE(16) / png.readUInt32BE(20), 1)
      expect(Number(width) / emuPerInch).toBeLessThanOrEqual(160 / 25.4 + 0.02)
    }
  })

  test('is well-formed, and points to nothing outside', async () => {
    for (const name of Object.keys(file().zip.files)) {
      if (!/\.(xml|rels)$/.test(name)) continue
      const text = await file().zip.file(name)!.async('string')
      expect(unclosed(text), name).toEqual([])
      expect(text, name).not.toContain('TargetMode="External"')
    }
  })
})

test('shows markup, formulas and turned text of the data as text', () => {
  const { xml } = files.get('hostile')!
  expect(elements(xml, 'w:p').map(textOf).join('\n')).toContain(
    '=1+1"\'</script><script>alert(1)</script>\ufffdgnol&Pneumono',
  )
  expect(xml).not.toMatch(/<script|\u202e/)
})

test('sets text that runs the other way between marks of our own direction', async () => {
  const document = simpleDocument({
    kind: 'paragraph',
    tone: 'plain',
    content: [{ kind: 'foreign', text: 'שלום (1)' }],
  })
  const zip = await JSZip.loadAsync(await written(document))
  expect(await zip.file('word/document.xml')!.async('string')).toContain('\u200eשלום (1)\u200e')
})

test('says on every page that data are generated, and only then', () => {
  expect(files.get('usual')!.zip.file('word/header1.xml')).not.toBeNull()
  expect(files.get('no events')!.document.generated).toBe(
    files.get('no events')!.zip.file('word/header1.xml') !== null,
  )
})

test('is the same, byte for byte, when it is made again on another second', async () => {
  const { document, bytes } = files.get('usual')!
  await new Promise((resolve) => setTimeout(resolve, 1100))
  const again = await written(document)
  expect(Buffer.from(again).equals(Buffer.from(bytes))).toBe(true)
})

test('numbers the lines of a manuscript and sets it in double spacing', async () => {
  const document = simpleDocument({ kind: 'paragraph', tone: 'plain', content: ['Text.'] })
  const zip = await JSZip.loadAsync(await written({ ...document, layout: 'manuscript' }))
  expect(await zip.file('word/document.xml')!.async('string')).toContain('<w:lnNumType ')
  expect(await zip.file('word/styles.xml')!.async('string')).toContain('w:line="480"')
  expect(files.get('usual')!.xml).not.toContain('<w:lnNumType ')
})

describe('widths of columns', () => {
  const table = (...texts: readonly string[]): Table => ({
    kind: 'table',
    id: 'table-x',
    caption: '',
    columns: texts.map((_, index) => ({ title: `c${index}`, align: 'start', csvTitles: [''] })),
    rows: [texts.map((text) => ({ content: [text], csv: [] }))],
    notes: [],
  })

  test.each([
    [['a', 'bb', 'ccc']],
    [['word '.repeat(80), '1', '2']],
    [Array.from({ length: 30 }, () => 'Pneumonoultramicroscopicsilicovolcanoconiosis')],
  ])('fill the page exactly', (texts) => {
    const widths = columnWidths(table(...texts), 9071, 605, 10.7)
    expect(widths.reduce((sum, width) => sum + width, 0)).toBe(9071)
    for (const width of widths) expect(width).toBeGreaterThan(0)
  })

  test('give a column of prose more room than one of numbers', () => {
    const [prose, number] = columnWidths(table('several words in a row '.repeat(9), '12.3'), 9071, 605, 10.7)
    expect(prose!).toBeGreaterThan(3 * number!)
  })
})

test('gives an interval a line of its own, however narrow the other columns must be', () => {
  const cell = (text: string, under?: string) => ({
    content: [text],
    ...(under === undefined ? {} : { under: [under] }),
    csv: [],
  })
  const names = ['Minutes to the second tightening', 'a', 'b', 'c', 'd', 'e', 'f']
  const table: Table = {
    kind: 'table',
    id: 'table-x',
    caption: '',
    columns: names.map((title, index) => ({ title, align: index === 0 ? 'start' : 'end', csvTitles: [''] })),
    rows: [[cell('fewer than ten of them'), ...names.slice(1).map(() => cell('15.8% †', '4.8% to 32.4%'))]],
    notes: [],
  }
  const [, ...widths] = columnWidths(table, 605, 605, 10.7)
  for (const width of widths) expect(width).toBeGreaterThan(textWidth('4.8% to 32.4%', 10.7))
})

/** Elements of one name that do not lie within each other, as they stand in the text. */
function elements(xml: string, name: string): readonly string[] {
  return [
    ...xml.matchAll(new RegExp(`<${name}(?:>| [^>]*[^/]>)(?:(?!<${name}[ >]).)*?</${name}>`, 'gs')),
  ].map(([element]) => element)
}

function textOf(xml: string): string {
  return unescaped(
    [...xml.matchAll(/<w:t(?: [^>]*)?>([^<]*)<\/w:t>/g)].map((match) => match[1]).join(''),
  ).replaceAll('\u200e', '')
}

/** Names of elements that are opened and not closed, or closed and not opened. */
function unclosed(xml: string): readonly string[] {
  const open: string[] = []
  for (const [, closing, name, empty] of xml.matchAll(/<(\/?)([A-Za-z][\w:.-]*)(?:\s[^>]*?)?(\/?)>/g)) {
    if (empty === '/') continue
    if (closing !== '/') open.push(name!)
    else if (open.pop() !== name) return [name!]
  }
  return open
}

function unescaped(text: string): string {
  return text
    .replaceAll('&quot;', '"')
    .replaceAll('&apos;', "'")
    .replaceAll('&#39;', "'")
    .replaceAll('&lt;', '<')
    .replaceAll('&gt;', '>')
    .replaceAll('&amp;', '&')
}
