import fc from 'fast-check'
import { describedCohort } from '../../../src/analysis/audit.js'
import { defaultSettings } from '../../../src/analysis/settings.js'
import { buildCohort } from '../../../src/cohort/cohort.js'
import { checkRecords } from '../../../src/records/read/readDataset.js'
import { type Practice, practice, today, written } from '../practice.js'

/** Columns of outcome, exposure and time of the three tables. */
const columns = [
  ['restorations', 'delivery_date'],
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

/** Ways in which one cell goes wrong: each gives the text that stands there instead. */
const corruptions: Readonly<Record<string, (text: string) => string>> = {
  'another type': (text) => (/^\d/.test(text) ? 'yes' : '12'),
  'another unit': (text) => `${text} Nm`,
  'day and month in another order': (text) => text.replace(/^(\d{4})-(\d{2})-(\d{2})$/, '$3/$2/$1'),
  'an unknown word': () => 'quux',
  'an impossible value': (text) =>
    /^\d{4}-/.test(text) ? '2019-13-45' : /^\d/.test(text) ? '99999' : 'never heard of',
  blank: () => '',
  'an error of a spreadsheet': () => '#REF!',
}

/** One cell that goes wrong. */
export interface Corruption {
  readonly table: keyof Practice
  readonly column: string
  readonly row: number
  readonly kind: string
}

/** Any cell of an outcome or exposure, corrupted in any way. */
export const anyCorruption: fc.Arbitrary<Corruption> = fc
  .tuple(fc.constantFrom(...columns), fc.nat(10_000), fc.constantFrom(...Object.keys(corruptions)))
  .map(([[table, column], row, kind]) => ({ table, column, row, kind }))

const size = 60

/** What leads the answer of an audit, from its first part alone: the rest of it costs minutes and adds nothing here. */
async function headlineOf(tables: Practice, setAside: readonly string[] = []) {
  const { problems, records, quality } = await checkRecords(written(tables), { today, setAside })
  if (records === undefined) return { problems, quality, headline: undefined }
  const { incidence, summary } = describedCohort(buildCohort(records), defaultSettings)
  const { proportion } = incidence.overall
  return {
    problems,
    quality,
    headline: JSON.stringify([proportion, incidence.overall.events, summary.attrition.included]),
  }
}

let cleanHeadline: Promise<string> | undefined

/** What becomes of a corrupted cell; "silent" where the headline moves and nothing says why. */
export async function fateOf({ table, column, row, kind }: Corruption): Promise<string> {
  cleanHeadline ??= headlineOf(practice(size)).then((one) => one.headline!)
  const clean = await cleanHeadline
  const tables = practice(size)
  const cells = tables[table][row % tables[table].length]!
  const before = cells[column] ?? ''
  cells[column] = corruptions[kind]!(before)
  if (cells[column] === before) return 'unchanged'
  const { problems, headline, quality } = await headlineOf(tables)
  if (headline === undefined) return 'stops'
  if (headline === clean) return 'the same'
  if (problems.some((one) => one.severity === 'set-aside')) return 'listed as set aside'
  const unknown =
    quality.completeness.find((one) => one.table === table && one.field === column)?.unknown ?? 0
  return kind === 'blank' && unknown > 0 ? 'counted as unknown' : 'silent'
}
