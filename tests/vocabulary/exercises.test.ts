import { execFileSync } from 'node:child_process'
import {
  cpSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs'
import { tmpdir } from 'node:os'
import { join, resolve } from 'node:path'
import { parse } from 'csv-parse/sync'
import { buildSync } from 'esbuild'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'

type Row = Readonly<Record<string, string>>

const root = resolve(import.meta.dirname, '../..')
const scratch = mkdtempSync(join(tmpdir(), 'vocabulary-'))
afterAll(() => rmSync(scratch, { recursive: true }))

/** A new covariate and a new endpoint: one entry each, and their messages; nothing else is touched. */
const abutmentMaterial = `
  abutment_material: {
    kind: 'code',
    description: 'Material of the abutment.',
    example: 'titanium',
    codes: ['titanium', 'zirconia', 'gold_alloy'],
    covariate: { rank: 6 },
    demo: { titanium: 70, zirconia: 25, gold_alloy: 5 },
  },
  crown_material: {`
const ceramicFracture = `
  ceramic_fracture: {
    findings: ['ceramic_fracture'],
    foundBy: 'visit-in-person',
    repeatable: true,
    demo: { perYear: 0.02, action: 'repaired' },
  },
  implant_loss: {`
const messages = {
  'field.json': { 'field.abutment_material': 'abutment material' },
  'level.json': {
    'level.abutment_material.titanium': 'titanium',
    'level.abutment_material.zirconia': 'zirconia',
    'level.abutment_material.gold_alloy': 'gold alloy',
    'level.finding.ceramic_fracture': 'ceramic fracture',
  },
  'endpoint.json': {
    'endpoint.plain.ceramic_fracture': 'fracture of the ceramic',
    'endpoint.name.ceramic_fracture': 'first fracture of the ceramic',
    'endpoint.title.ceramic_fracture': 'First fracture of the ceramic',
    'endpoint.title-one.ceramic_fracture': 'A first fracture of the ceramic',
    'endpoint.one.ceramic_fracture': 'a first fracture of the ceramic',
    'endpoint.many.ceramic_fracture': 'first fractures of the ceramic',
    'endpoint.every.ceramic_fracture': 'every fracture of the ceramic',
    'endpoint.meaning.ceramic_fracture': 'the first visit at which the ceramic was found broken',
    'endpoint.free-of.ceramic_fracture': 'free of ceramic fracture',
    'endpoint.for-patients.ceramic_fracture': 'a crown with broken ceramic',
  },
}

/** Compiles a copy of the sources, changed or not, to a folder from which it can be run. */
function compiled(name: string, change: (source: string) => void): string {
  const folder = join(scratch, name)
  const source = join(folder, 'src')
  mkdirSync(folder)
  cpSync(join(root, 'src'), source, { recursive: true })
  writeFileSync(join(folder, 'package.json'), readFileSync(join(root, 'package.json')))
  symlinkSync(join(root, 'node_modules'), join(folder, 'node_modules'))
  change(source)
  const files = (readdirSync(source, { recursive: true }) as string[]).filter((file) => file.endsWith('.ts'))
  const out = join(folder, 'dist')
  buildSync({
    entryPoints: files.map((file) => join(source, file)),
    outdir: out,
    format: 'esm',
    platform: 'node',
    target: 'node20',
    logLevel: 'error',
  })
  cpSync(join(source, 'messages'), join(out, 'messages'), {
    recursive: true,
    filter: (path) => !path.endsWith('.ts'),
  })
  const names = 'records/identities/names'
  cpSync(join(source, names), join(out, names), { recursive: true })
  return folder
}

function replaceIn(path: string, text: string, by: string): void {
  const before = readFileSync(path, 'utf8')
  expect(before).toContain(text)
  writeFileSync(path, before.replace(text, by))
}

/** What the compiled toolkit makes of its own demo: records, template, dictionary, cohort and comparison. */
const script = `
const at = (file) => import(new URL('dist/' + file, import.meta.url))
const { writeDemo } = await at('demo/writeDemo.js')
const { demoSettings } = await at('demo/settings.js')
const { readRecords } = await at('records/read/readDataset.js')
const { writeTemplate } = await at('records/desk/writeTemplate.js')
const { buildCohort } = await at('cohort/cohort.js')
const { defaultDefinition } = await at('cohort/definition.js')
const { usableConfounders, defaultConfounders } = await at('questions/comparison/confounders.js')
const { traits } = await at('questions/characteristics/traits.js')
const { endpointWords } = await at('documents/wording/terms.js')
const { retention } = await at('questions/retention/answer.js')
const { retentionChart } = await at('questions/retention/chart.js')
const { speaker } = await at('messages/speaker.js')
const { fieldName } = await at('messages/names.js')
const { dayFromIso } = await at('core/calendar.js')
const { writeFileSync } = await import('node:fs')
const folder = (name) => new URL(name, import.meta.url).pathname
await writeDemo(folder('demo'), demoSettings({ seed: 3, patients: 250 }))
await writeTemplate(folder('template'))
const endpoint = process.argv[2]
const records = await readRecords(folder('demo'), { today: dayFromIso('2026-01-15') })
const cohort = buildCohort(records, { ...defaultDefinition, endpoint })
const rows = Int32Array.from({ length: cohort.n }, (_one, row) => row)
const curve = retention(cohort)
const title = speaker().text({ kind: 'message', code: 'endpoint.free-of.' + endpoint, parameters: {} })
writeFileSync(folder('made.json'), JSON.stringify({
  problems: records.quality.problems.map(({ severity, code }) => [severity, code]),
  events: cohort.status.reduce((sum, one) => sum + (one === 1 ? 1 : 0), 0),
  adjustedFor: usableConfounders(cohort, rows, defaultConfounders, 'tightening').usable.map(({ key }) => key),
  described: traits.map(({ field }) => [field, speaker().text(fieldName(field))]),
  words: endpointWords(endpoint),
  title,
  chart: JSON.stringify(retentionChart(curve)).includes(title.split(' ').at(-1)),
}))
`

interface Made {
  readonly problems: readonly (readonly [string, string])[]
  readonly events: number
  readonly adjustedFor: readonly string[]
  readonly described: readonly (readonly [string, string])[]
  readonly words: Readonly<Record<string, string>>
  readonly title: string
  readonly chart: boolean
}

function run(folder: string, endpoint: string): Made {
  const file = join(folder, 'run.mjs')
  writeFileSync(file, script)
  execFileSync(process.execPath, [file, endpoint], { cwd: folder })
  return JSON.parse(readFileSync(join(folder, 'made.json'), 'utf8'))
}

const rowsOf = (folder: string, file: string): readonly Row[] =>
  parse(readFileSync(join(folder, 'demo', file)), { columns: true })

let plain: string
let extended: string
let made: Made

beforeAll(() => {
  plain = compiled('plain', () => {})
  extended = compiled('extended', (source) => {
    replaceIn(join(source, 'vocabulary/restorations.ts'), '\n  crown_material: {', abutmentMaterial)
    replaceIn(join(source, 'vocabulary/endpoints.ts'), '\n  implant_loss: {', ceramicFracture)
    for (const [file, added] of Object.entries(messages)) {
      const path = join(source, 'messages/en', file)
      writeFileSync(path, JSON.stringify({ ...JSON.parse(readFileSync(path, 'utf8')), ...added }))
    }
  })
  run(plain, 'screw_loosening')
  made = run(extended, 'ceramic_fracture')
}, 600_000)

describe('a new covariate and a new endpoint, each in one entry of the vocabulary and its messages', () => {
  it('are read and checked like any other', () => {
    expect(made.problems.filter(([severity]) => severity === 'stop')).toEqual([])
    expect(made.events).toBeGreaterThan(5)
  })

  it('are adjusted for, described and named', () => {
    expect(made.adjustedFor).toContain('abutment_material')
    expect(made.described).toContainEqual(['abutment_material', 'abutment material'])
    expect(made.words.many).toBe('first fractures of the ceramic')
    expect(made.title).toBe('free of ceramic fracture')
    expect(made.chart).toBe(true)
  })

  it('are in the empty tables, the data dictionary and the data package', () => {
    const template = (file: string): string => readFileSync(join(extended, 'template', file), 'utf8')
    expect(template('one-sheet.csv').split('\n')[0]!.split(',')).toContain('abutment_material')
    expect(template('dictionary.md')).toContain(
      '| abutment_material | Material of the abutment. | titanium, zirconia, gold_alloy |',
    )
    const demoPackage = JSON.parse(readFileSync(join(extended, 'demo/datapackage.json'), 'utf8'))
    const field = (resource: number, name: string) =>
      demoPackage.resources[resource].schema.fields.find((one: { name: string }) => one.name === name)
    expect(field(0, 'abutment_material').constraints.enum).toEqual(['titanium', 'zirconia', 'gold_alloy'])
    expect(field(2, 'finding').constraints.enum).toContain('ceramic_fracture')
  })

  it('are in the demo data, and leave every other column of them as it was', () => {
    for (const file of ['restorations.csv', 'one-sheet.csv']) {
      const others = rowsOf(extended, file).map(({ abutment_material: _new, ...rest }) => rest)
      // The sheet's last check may fall on a visit that the new endpoint brought about.
      const stable = (rows: readonly Row[]) => rows.map(({ last_check_date: _date, ...rest }) => rest)
      expect(stable(others)).toEqual(stable(rowsOf(plain, file)))
    }
    const materials = new Set(rowsOf(extended, 'restorations.csv').map((row) => row.abutment_material))
    expect(materials).toEqual(new Set(['titanium', 'zirconia', 'gold_alloy', '']))
    expect(rowsOf(extended, 'tightenings.csv')).toEqual(rowsOf(plain, 'tightenings.csv'))
  })

  it('add visits to the demo data, and change no other finding or visit', () => {
    const keyOf = (row: Row): string => `${row.restoration_id} ${row.visit_date}`
    const before = rowsOf(plain, 'visits.csv')
    const known = new Set(before.map(keyOf))
    const after = rowsOf(extended, 'visits.csv')
    expect(after.some((row) => row.finding === 'ceramic_fracture')).toBe(true)
    const found = (rows: readonly Row[]) => rows.filter((row) => row.finding !== 'none')
    expect(found(after).filter((row) => row.finding !== 'ceramic_fracture' && known.has(keyOf(row)))).toEqual(
      found(before),
    )
    // A visit at which nothing had been found says the same of everything but the finding and what was done.
    const frame = ({
      restoration_id,
      visit_date,
      visit_type,
      screw_checked,
      check_method,
      restoration_status,
      patient_status,
    }: Row) =>
      [
        restoration_id,
        visit_date,
        visit_type,
        screw_checked,
        check_method,
        restoration_status,
        patient_status,
      ].join(' ')
    const frames = new Set(after.map(frame))
    expect(before.map(frame).filter((one) => !frames.has(one))).toEqual([])
  })
})
