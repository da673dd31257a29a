import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { pathToFileURL } from 'node:url'
import { parse } from 'csv-parse/sync'
import { stringify } from 'csv-stringify/sync'
import JSZip from 'jszip'
import { afterAll, beforeAll, expect, test } from 'vitest'
import { printable } from '../../src/charts/words.js'
import { buildCohort } from '../../src/cohort/cohort.js'
import { writeAuditReport } from '../../src/documents/writeReport.js'
import { auditCohort } from '../../src/questions/audit.js'
import { parsePlan, plannedDefinition } from '../../src/questions/plan/planFile.js'
import { plannedSettings } from '../../src/questions/plan/settings.js'
import { readRecords } from '../../src/records/read/readDataset.js'
import { describeInChromium } from './chromium.js'

const longWord = 'Pneumonoultramicroscopic'.repeat(12)

/** What someone might write into a record, as far as it runs in one of the formats. */
const attacks = [
  '<script>window.hit="script"</script>',
  '"><img src=x onerror=window.hit="image">',
  "' onmouseover='window.hit=1' x='",
  '</td></table></style></script><svg onload=window.hit=1>',
  '[look](javascript:window.hit=1) ![x](y)',
  '=HYPERLINK("a","b")',
  '+1+cmd|calc',
  '@SUM(A1:A9)',
  '\u202egnitarepo \u2067x\u2069',
  'שלום (1) مرحبا',
  `a ${longWord}`,
  '<!-- ]]> --> <![CDATA[ &lt;b&gt; &#x3c;',
  '| a | b |\\| `code` **bold** # _x_',
  '{{7*7}} $' + '{7*7} \u2028',
] as const

/** One attack after the other, told apart so that groups stay groups. */
function attackAt(index: number): string {
  return `${attacks[index % attacks.length]!}${Math.floor(index / attacks.length) || ''}`
}

type Row = Record<string, string>
const tables = ['restorations', 'tightenings', 'visits'] as const
/** Fields of numbers whose faulty values count as unknown. */
const amounts = [
  'age_at_delivery_years',
  'implant_diameter_mm',
  'crown_height_mm',
  'achieved_torque_ncm',
  'hold_seconds',
  'chair_minutes',
] as const
const linked = ['restoration_id', 'patient_id', 'implant_id'] as const

/** The first restorations of the demo data, with the fields attacked that take any text or number. */
function attackedTables(): { tables: Record<(typeof tables)[number], Row[]>; shown: Set<string> } {
  const read = (name: string): Row[] =>
    parse(readFileSync(`data-demo/${name}.csv`, 'utf8'), { columns: true, bom: true })
  const restorations = read('restorations').slice(0, 500)
  const ids = new Map(restorations.map((row, index) => [row.restoration_id!, index]))
  const own = {
    restorations,
    tightenings: read('tightenings').filter((row) => ids.has(row.restoration_id!)),
    visits: read('visits').filter((row) => ids.has(row.restoration_id!)),
  }
  const names = new Map<string, string>()
  const renamed = (kind: string, value: string): string => {
    const key = `${kind} ${value}`
    if (!names.has(key)) names.set(key, attackAt(names.size))
    return names.get(key)!
  }
  const shown = new Set<string>()
  for (const name of tables) {
    own[name].forEach((row, index) => {
      for (const field of ['clinic_id', 'operator_id', 'component_system', 'device_id']) {
        if (row[field] === undefined || row[field] === '') continue
        row[field] = renamed(field, row[field])
        if (field === 'clinic_id' || field === 'component_system') shown.add(row[field])
      }
      for (const field of linked) {
        if (row[field] !== undefined && row[field] !== '') row[field] = `${row[field]} ${attacks[2]}`
      }
      const amount = amounts[index % amounts.length]!
      if (row[amount] !== undefined) row[amount] = attackAt(index)
      row['notes <script>window.hit=1</script>'] = attackAt(index)
    })
  }
  return { tables: own, shown }
}

test('words that are no codes, and web addresses, are refused before any report, and not repeated', async () => {
  const folder = mkdtempSync(join(tmpdir(), 'refused-'))
  try {
    const { tables: own } = attackedTables()
    own.restorations[0]!.crown_material = attacks[0]
    own.restorations[1]!.component_system = 'http://example.org/<script>'
    own.restorations[2]!.operator_id = '![x](y.png)'
    for (const name of tables)
      writeFileSync(join(folder, `${name}.csv`), stringify(own[name], { header: true }))
    const refused = await readRecords(folder, { today: 20_600 }).catch((error: Error) => error)
    expect(refused).toBeInstanceOf(Error)
    expect((refused as Error).message).toContain('crown_material')
    expect((refused as Error).message).toContain('a web address')
    expect((refused as Error).message).toMatch(/column operator_id, row 4: .*a picture or scan/)
    expect((refused as Error).message).not.toMatch(/<script|example\.org|y\.png/)
  } finally {
    rmSync(folder, { recursive: true, force: true })
  }
})

describeInChromium('a report on records that attack it', (context) => {
  let folder = ''
  let shown = new Set<string>()
  const report = (...parts: string[]): string => join(folder, 'report', ...parts)

  beforeAll(async () => {
    folder = mkdtempSync(join(tmpdir(), 'attacked-'))
    const data = join(folder, 'data')
    mkdirSync(data)
    const attacked = attackedTables()
    shown = attacked.shown
    for (const name of tables) {
      writeFileSync(join(data, `${name}.csv`), stringify(attacked.tables[name], { header: true }))
    }
    const title = attacks.join(' ')
    writeFileSync(
      join(data, 'datapackage.json'),
      JSON.stringify({
        name: 'attacked',
        title,
        resources: tables.map((name) => ({ name, path: `${name}.csv` })),
      }),
    )
    const plan = parsePlan(
      JSON.stringify({
        written: '2026-01-05',
        title: attacks.slice(0, 5).join(' ').slice(0, 200),
        sensitivity: ['last-contact', 'misclassification'],
      }),
    )
    const records = await readRecords(data, { today: 20_600, setAside: ['field-mostly-unreadable'] })
    const audit = auditCohort(buildCohort(records, plannedDefinition(plan)), plannedSettings(plan))
    await writeAuditReport(audit, { outDir: report(), date: '2026-05-04', version: '0.1.0' })
  }, 60_000)

  afterAll(() => {
    rmSync(folder, { recursive: true, force: true })
  })

  /** Opens a file of the report, moves over it, and tells what happened. */
  async function opened(
    file: string,
    width: number,
  ): Promise<{ hit: unknown; requests: string[]; facts: Facts }> {
    const page = await context().newPage()
    try {
      const requests: string[] = []
      page.on('request', (request) => requests.push(request.url()))
      await page.setViewportSize({ width, height: 900 })
      await page.goto(pathToFileURL(file).href)
      for (let y = 50; y < 900; y += 60) await page.mouse.move(width / 2, y)
      return {
        hit: await page.evaluate('window.hit'),
        requests: requests.slice(1),
        facts: await page.evaluate<Facts>(facts),
      }
    } finally {
      await page.close()
    }
  }

  test.each([390, 1280])(
    'shows all of it as text in the page of %i pixels, and runs nothing',
    async (width) => {
      const { hit, requests, facts } = await opened(report('supplement.html'), width)
      expect(hit).toBeUndefined()
      expect(requests).toEqual([])
      expect(facts.scripts).toBe(1)
      expect(facts.foreign).toEqual([])
      expect(facts.links.filter((href) => !/^#|^(?:index|summary|report)\.html$/.test(href))).toEqual([])
      expect(facts.width).toBe(width)
      for (const name of shown) expect(facts.text).toContain(spaced(printable(name)))
      expect(facts.text).toContain(spaced(printable(attacks.join(' '))))
      expect(facts.text).not.toMatch(/[\u202a-\u202e]/)
    },
  )

  test('sets text that runs the other way apart, so that it turns nothing beside it', () => {
    const html = readFileSync(report('supplement.html'), 'utf8')
    const body = html
      .slice(html.indexOf('<main'))
      .replaceAll(/<svg.*?<\/svg>/gs, '')
      .replaceAll(/ data-[a-z]+="[^"]*"/g, '')
    const outside = body.replaceAll(/<bdi[^>]*>[^<]*<\/bdi>/g, '').replaceAll(/<th [^>]*>[^<]*<\/th>/g, '')
    expect(outside).not.toContain('שלום')
  })

  test('draws pictures that run nothing and can be read', async () => {
    const pictures = readdirSync(report('figures')).filter((name) => name.endsWith('-190mm.svg'))
    expect(pictures.length).toBeGreaterThan(8)
    for (const name of pictures) {
      const { hit, requests, facts } = await opened(report('figures', name), 1280)
      expect([name, hit, requests, facts.foreign, facts.scripts]).toEqual([name, undefined, [], [], 0])
    }
  })

  test('writes a Word file that is well-formed and holds the names as text', async () => {
    const zip = await JSZip.loadAsync(readFileSync(report('supplement.docx')))
    const page = await context().newPage()
    try {
      for (const name of Object.keys(zip.files).filter((one) => /\.(xml|rels)$/.test(one))) {
        const xml = await zip.file(name)!.async('string')
        expect(xml, name).not.toMatch(/TargetMode="External"|<script|<w:instrText[^>]*>\s*(?:DDE|INCLUDE)/)
        const [faults, text] = await page.evaluate<[number, string]>(
          `((xml) => {
            const read = new DOMParser().parseFromString(xml, 'application/xml')
            return [read.querySelectorAll('parsererror').length, read.documentElement.textContent]
          })(${JSON.stringify(xml)})`,
        )
        expect(faults, name).toBe(0)
        if (name !== 'word/document.xml') continue
        for (const one of shown) expect(text.replaceAll('\u200e', '')).toContain(printable(one))
      }
    } finally {
      await page.close()
    }
  })

  test('writes tables in which no spreadsheet finds a formula', () => {
    const files = readdirSync(report('tables'))
    expect(files.length).toBeGreaterThan(10)
    for (const name of files) {
      for (const row of parse(readFileSync(report('tables', name), 'utf8'), {
        relax_column_count: false,
      }) as string[][]) {
        for (const cell of row) {
          if (/^[-+]?[\d.]+%?$/.test(cell) || cell === '–') continue
          expect(cell, name).not.toMatch(/^\s*[=+\-@|%]|^[\t\r\n]/)
        }
      }
    }
  })

  test('writes Markdown in which nothing of it is markup', () => {
    const text = readFileSync(report('supplement.md'), 'utf8')
    expect(text).not.toMatch(/(?<!\\)<(?:script|img|svg|!--|\/)/i)
    expect(text).not.toMatch(/(?<!\\)\]\((?:javascript|http)/)
    expect(text).not.toMatch(/[\u202a-\u202e]/)
    const tables = text.split('\n').filter((line) => line.startsWith('|'))
    const cells = (line: string): number => line.replaceAll('\\\\', '').split(/(?<!\\)\|/).length
    tables.forEach((line, index) => {
      if (index > 0 && text.includes(`${tables[index - 1]}\n${line}`)) {
        expect(cells(line), line).toBe(cells(tables[index - 1]!))
      }
    })
  })

  test('keeps results and specifications that can be parsed', () => {
    for (const name of ['results.json', 'provenance.json']) {
      expect(() => JSON.parse(readFileSync(report(name), 'utf8'))).not.toThrow()
    }
  })
})

interface Facts {
  readonly text: string
  readonly scripts: number
  /** Elements that no report of ours has. */
  readonly foreign: readonly string[]
  readonly links: readonly string[]
  readonly width: number
}

/** Runs in the page, so it is given as text. */
const facts = `(() => {
  const names = [...document.querySelectorAll('img, iframe, object, embed, form, link, base, foreignObject, [onload], [onerror], [onmouseover]')]
  return {
    text: (document.body ?? document.documentElement).textContent.replaceAll(/\\s+/g, ' '),
    scripts: document.scripts.length,
    foreign: names.map((one) => one.outerHTML.slice(0, 80)),
    links: [...document.querySelectorAll('a')].map((one) => one.getAttribute('href')),
    width: document.documentElement.scrollWidth,
  }
})()`

function spaced(text: string): string {
  return text.replaceAll(/\s+/g, ' ')
}
