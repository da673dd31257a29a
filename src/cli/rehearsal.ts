import { buildCohort } from '../cohort/cohort.js'
import { type RandomStream, randomStream } from '../core/random.js'
import type { ComparisonResult } from '../questions/comparison/answer.js'
import { comparisonQuestion } from '../questions/comparison/question.js'
import { defaultPlan, plannedDefinition } from '../questions/plan/planFile.js'
import { plannedSettings } from '../questions/plan/settings.js'
import { type CategoryColumn, missingDay, unknownCode } from '../records/columns.js'
import type { RecordSet } from '../records/dataset.js'
import { linkedTable, restorationTable, type TableColumns } from '../records/recordTable.js'
import type { Field } from '../vocabulary/field.js'
import { sheetFields } from '../vocabulary/fields.js'

/** As many as the thread gets through while the records of a small practice are read (docs/speed.md). */
const restorations = 140
const mostVisits = 4
const lastDay = 20_000
const emptyShare = 0.05

/**
 * Goes through a comparison of invented records, the same each time, whose answer is of no use: what runs for the first time runs
 * several times as slowly, and a thread that waits for its records has the time.
 */
export function rehearseComparison(): ComparisonResult | undefined {
  const cohort = buildCohort(inventedRecords(), plannedDefinition(defaultPlan))
  const settings = { ...plannedSettings(defaultPlan), detail: 'standard' } as const
  return comparisonQuestion.answer(cohort, settings)
}

/**
 * A practice of two restorations a patient, tightened once or twice at random, which not every chart proves, and seen once a year
 * to the end of its records.
 */
function inventedRecords(): RecordSet {
  const random = randomStream(1)
  const repeated = Array.from({ length: restorations }, () => random.uniform() < 0.5)
  const delivered = repeated.map(() => lastDay - 200 - random.index(1_800))
  const documented = repeated.map((twice) => (random.uniform() < 0.3 ? 0 : twice ? 2 : 1))
  const seen = delivered.map((day) => Math.min(mostVisits, Math.ceil((lastDay - day) / 365)))
  const none = { read: 0, setAside: 0 }
  return {
    state: 'local',
    source: {
      title: 'Rehearsal',
      form: 'three-tables',
      files: [],
      sha256: '',
      generated: true,
      cannotAnswer: [],
    },
    restorations: restorationTable(
      rowNumbers(restorations),
      restorationColumns(random, delivered, (row) => (repeated[row]! ? 'repeated' : 'single')),
    ),
    tightenings: linkedTable('tightenings', ...linkedRows(documented, tighteningColumns)),
    visits: linkedTable('visits', ...linkedRows(seen, (place) => visitColumns(random, place))),
    quality: {
      problems: [],
      rows: { restorations: none, tightenings: none, visits: none },
      completeness: [],
    },
  }
}

/** Every column of codes or numbers that the vocabulary has, drawn; those that make patients and groups, given. */
function restorationColumns(
  random: RandomStream,
  delivered: readonly number[],
  groupOf: (row: number) => 'single' | 'repeated',
): TableColumns {
  const rows = Array.from({ length: restorations }, (_one, row) => row)
  const drawn = (draw: (row: number) => string | undefined) => category(rows.map(draw))
  const isKept = (): boolean => random.uniform() >= emptyShare
  const categories = new Map<string, CategoryColumn>()
  const numbers = new Map<string, Float64Array>()
  for (const { name, kind, codes, range } of sheetFields.restorations as readonly Field[]) {
    if (codes !== undefined) {
      categories.set(
        name,
        drawn(() => (isKept() ? codes[random.index(codes.length)]! : undefined)),
      )
    } else if (range !== undefined && kind === 'number') {
      const { min, max } = range
      numbers.set(
        name,
        Float64Array.from(rows, () => (isKept() ? min + (max - min) * random.uniform() : Number.NaN)),
      )
    }
  }
  categories.set(
    'patient_id',
    drawn((row) => `P${row >> 1}`),
  )
  categories.set(
    'operator_id',
    drawn(() => `O${random.index(2)}`),
  )
  categories.set('restoration_type', category(rows.map(() => 'single_crown')))
  categories.set('retention_mode', category(rows.map(() => 'screw')))
  categories.set('tightening_group', drawn(groupOf))
  return { categories, numbers, days: new Map([['delivery_date', Int32Array.from(delivered)]]) }
}

function tighteningColumns(place: readonly Place[]): TableColumns {
  const numbers = new Map([
    ['sequence', Float64Array.from(place, ({ order }) => order + 1)],
    ['minutes_since_first', Float64Array.from(place, ({ order }) => 12 * order)],
    ['target_torque_ncm', Float64Array.from(place, () => 35)],
  ])
  const categories = new Map([
    ['context', category(place.map(() => 'delivery'))],
    ['action', category(place.map(({ order }) => (order === 0 ? 'tighten' : 'tighten_again')))],
  ])
  return { categories, numbers, days: new Map([['days_since_delivery', new Int32Array(place.length)]]) }
}

function visitColumns(random: RandomStream, place: readonly Place[]): TableColumns {
  const categories = new Map([
    ['visit_type', category(place.map(() => 'scheduled'))],
    ['screw_checked', category(place.map(() => (random.uniform() < 0.9 ? 'yes' : 'no')))],
    ['finding', category(place.map(() => (random.uniform() < 0.06 ? 'screw_loosening' : 'none')))],
    ['restoration_status', category(place.map(() => 'in_place'))],
    ['patient_status', category(place.map(() => 'active'))],
  ])
  const seen = Int32Array.from(place, ({ order }) => 365 * order + 90 + random.index(90))
  const days = new Map([
    ['days_since_delivery', seen],
    ['onset_day', new Int32Array(place.length).fill(missingDay)],
  ])
  return { categories, numbers: new Map(), days }
}

/** A row of a linked table: its restoration, and which of the rows of that it is. */
interface Place {
  readonly restoration: number
  readonly order: number
}

function linkedRows(
  perRestoration: readonly number[],
  columnsOf: (place: readonly Place[]) => TableColumns,
): [Int32Array, TableColumns, { readonly restoration: Int32Array; readonly firstRow: Int32Array }] {
  const firstRow = new Int32Array(perRestoration.length + 1)
  const place = perRestoration.flatMap((count, restoration): readonly Place[] => {
    firstRow[restoration + 1] = firstRow[restoration]! + count
    return Array.from({ length: count }, (_one, order) => ({ restoration, order }))
  })
  const restoration = Int32Array.from(place, (one) => one.restoration)
  return [rowNumbers(place.length), columnsOf(place), { restoration, firstRow }]
}

/** The header is row 1. */
function rowNumbers(rows: number): Int32Array {
  return Int32Array.from({ length: rows }, (_one, row) => row + 2)
}

function category(values: readonly (string | undefined)[]): CategoryColumn {
  const labels = [...new Set(values)].filter((one) => one !== undefined)
  const codes = new Map(labels.map((label, code) => [label, code]))
  return {
    labels,
    codes: Int32Array.from(values, (one) => (one === undefined ? unknownCode : codes.get(one)!)),
  }
}
