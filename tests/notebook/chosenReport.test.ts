import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import JSZip from 'jszip'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import type { WrittenReport } from '../../src/documents/writeReport.js'
import { report } from '../../src/notebook/chosenReport.js'
import { toFrame } from '../../src/notebook/frames.js'
import { compareTightening } from '../../src/questions/comparison/asked.js'
import { incidence } from '../../src/questions/incidence/answer.js'
import { incidenceChart } from '../../src/questions/incidence/chart.js'
import { retention } from '../../src/questions/retention/answer.js'
import { practice, times } from '../questions/practice.js'

const scratch = mkdtempSync(join(tmpdir(), 'holdfast-chosen-'))
afterAll(() => rmSync(scratch, { recursive: true, force: true }))

const cohort = practice([
  ...times(20, { repeated: true, checks: [400, 1200], fields: { tooth_position: '36' } }),
  ...times(20, { repeated: false, checks: [400, 1200], fields: { tooth_position: '36' } }),
  ...times(7, { repeated: true, loose: 300, fields: { tooth_position: '36' } }),
  ...times(8, { repeated: false, loose: 300, fields: { tooth_position: '11' } }),
])

describe('a report of chosen results', () => {
  const to = join(scratch, 'mine')
  const made = (title: string) => report([incidence(cohort), 'A word.'], { title, to, date: '2026-01-31' })

  it('takes the place of the earlier one when its notebook is run again', async () => {
    await made('First')
    const { htmlPath } = await made('Second')
    expect(readFileSync(htmlPath, 'utf8')).toContain('Second')
    expect(readFileSync(htmlPath, 'utf8')).not.toContain('First')
  })

  it('refuses a folder that holds anything else', async () => {
    writeFileSync(join(to, 'letter.txt'), 'kept')
    await expect(made('Third')).rejects.toMatchObject({ code: 'folder-in-use' })
    expect(readFileSync(join(to, 'letter.txt'), 'utf8')).toBe('kept')
  })

  it('refuses what cannot be shown, what is not there yet, and nothing at all', async () => {
    const options = { title: 'None', to: join(scratch, 'none') }
    await expect(report([], options)).rejects.toMatchObject({ code: 'cannot-show' })
    await expect(report([new Map()], options)).rejects.toMatchObject({ code: 'cannot-show' })
    await expect(report([toFrame([{ a: 1 }])], options)).rejects.toMatchObject({ code: 'await-forgotten' })
  })
})

describe('its forms', () => {
  const to = join(scratch, 'forms')
  let written: WrittenReport
  let word: { readonly zip: JSZip; readonly xml: string; readonly text: string }
  const html = (): string => readFileSync(written.htmlPath, 'utf8')
  const file = (name: string): string => readFileSync(join(to, name), 'utf8')

  beforeAll(async () => {
    const bars = {
      title: 'Own bars',
      data: { values: [{ a: 'x', b: 2 }] },
      mark: 'bar',
      encoding: { x: { field: 'a', type: 'nominal' }, y: { field: 'b', type: 'quantitative' } },
    }
    const molars = compareTightening(cohort.where({ region: 'molar' }))!
    written = await report(
      [
        incidence(cohort, { by: 'region' }),
        '## What I saw\n\nA **strong** word, <b>no mark</b>, [a page](https://example.org/a).\n\n- one\n- two',
        molars,
        bars,
        await toFrame([{ site: 'molar', crowns: 2 }]),
      ],
      { title: 'My <question>', to, date: '2026-01-31' },
    )
    const zip = await JSZip.loadAsync(readFileSync(join(to, 'report.docx')))
    const xml = await zip.file('word/document.xml')!.async('string')
    const text = [...xml.matchAll(/<w:t(?: [^>]*)?>([^<]*)<\/w:t>|<\/w:p>/g)]
      .map(([, words]) => words ?? '\n')
      .join('')
      .replaceAll('&lt;', '<')
      .replaceAll('&gt;', '>')
    word = { zip, xml, text }
  }, 120_000)

  it('are a page, Word and Markdown, with every table as CSV and every figure beside them', () => {
    expect(written.files).toEqual(
      expect.arrayContaining([
        'report.html',
        'report.md',
        'report.docx',
        'provenance.json',
        'tables/table-1.csv',
      ]),
    )
    const figures = written.files.filter((name) => name.endsWith('190mm.svg'))
    expect(figures.length).toBeGreaterThanOrEqual(2)
    for (const name of figures) {
      expect(written.files).toContain(name.replace('.svg', '.png'))
      expect(written.files).toContain(name.replace('.svg', '.vl.json'))
    }
    expect(file('tables/table-1.csv')).toMatch(/^Group,Restorations,Events/)
    expect(JSON.parse(file('provenance.json'))).toMatchObject({
      format: 'holdfast-chosen-results-1',
      made: '2026-01-31',
    })
  })

  it('say the same in all: title, parts, the words of the user, tables, and what to beware of', () => {
    const plain = (text: string): string =>
      text
        .replace(/<\/?(?:strong|bdi|data)[^>]*>|\\|\*\*/g, '')
        .replaceAll('&lt;', '<')
        .replaceAll('&gt;', '>')
    for (const text of [plain(html()), word.text, plain(file('report.md'))]) {
      expect(text).toContain('My <question>')
      expect(text).toContain('What I saw')
      expect(text).toContain('A strong word, <b>no mark</b>, a page (https://example.org/a).')
      expect(text).toContain('parts or groupings of these records were looked at in this session')
      expect(text).toContain('cannot be known')
      expect(text).toContain('Own bars')
      expect(text).not.toMatch(/difference is .* interval/)
      expect(text).toContain('An audit is no proof of cause')
    }
  })

  it('hold the figures in Word, with a text alternative and a caption each', async () => {
    const pictures = Object.keys(word.zip.files).filter((name) => /^word\/media\/.+\.png$/.test(name))
    expect(pictures).toHaveLength(written.files.filter((name) => name.endsWith('190mm.svg')).length)
    for (const name of pictures) {
      const bytes = await word.zip.file(name)!.async('uint8array')
      expect([...bytes.subarray(1, 4)].map((byte) => String.fromCharCode(byte)).join('')).toBe('PNG')
      expect(bytes.length).toBeGreaterThan(2000)
    }
    const described = [...word.xml.matchAll(/<wp:docPr [^>]*descr="([^"]+)"/g)].map(([, words]) => words)
    expect(described).toHaveLength(pictures.length)
    expect(word.text).toMatch(/Figure 1\. /)
    expect(word.text).toMatch(/Table 1\. /)
    // The user's chart is as wide as the text allows and keeps its proportions.
    const extents = [...word.xml.matchAll(/<wp:extent cx="(\d+)" cy="(\d+)"/g)].map(([, cx, cy]) => [
      Number(cx),
      Number(cy),
    ])
    for (const [wide, high] of extents) {
      expect(wide).toBeGreaterThan(0)
      expect(high).toBeGreaterThan(0)
    }
  })

  it('show of a wide frame what a page bears, and say so', async () => {
    const wide = await toFrame([Object.fromEntries(Array.from({ length: 12 }, (_one, i) => [`c${i}`, i]))])
    const { htmlPath } = await report([wide, incidenceChart(retention(cohort))], {
      title: 'Wide',
      to: join(scratch, 'wide'),
      formats: ['markdown'],
    })
    const page = readFileSync(htmlPath, 'utf8')
    expect(page).toContain('c6')
    expect(page).not.toMatch(/>c7</)
    expect(page).toContain('The first 7 of 12 columns are shown')
    const caption = /<figcaption>(.*?)<\/figcaption>/.exec(page)?.[1] ?? ''
    // The heading of the figure, not the whole of its description.
    expect(caption).toMatch(/Cumulative incidence of first screw loosening$/)
  })

  it('lead nowhere from what was not chosen', () => {
    const targets = new Set([...html().matchAll(/ id="([^"]+)"/g)].map(([, id]) => id))
    const links = [...html().matchAll(/href="#([^"]+)"/g)].map(([, id]) => id)
    expect(links.filter((id) => !targets.has(id))).toEqual([])
  })
})
