import { execFileSync } from 'node:child_process'
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { pathToFileURL } from 'node:url'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { documentHtml } from '../../src/documents/formats/html.js'
import { pdfOfHtml } from '../../src/documents/formats/pdf.js'
import { auditDocument } from '../../src/documents/kinds/auditDocument.js'
import { figuresOf } from '../../src/documents/model/contents.js'
import { phrase, type ReportDocument } from '../../src/documents/model/document.js'
import { drawFigures } from '../documents/drawFigures.js'
import { fixtures } from '../documents/fixture.js'
import { describeInChromium } from './chromium.js'

const usual = auditDocument(fixtures.usual!(), { date: '2026-05-04', version: '0.1.0' })
const rows = 160

/** A table that takes several pages, each row of two lines. */
const longTable: ReportDocument = {
  title: phrase`A title`,
  kicker: 'A kicker',
  summary: phrase`A summary`,
  generated: false,
  date: '2026-05-04',
  sections: [
    {
      id: 'one',
      title: 'One',
      blocks: [
        {
          kind: 'table',
          id: 'table-long',
          caption: 'A long table',
          columns: [
            { title: 'Headfirst', align: 'start', csvTitles: [''] },
            { title: 'Headsecond', align: 'end', csvTitles: [''] },
          ],
          rows: Array.from({ length: rows }, (_, row) => [
            { content: [`upper${row}.`], under: [`lower${row}.`], csv: [] },
            { content: [`value${row}.`], under: [`limits${row}.`], csv: [] },
          ]),
          notes: [],
        },
      ],
    },
  ],
}

/** Sizes by ISO 216 and ANSI/ASME Y14.1 in points. */
const papers = { A4: [595, 842], letter: [612, 792] } as const

describeInChromium('the printed report', (context) => {
  let folder = ''
  let figures: Awaited<ReturnType<typeof drawFigures>> = new Map()
  beforeAll(async () => {
    folder = mkdtempSync(join(tmpdir(), 'print-'))
    figures = await drawFigures(usual)
  })
  afterAll(() => {
    rmSync(folder, { recursive: true, force: true })
  })

  async function printed(document: ReportDocument, paper: keyof typeof papers): Promise<string> {
    const pictures = document === usual ? figures : new Map()
    const file = join(folder, `${document === usual ? 'usual' : 'long'}-${paper}.pdf`)
    writeFileSync(file, await pdfOfHtml(documentHtml(document, pictures, paper), { date: '2026-05-04' }))
    return file
  }

  describe.each(['A4', 'letter'] as const)('on %s', (paper) => {
    test('has pages of that size, each with the mark of generated data, the answer on the first', async () => {
      const file = await printed(usual, paper)
      const pages = pagesOf(file)
      if (pages === undefined) return
      expect(pages.length).toBeGreaterThan(5)
      for (const one of pages) expect(one).toContain('Generated demonstration data')
      expect(pages[0]).toContain('The answer')
      const [, width, height] = /Page size:\s+([\d.]+) x ([\d.]+) pts/.exec(pdfInfo(file))!
      expect(Math.abs(Number(width) - papers[paper][0])).toBeLessThan(1.5)
      expect(Math.abs(Number(height) - papers[paper][1])).toBeLessThan(1.5)
    })

    test('keeps each figure whole, with its caption', async () => {
      const pages = pagesOf(await printed(usual, paper))
      if (pages === undefined) return
      const counted = pages.map((page) => ({
        pictures: page.split('\n').filter((line) => line.trim() === pictureMark).length,
        captions: [...page.matchAll(/^Figure \d+\./gm)].length,
      }))
      for (const { pictures, captions } of counted) expect(pictures).toBe(captions)
      expect(counted.reduce((sum, { pictures }) => sum + pictures, 0)).toBe(figuresOf(usual).length)
    })

    test('repeats the head of a long table on every page, and splits no row', async () => {
      const pages = pagesOf(await printed(longTable, paper))
      if (pages === undefined) return
      expect(pages.filter((page) => page.includes('upper')).length).toBeGreaterThan(2)
      const seen = pages.flatMap((page) => {
        const here = [...page.matchAll(/upper(\d+)\./g)].map(([, row]) => Number(row))
        if (here.length > 0) for (const head of ['Headfirst', 'Headsecond']) expect(page).toContain(head)
        for (const row of here) {
          for (const part of ['lower', 'value', 'limits']) expect(page).toContain(`${part}${row}.`)
        }
        return here
      })
      expect(seen).toEqual(Array.from({ length: rows }, (_, row) => row))
    })
  })

  test('takes the paper of whoever prints, where none is asked for', async () => {
    const html = documentHtml(usual, figures)
    const address = pathToFileURL(join(folder, 'usual.html'))
    writeFileSync(address, html)
    const page = await context().newPage()
    try {
      await page.goto(address.href)
      for (const [format, paper] of [
        ['A4', 'A4'],
        ['Letter', 'letter'],
      ] as const) {
        const file = join(folder, `own-${paper}.pdf`)
        writeFileSync(file, await page.pdf({ format, preferCSSPageSize: true }))
        if (pagesOf(file) === undefined) return
        expect(pdfInfo(file)).toMatch(new RegExp(`Page size:\\s+${papers[paper][0]}(?:\\.\\d+)? x`))
      }
    } finally {
      await page.close()
    }
  })
})

/** The line that each picture of generated data carries. */
const pictureMark = 'Generated demonstration data: no real patients'

/** Text of each page, or undefined, said aloud, where poppler is not installed. */
function pagesOf(file: string): readonly string[] | undefined {
  try {
    return execFileSync('pdftotext', ['-layout', file, '-'], { encoding: 'utf8' }).split('\f').slice(0, -1)
  } catch (cause) {
    if ((cause as NodeJS.ErrnoException).code !== 'ENOENT') throw cause
    process.stderr.write('NOT RUN: text of the printed pages. apt-get install poppler-utils.\n')
    return undefined
  }
}

function pdfInfo(file: string): string {
  return execFileSync('pdfinfo', [file], { encoding: 'utf8' })
}
