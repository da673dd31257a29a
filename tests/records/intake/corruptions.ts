import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import fc from 'fast-check'
import { buildCohort } from '../../../src/cohort/cohort.js'
import { dayFromIso } from '../../../src/core/calendar.js'
import { answerOf } from '../../../src/questions/answer/answer.js'
import { describedCohort } from '../../../src/questions/audit.js'
import { defaultSettings } from '../../../src/questions/plan/settings.js'
import { checkRecords } from '../../../src/records/read/readDataset.js'
import { csvOf, practice, type Row, today } from '../practice.js'

/** Records whose cells are corrupted: tables by name, the columns of outcome, exposure and time, the day of the run. */
export interface Ground {
  readonly tables: Readonly<Record<string, readonly Row[]>>
  readonly columns: readonly (readonly [table: string, column: string])[]
  readonly today: number
}

const threeTables = [
  ['restorations', 'delivery_date'],
  ['restorations', 'restoration_type'],
  ['tightenings', 'sequence'],
  ['tightenings', 'minutes_since_first'],
  ['tightenings', 'days_since_delivery'],
  ['tightenings', 'context'],
  ['tightenings', 'action'],
  ['tightenings', 'target_torque_ncm'],
  ['visits', 'visit_date'],
  ['visits', 'visit_type'],
  ['visits', 'screw_checked'],
  ['visits', 'finding'],
] as const

/** What the demo data have besides. */
const threeTablesOfDemo = [
  ...threeTables,
  ['restorations', 'observation_start_date'],
  ['restorations', 'retention_mode'],
  ['restorations', 'connection'],
  ['tightenings', 'screw_position'],
  ['visits', 'onset_date'],
  ['visits', 'restoration_status'],
  ['visits', 'patient_status'],
] as const

const sheetColumns = [
  'delivery_date',
  'observation_start_date',
  'restoration_type',
  'tightenings_at_delivery',
  'wait_minutes',
  'target_torque_ncm',
  'last_check_date',
  'last_check_before_loosening_date',
  'first_loosening_date',
  'loosening_count',
  'removed_date',
  'removal_reason',
  'deceased_date',
] as const

/** A practice of sixty restorations. */
export function smallGround(): Ground {
  return { tables: { ...practice(60) }, columns: threeTables, today }
}

/** The demo data, as three tables or as one sheet. */
export function demoGround(form: 'three-tables' | 'one-sheet'): Ground {
  const names = form === 'one-sheet' ? ['one-sheet'] : ['restorations', 'tightenings', 'visits']
  return {
    tables: Object.fromEntries(names.map((name) => [name, demoRows(name)])),
    columns:
      form === 'one-sheet' ? sheetColumns.map((one) => ['one-sheet', one] as const) : threeTablesOfDemo,
    today: dayFromIso('2026-01-31')!,
  }
}

function demoRows(name: string): readonly Row[] {
  const text = readFileSync(join(import.meta.dirname, `../../../data-demo/${name}.csv`), 'utf8')
  // No value of the demo data holds a comma or a quotation mark.
  const [headers, ...lines] = text
    .trimEnd()
    .split('\n')
    .map((line) => line.split(','))
  return lines.map((cells) => Object.fromEntries(headers!.map((header, at) => [header, cells[at]!])))
}

/** Ways in which one cell goes wrong: each gives the text that stands there instead. */
const corruptions: Readonly<Record<string, (text: string) => string>> = {
  'another type': (text) => (/^\d/.test(text) ? 'yes' : '12'),
  'another unit': (text) => `${text} Nm`,
  'another unit, unsaid': (text) => (/^\d+$/.test(text) ? String(Number(text) / 100) : text),
  'day and month in another order': (text) => text.replace(/^(\d{4})-(\d{2})-(\d{2})$/, '$3/$2/$1'),
  'month first': (text) => text.replace(/^(\d{4})-(\d{2})-(\d{2})$/, '$2/$3/$1'),
  'an unknown word': () => 'quux',
  'an impossible value': (text) =>
    /^\d{4}-/.test(text) ? '2019-13-45' : /^\d/.test(text) ? '99999' : 'never heard of',
  'a day long before': (text) => text.replace(/^\d{4}-.*/, '1899-12-30'),
  'a day in the future': (text) => text.replace(/^\d{4}-.*/, '2099-01-01'),
  'a negative number': (text) => (/^\d+$/.test(text) ? `-${text}` : '-1'),
  blank: () => '',
  'said to be unknown': () => 'unknown',
  'an error of a spreadsheet': () => '#REF!',
}

const emptied: ReadonlySet<string> = new Set(['blank', 'said to be unknown'])

/** One cell that goes wrong. */
export interface Corruption {
  readonly table: string
  readonly column: string
  readonly row: number
  readonly kind: string
}

/** Columns with at most so many different values are columns of codes. */
const mostCodes = 12

/**
 * Any cell of an outcome or exposure, corrupted in any way. Of a column of codes each value is as likely as another, so that
 * the rare ones that decide most (a death, a removal) are hit as often as the usual ones; else cells that hold something
 * more often than empty ones.
 */
export function anyCorruption({ tables, columns }: Ground): fc.Arbitrary<Corruption> {
  const choices = columns.map(([table, column]) => {
    const byValue = new Map<string, number[]>()
    for (const [row, cells] of tables[table]!.entries()) {
      const value = cells[column] ?? ''
      const rows = byValue.get(value)
      if (rows === undefined) byValue.set(value, [row])
      else rows.push(row)
    }
    const all = [...tables[table]!.keys()]
    const filled = all.filter((row) => (tables[table]![row]![column] ?? '') !== '')
    const rows = byValue.size <= mostCodes ? [...byValue.values()] : [filled, filled, filled, all]
    return { table, column, rows }
  })
  return fc
    .tuple(
      fc.constantFrom(...choices),
      fc.nat(1_000_000),
      fc.nat(1_000_000),
      fc.constantFrom(...Object.keys(corruptions)),
    )
    .map(([{ table, column, rows }, which, number, kind]) => {
      const among = rows[which % rows.length]!
      return { table, column, row: among[number % among.length]!, kind }
    })
}

/** What leads the answer, and how many stand among the unknown of it. */
interface Told {
  readonly problems: ReadonlyMap<string, number>
  readonly headline?: string
  readonly groups?: string
  readonly unknown: ReadonlyMap<string, number>
}

/** From the first part of an audit alone: the rest of it costs minutes and adds nothing here. */
async function toldOf(ground: Ground): Promise<Told> {
  const folder = mkdtempSync(join(tmpdir(), 'holdfast-corrupted-'))
  try {
    const names = Object.keys(ground.tables)
    for (const name of names) writeFileSync(join(folder, `${name}.csv`), csvOf(ground.tables[name]!))
    const path = names.length === 1 ? join(folder, `${names[0]}.csv`) : folder
    const { problems: found, records } = await checkRecords(path, { today: ground.today })
    const problems = new Map(found.map(({ severity, code, count }) => [`${severity} ${code}`, count]))
    if (records === undefined) return { problems, unknown: new Map() }
    const described = describedCohort(buildCohort(records), defaultSettings)
    const { restorations, howOften, unknown = [] } = answerOf(described)
    const { overall, byGroup } = described.incidence
    return {
      problems,
      headline: JSON.stringify([overall.proportion, overall.events, howOften, restorations.analysed]),
      groups: JSON.stringify(byGroup.map(({ restorations: size, events }) => [size, events])),
      unknown: new Map([
        ['never checked', restorations.neverChecked],
        ['not eligible', restorations.inRecords - restorations.eligible],
        ...unknown.map((one) => [`${one.table} ${one.field}`, one.unknown] as const),
      ]),
    }
  } finally {
    rmSync(folder, { recursive: true, force: true })
  }
}

/** Contradictions between chart and tightenings: the groups go by the tightenings, and each one is listed. */
const listed = [
  'warn repeated-not-in-events',
  'warn single-not-in-events',
  'warn no-tightening-at-delivery',
] as const

/** Tells the fate of corrupted cells of some records; "silent" where an answer moves and nothing says why. */
export async function fatesOf(ground: Ground): Promise<(corruption: Corruption) => Promise<string>> {
  const clean = await toldOf(ground)
  if (clean.headline === undefined) throw new Error('the records stop before anything is corrupted')
  return async ({ table, column, row, kind }) => {
    const before = ground.tables[table]![row]![column] ?? ''
    const after = corruptions[kind]!(before)
    if (after === before) return 'unchanged'
    const rows = ground.tables[table]!.map((one, at) => (at === row ? { ...one, [column]: after } : one))
    const told = await toldOf({ ...ground, tables: { ...ground.tables, [table]: rows } })
    const more = (key: string): boolean => (told.problems.get(key) ?? 0) > (clean.problems.get(key) ?? 0)
    if (told.headline === undefined) return 'stops'
    if (told.headline === clean.headline && told.groups === clean.groups) return 'the same'
    if ([...told.problems.keys()].some((key) => key.startsWith('set-aside') && more(key)))
      return 'listed as set aside'
    const moreUnknown = [...told.unknown].some(([key, count]) => count > (clean.unknown.get(key) ?? 0))
    if (emptied.has(kind) && moreUnknown) return 'counted as unknown'
    return told.headline === clean.headline && listed.some(more) ? 'listed as contradicting' : 'silent'
  }
}
