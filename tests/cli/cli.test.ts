import { createHash } from 'node:crypto'
import {
  cpSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { writeSheetAsTables } from '../demo/sheetAsTables.js'
import { type Ended, root, runHoldfast } from './runHoldfast.js'

const demo = join(root, 'data-demo')
const scratch = mkdtempSync(join(tmpdir(), 'cli-'))
afterAll(() => rmSync(scratch, { recursive: true, force: true }))

/** Runs the built command in the scratch folder. */
function holdfast(...words: readonly string[]): Promise<Ended> {
  return runHoldfast(scratch, words)
}

/** A copy of the demo tables with one of them changed. */
function changedDemo(name: string, table: string, change: (text: string) => string | Buffer): string {
  const folder = join(scratch, name)
  mkdirSync(folder)
  for (const file of ['restorations.csv', 'tightenings.csv', 'visits.csv'])
    cpSync(join(demo, file), join(folder, file))
  writeFileSync(join(folder, table), change(readFileSync(join(demo, table), 'utf8')))
  return folder
}

/** Changes one column of a CSV of plain fields. */
function mapColumn(text: string, column: string, change: (value: string, row: number) => string): string {
  const lines = text.split('\n')
  const position = lines[0]!.split(',').indexOf(column)
  return lines
    .map((line, row) => {
      if (row === 0 || line === '') return line
      const fields = line.split(',')
      fields[position] = change(fields[position]!, row)
      return fields.join(',')
    })
    .join('\n')
}

function renamed(text: string, from: string, to: string): string {
  const [head, ...rest] = text.split('\n')
  return [
    head!
      .split(',')
      .map((name) => (name === from ? to : name))
      .join(','),
    ...rest,
  ].join('\n')
}

interface Overall {
  readonly restorations: number
  readonly events: number
  readonly competingEvents: number
  readonly restorationYears: number
}

/** What a report of the scratch folder found overall. */
function overallOf(name: string): Overall {
  const results = JSON.parse(readFileSync(join(scratch, name, 'results.json'), 'utf8')) as {
    incidence: { overall: Overall }
  }
  const { restorations, events, competingEvents, restorationYears } = results.incidence.overall
  return { restorations, events, competingEvents, restorationYears }
}

describe('holdfast audit', () => {
  let first: Ended
  beforeAll(async () => {
    first = await holdfast('audit', demo, '--out', 'report', '--date', '2026-01-31')
  })

  it('writes the report and prints where it is and the main result in three lines', () => {
    expect(first).toMatchObject({ code: 0, stderr: '' })
    const lines = first.stdout.trim().split('\n')
    expect(lines).toHaveLength(4)
    expect(lines[0]).toMatch(/^By 3 years after delivery, \d+\.\d% of restorations .*\(95% interval \d/)
    expect(lines[3]).toBe('Report: report/report.html')
    expect(readdirSync(join(scratch, 'report')).sort()).toEqual([
      'answer.json',
      'figures',
      'index.html',
      'provenance.json',
      'report.html',
      'report.md',
      'results.json',
      'results.schema.json',
      'summary.html',
      'summary.md',
      'supplement.html',
      'supplement.md',
      'tables',
    ])
  })

  it('follows a plan, prints its hash, and refuses one that cannot be read', async () => {
    const text =
      '{"written": "2026-01-05", "waitWindowMinutes": {"from": 5, "to": 30}, "horizonsYears": [2, 4]}'
    writeFileSync(join(scratch, 'plan.json'), text)
    const planned = await holdfast('audit', demo, '--out', 'planned', '--plan', 'plan.json')
    expect(planned).toMatchObject({ code: 0, stderr: '' })
    const results = JSON.parse(readFileSync(join(scratch, 'planned', 'results.json'), 'utf8'))
    expect(results.definition.waitWindowMinutes).toEqual({ from: 5, to: 30 })
    expect(results.settings.horizonsYears).toEqual([2, 4])
    const hash = createHash('sha256').update(text).digest('hex')
    expect(results.tightening.plan).toMatchObject({ source: 'file', sha256: hash, written: '2026-01-05' })
    expect(readFileSync(join(scratch, 'planned', 'supplement.html'), 'utf8')).toContain(hash)
    const missing = await holdfast('audit', demo, '--plan', 'nowhere.json')
    expect(missing.code).toBe(2)
    expect(missing.stderr).toContain('the plan nowhere.json cannot be read.')
    writeFileSync(join(scratch, 'bad.json'), '{"written": "2026-01-05", "level": 95}')
    const bad = await holdfast('audit', demo, '--plan', 'bad.json')
    expect(bad.code).toBe(2)
    expect(bad.stderr).toContain('level: must be below 1, such as 0.95')
  })

  it('gives the same bytes for the same data', async () => {
    const read = (): readonly string[] =>
      (readdirSync(join(scratch, 'report'), { recursive: true, withFileTypes: true }) ?? [])
        .filter((entry) => entry.isFile())
        .map((entry) => readFileSync(join(entry.parentPath, entry.name)).toString('base64'))
    const before = read()
    expect((await holdfast('audit', demo, '--out', 'report', '--date', '2026-01-31')).code).toBe(0)
    expect(read()).toEqual(before)
  })

  it('differs in one line of the page where only the date differs', async () => {
    const lines = (): readonly string[] =>
      readFileSync(join(scratch, 'report/report.html'), 'utf8').split('\n')
    const before = lines()
    await holdfast('audit', demo, '--out', 'report', '--date', '2026-02-01')
    const changed = lines().filter((line, i) => line !== before[i])
    expect(changed).toHaveLength(1)
    expect(changed[0]).toContain('1 February 2026')
  })

  it('takes the one-sheet form, with the same first loosenings, and the same of all but the last checks that the tables set aside', async () => {
    const one = await holdfast('audit', join(demo, 'one-sheet.csv'), '--out', 'one', '--date', '2026-01-31')
    expect(one.stderr).toBe('')
    expect(one.code).toBe(0)
    const { restorations, restorationYears, ...found } = overallOf('report')
    expect(overallOf('one')).toMatchObject({ ...found, restorations: restorations + 1 })
    expect(overallOf('one').restorationYears).toBeGreaterThan(restorationYears)
    writeSheetAsTables(demo, join(scratch, 'as-tables.csv'))
    const alike = await holdfast('audit', 'as-tables.csv', '--out', 'alike', '--date', '2026-01-31')
    expect(alike).toMatchObject({ code: 0, stderr: '' })
    expect(overallOf('alike')).toEqual(overallOf('report'))
  })

  it("leaves a column of patients' names out, says so, and writes no name anywhere", async () => {
    const name = 'Wilhelmina Anderssen'
    const folder = changedDemo('name', 'restorations.csv', (text) =>
      mapColumn(renamed(text, 'implant_id', 'patient_name'), 'patient_name', () => name),
    )
    const ended = await holdfast('audit', folder, '--out', 'nameless', '--date', '2026-01-31')
    expect(ended.code).toBe(0)
    expect(ended.stderr).toBe('Identities were taken off on reading: 1 column that identifies is left out.\n')
    expect(ended.stdout).not.toContain(name)
    expect(overallOf('nameless')).toEqual(overallOf('report'))
    const files = readdirSync(join(scratch, 'nameless'), { recursive: true, withFileTypes: true }).filter(
      (entry) => entry.isFile(),
    )
    expect(files.length).toBeGreaterThan(6)
    for (const file of files) {
      const text = readFileSync(join(file.parentPath, file.name), 'utf8')
      expect(text).not.toMatch(/Wilhelmina|Anderssen/i)
    }
  })

  it('leaves a folder alone that is no report of its own', async () => {
    mkdirSync(join(scratch, 'mine'))
    writeFileSync(join(scratch, 'mine/notes.txt'), 'keep')
    const ended = await holdfast('audit', demo, '--out', 'mine')
    expect(ended.code).toBe(2)
    expect(readFileSync(join(scratch, 'mine/notes.txt'), 'utf8')).toBe('keep')
  })
})

describe('what stops gives a readable list, exit code 1 and no report', () => {
  const cases: readonly (readonly [string, () => string, RegExp])[] = [
    [
      'a missing column',
      () => changedDemo('no-date', 'restorations.csv', (text) => renamed(text, 'delivery_date', 'day_of_it')),
      /restorations\.csv.*delivery_date/s,
    ],
    [
      'dates of undecidable order',
      () =>
        changedDemo('dates', 'restorations.csv', (text) =>
          mapColumn(text, 'delivery_date', (_value, row) => `0${1 + (row % 9)}/0${1 + ((row * 7) % 9)}/2021`),
        ),
      /delivery_date/,
    ],
    [
      'torque in N·m',
      () =>
        changedDemo('torque', 'tightenings.csv', (text) =>
          mapColumn(text, 'target_torque_ncm', (value) => String(Number(value) / 100)),
        ),
      /target_torque_ncm/,
    ],
    [
      'more than 5% of rows set aside',
      () =>
        changedDemo('aside', 'visits.csv', (text) =>
          mapColumn(text, 'visit_date', (value, row) => (row % 10 === 0 ? '2001-01-01' : value)),
        ),
      /5%/,
    ],
    [
      'an empty file',
      () => changedDemo('empty', 'restorations.csv', (text) => `${text.split('\n')[0]}\n`),
      /restorations\.csv/,
    ],
    [
      'a directory without data',
      () => {
        mkdirSync(join(scratch, 'nothing'))
        return join(scratch, 'nothing')
      },
      /restorations\.csv/,
    ],
    ['a file of 0 bytes', () => changedDemo('zero', 'restorations.csv', () => ''), /restorations\.csv/],
    [
      'a binary file',
      () =>
        changedDemo('binary', 'restorations.csv', () =>
          Buffer.from(Array.from({ length: 4096 }, (_one, i) => (i * 97) % 256)),
        ),
      /restorations\.csv/,
    ],
  ]

  it.each(cases)('%s', async (name, make, place) => {
    const out = `out-${name.replace(/\W+/g, '-')}`
    const ended = await holdfast('audit', make(), '--out', out)
    expect(ended.stderr).toMatch(place)
    expect(ended.stderr).toMatch(/expected/i)
    expect(ended.stderr).toMatch(/mend/i)
    expect(ended.stderr).not.toMatch(/\n\s+at /)
    expect(ended.code).toBe(1)
    expect(existsSync(join(scratch, out))).toBe(false)
  })
})

describe('holdfast check', () => {
  it('lists what is set aside and what warns, and writes nothing', async () => {
    const before = readdirSync(scratch)
    const ended = await holdfast('check', demo)
    expect(ended.code).toBe(0)
    expect(ended.stdout).toContain('[duplicate-restoration] restorations.csv')
    expect(ended.stdout).toMatch(/mend: /)
    expect(ended.stdout).toMatch(
      /Completeness: \d+ of \d+ fields are known in every row\n {2}\w+, \w+: known in \d+ of \d+ rows/,
    )
    expect(ended.stdout).toMatch(/clinic_A \d+\.\d%/)
    expect(readdirSync(scratch)).toEqual(before)
  })
})

describe('holdfast demo', () => {
  it('writes data that can be audited, and nothing over a folder of yours', async () => {
    expect((await holdfast('demo', 'generated', '--seed', '5')).stdout).toBe(
      'Generated demo data, seed 5, in generated\n',
    )
    expect((await holdfast('audit', 'generated', '--out', 'generated-report')).code).toBe(0)
    mkdirSync(join(scratch, 'own'))
    writeFileSync(join(scratch, 'own/restorations.csv'), 'mine')
    expect((await holdfast('demo', 'own')).code).toBe(2)
    expect(readFileSync(join(scratch, 'own/restorations.csv'), 'utf8')).toBe('mine')
  })
})

describe('commands for the records of a practice', () => {
  const practice = (name: string): string => changedDemo(name, 'visits.csv', (text) => text)

  it('template writes tables that can be filled in, and check reads them', async () => {
    expect((await holdfast('template', 'empty-tables')).stdout).toContain('template.xlsx')
    const checked = await holdfast('check', 'empty-tables/one-sheet.csv')
    expect(checked.code).toBe(1)
    expect(checked.stdout).toContain('the table has a header and no rows.')
  })

  it('map writes the open questions where there is no terminal, and ends with 1', async () => {
    const ended = await holdfast('map', practice('mapped'))
    expect(ended.code).toBe(1)
    expect(ended.stdout).toMatch(
      /questions are open\. Fill in the answers and run again with --answers: .*mapped/,
    )
  })

  it('recall lists who is overdue, as a table and as CSV', async () => {
    const shown = await holdfast('recall', practice('recalled'), '--date', '2026-01-31')
    expect(shown.stdout).toMatch(
      /^\d+ patients overdue for a check of the screw \(more than 365 days, or found loose when last seen: \d+\)/,
    )
    const csv = await holdfast('recall', 'recalled', '--date', '2026-01-31', '--csv')
    expect(csv.stdout.split('\n')).toHaveLength(shown.stdout.split('\n').length - 2)
  })

  it('deidentify labels the periods that are named, and refuses one without a day', async () => {
    const made = await holdfast(
      'deidentify',
      demo,
      '--out',
      'labelled',
      '--accept-small-groups',
      '1',
      '--key',
      join(scratch, 'labelled-key.json'),
      '--period',
      '2022-01-01=after change',
      '--period',
      '2024-01-01=second year of it',
    )
    expect(made).toMatchObject({ code: 0, stderr: '' })
    const labels = readFileSync(join(scratch, 'labelled', 'restorations.csv'), 'utf8')
      .trim()
      .split('\n')
      .slice(1)
      .map((line) => line.split(',').at(-1))
    expect(new Set(labels)).toEqual(new Set(['before the first period', 'after change', 'second year of it']))
    const refused = await holdfast('deidentify', demo, '--out', 'unlabelled', '--period', 'summer=hot')
    expect(refused.code).toBe(2)
    expect(refused.stderr).toContain('2023-07-01=after change')
    expect(existsSync(join(scratch, 'unlabelled'))).toBe(false)
  })

  it('deidentify makes a form that gives the same first loosenings', async () => {
    const made = await holdfast(
      'deidentify',
      practice('own-records'),
      '--out',
      'shareable',
      '--accept-small-groups',
      '1',
      '--date',
      '2026-01-31',
    )
    expect(made).toMatchObject({ code: 0, stderr: '' })
    expect(
      (await holdfast('audit', 'shareable', '--out', 'shared-report', '--date', '2026-01-31')).code,
    ).toBe(0)
    expect(overallOf('shared-report')).toEqual(overallOf('report'))
    const inside = await holdfast('deidentify', 'own-records', '--out', 'own-records')
    expect(inside.code).toBe(2)
  })

  it('merge joins two years and says what changed', async () => {
    const later = changedDemo('later', 'restorations.csv', (text) =>
      text.split('\n').slice(0, 1200).join('\n'),
    )
    const merged = await holdfast(
      'merge',
      practice('earlier'),
      later,
      '--out',
      'joined',
      '--set-aside',
      'no-such-restoration',
      '--date',
      '2026-01-31',
    )
    expect(merged.stdout).toMatch(
      /^Joined records in joined, with every difference in changes\.csv\.\n {2}restorations: \d+ gone and kept\n$/,
    )
  })

  it('check applies corrections from a file, and lists them', async () => {
    const folder = practice('corrected')
    const [head, first] = readFileSync(join(folder, 'restorations.csv'), 'utf8').split('\n')
    const column = head!.split(',').indexOf('sex')
    const old = first!.split(',')[column]!
    writeFileSync(
      join(scratch, 'corrections.csv'),
      `file,row,column,old,new,why\nrestorations.csv,2,sex,${old},other,asked again\n`,
    )
    const checked = await holdfast('check', folder, '--corrections', 'corrections.csv')
    expect(checked.code).toBe(0)
    expect(checked.stdout).toMatch(/correction/)
    expect((await holdfast('check', folder, '--csv')).stdout).toMatch(/^severity,code,file,column,row,/)
  })
})

describe('wrong calls end with exit code 2', () => {
  it.each([
    [['audit'], "missing required argument 'dataset'"],
    [['audit', 'no-such-folder'], 'no-such-folder'],
    [['audti', 'x'], "unknown command 'audti'"],
    [['audit', '.', '--nothing'], "unknown option '--nothing'"],
    [
      ['audit', demo, '--date', '31.1.2026'],
      '--date is not a calendar date. Expected: an ISO date such as 2026-01-31.',
    ],
    [['demo', 'x', '--seed', 'many'], 'Expected a whole number.'],
    [['verify', '--topic', 'nothing'], 'there is no topic nothing.'],
  ])('%j', async (words, message) => {
    const ended = await holdfast(...words)
    expect(ended.stderr).toContain(message)
    expect(ended.code).toBe(2)
  })
})

describe('help', () => {
  it.each(['audit', 'check', 'demo', 'verify', 'map', 'template', 'recall', 'deidentify', 'merge'])(
    'of %s has examples',
    async (name) => {
      const ended = await holdfast(name, '--help')
      expect(ended.code).toBe(0)
      expect(ended.stdout).toContain(`Examples:\n  holdfast ${name}`)
    },
  )
})
