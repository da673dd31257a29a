import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { dirname, join } from 'node:path'
import { constants, inflateSync } from 'node:zlib'
import fc from 'fast-check'
import JSZip from 'jszip'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import type { ReportFormat } from '../../src/documents/formats/formats.js'
import { findBrowser } from '../../src/documents/formats/pdf.js'
import { leastReleased, releasedOf } from '../../src/documents/outside/released.js'
import { outsideReport, writeAuditReport } from '../../src/documents/writeReport.js'
import { type AuditResult, auditCohort } from '../../src/questions/audit.js'
import { practice, type TestRestoration, times } from '../questions/practice.js'
import { numbersIn } from './consistency.js'
import { resolvePath } from './resolvePath.js'
import { phrasesOf } from './wordChecks.js'

const sign = { clinic: 'ZZCLINIC', fields: { implant_system: 'ZZSYSTEM', component_system: 'ZZSYSTEM' } }

/** A practice whose names can be found again, of all that a record has. */
function signed(...restorations: readonly TestRestoration[]): AuditResult {
  return auditCohort(
    practice(restorations.map((one, i) => ({ ...sign, operator: `ZZOPERATOR${i % 3}`, ...one }))),
  )
}

const large = signed(
  ...times(80, { checks: [200, 700, 1300] }),
  ...times(12, { loose: 300, checks: [100] }),
  ...times(90, { checks: [200, 800, 1300], repeated: true }),
  ...times(9, { loose: 400, checks: [100], repeated: true }),
  ...times(30, { checks: [200, 800], repeated: 'unknown' }),
  ...times(6, { loose: 500, checks: [100], repeated: 'unknown' }),
)

describe('the numbers that leave', () => {
  test('hold no count below five, alone or as a difference of any that leave, whatever was counted', () => {
    let told = 0
    fc.assert(
      fc.property(
        fc.array(fc.nat(14), { minLength: 6, maxLength: 6 }),
        ([e1 = 0, n1 = 0, e2 = 0, n2 = 0, e3 = 0, n3 = 0]) => {
          const [events, restorations] = [e1 + e2 + e3, e1 + e2 + e3 + n1 + n2 + n3]
          const released = releasedOf({
            ...large,
            howOften: { ...large.howOften, events, restorations, patients: restorations },
            tightening: {
              ...large.tightening!,
              restorations: { group: e1 + n1, against: e2 + n2 },
              events: { group: e1, against: e2 },
            },
          })
          const groups = released.comparison?.groups ?? []
          const cells = [
            ...(released.restorations === undefined ? [] : [released.restorations]),
            ...(released.events === undefined ? [] : [events, restorations - events]),
            ...groups.flatMap((one) => [one.events, one.restorations - one.events]),
          ]
          if (groups.length > 0) {
            told++
            // Nobody is in a rest of no restorations.
            if (e3 + n3 > 0) cells.push(e3, n3)
          }
          for (const cell of cells) expect(cell).toBeGreaterThanOrEqual(leastReleased)
          if (released.comparison?.difference !== undefined) expect(groups).toHaveLength(2)
        },
      ),
      { numRuns: 2000, seed: 18 },
    )
    expect(told).toBeGreaterThan(20)
  })

  test('are no more exact than they are printed', () => {
    const { risk, comparison } = releasedOf(large)
    const all = [risk!, comparison!.difference!, ...comparison!.groups!.map((one) => one.risk!)]
    for (const one of all.flatMap(({ estimate, lower, upper }) => [estimate, lower, upper])) {
      expect(Math.abs(one * 1000 - Math.round(one * 1000))).toBeLessThan(1e-9)
    }
  })

  test('name no groups that bear names out of the records', () => {
    const { tightening } = large
    const groups = { group: 'ZZOPERATOR1', against: 'ZZOPERATOR2', by: 'operator' }
    const released = releasedOf({ ...large, tightening: { ...tightening!, groups: groups as never } })
    expect(JSON.stringify(released)).not.toContain('ZZ')
  })
})

const chromium = await findBrowser()
const small = signed(...times(33, { checks: [400] }))
const editions = (['audit', 'leaflet', 'case-series'] as const).flatMap((kind) =>
  Object.entries({ large, small }).map(([name, audit]) => ({ kind, name, audit })),
)

describe.each(editions)('the folder that leaves: $kind of the $name practice', ({ kind, name, audit }) => {
  let folder = ''
  const formats: readonly ReportFormat[] = [
    'markdown',
    'word',
    'png',
    ...(kind === 'audit' ? (['slides'] as const) : []),
    ...(chromium === undefined ? [] : (['pdf'] as const)),
  ]
  beforeAll(async () => {
    folder = join(mkdtempSync(join(tmpdir(), 'outside-')), name)
    const made = { date: '2026-05-04', version: '0.1.0', outside: true, kind, formats, comparison: true }
    await writeAuditReport(audit, { outDir: folder, ...made })
  }, 120_000)
  afterAll(() => rmSync(dirname(folder), { recursive: true, force: true }))

  test('holds no name, row, file or fingerprint in any file or its metadata', async () => {
    const { source } = audit.summary
    // The names of the records, the title of the data set, pseudonyms, the fingerprint, a path of this machine.
    const forbidden = [
      /ZZ(?:CLINIC|SYSTEM|OPERATOR)/,
      /made by a test/,
      />[RP]\d+</,
      new RegExp(source.sha256),
      /holdfast-print-/,
    ]
    const files = readdirSync(folder, { recursive: true, withFileTypes: true }).filter((one) => one.isFile())
    const main = kind === 'audit' ? 'summary' : 'report'
    const expected = formats.flatMap((format) => {
      const ending = { markdown: '.md', word: '.docx', pdf: '.pdf', slides: '', png: '' }[format]
      return ending === '' ? [] : [`${main}${ending}`]
    })
    const names = files.map((one) => one.name)
    expect(names).toEqual(expect.arrayContaining([`${main}.html`, ...expected]))
    if (kind === 'audit') expect(names).toContain('slides.pptx')
    for (const file of files) {
      for (const text of await textsOf(join(file.parentPath, file.name))) {
        for (const sign of forbidden) expect(sign.test(text), `${file.name}: ${sign}`).toBe(false)
      }
    }
    expect(names).not.toContain('supplement.html')
    expect(names).not.toContain('answer.json')
    const provenance = JSON.parse(readFileSync(join(folder, 'provenance.json'), 'utf8'))
    expect(Object.keys(provenance).sort()).toEqual(['files', 'generated', 'kind', 'made', 'software'])
  })

  test('prints no number but those that are released', () => {
    const { document, slides } = outsideReport(audit, { date: '2026-05-04', version: '0.1.0', kind, formats })
    const released = releasedOf(audit)
    const phrases = [document, ...(slides === undefined ? [] : [slides])].flatMap((one) => [
      one.title,
      one.summary,
      ...one.sections.flatMap(({ blocks, aside }) =>
        [...blocks, ...(aside?.blocks ?? [])].flatMap(phrasesOf),
      ),
    ])
    const numbers = phrases.flatMap(numbersIn)
    if (name === 'large') expect(numbers.length).toBeGreaterThan(3)
    for (const { path, value } of numbers) expect(resolvePath(released, path), path).toBe(value)
  })
})

/** Everything that can be read in a file: its text, that of the parts of a package, or of the streams of a PDF. */
async function textsOf(path: string): Promise<readonly string[]> {
  const bytes = readFileSync(path)
  if (path.endsWith('.png')) return [bytes.toString('latin1').replace(/IDAT[\s\S]*/, '')]
  if (path.endsWith('.pdf')) return pdfTexts(bytes)
  if (!/\.(?:docx|pptx)$/.test(path)) return [bytes.toString('utf8')]
  const zip = await JSZip.loadAsync(bytes)
  const parts = Object.values(zip.files).filter((part) => /\.(?:xml|rels)$/.test(part.name))
  return [...Object.keys(zip.files), ...(await Promise.all(parts.map((part) => part.async('string'))))]
}

/** A PDF (ISO 32000) as it stands and with its compressed streams opened; text of two bytes a letter is read as one. */
function pdfTexts(bytes: Buffer): readonly string[] {
  const raw = bytes.toString('latin1')
  const streams = [...raw.matchAll(/stream\r?\n/g)].flatMap(({ index, 0: mark }) => {
    if (raw.slice(index - 3, index) === 'end') return []
    const start = index + mark.length
    try {
      const end = raw.indexOf('endstream', start)
      return [
        inflateSync(bytes.subarray(start, end), { finishFlush: constants.Z_SYNC_FLUSH }).toString('latin1'),
      ]
    } catch {
      return []
    }
  })
  expect(streams.length).toBeGreaterThan(3)
  return [raw, ...streams].flatMap((text) => [text, text.replaceAll('\0', '')])
}
