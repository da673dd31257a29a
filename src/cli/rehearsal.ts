import { buildCohort } from '../cohort/cohort.js'
import { type RandomStream, randomStream } from '../core/random.js'
import type { ComparisonResult } from '../questions/comparison/answer.js'
import { comparisonQuestion } from '../questions/comparison/question.js'
import { defaultPlan, plannedDefinition } from '../questions/plan/planFile.js'
import { plannedSettings } from '../questions/plan/settings.js'
import type { RecordSet } from '../records/dataset.js'
import { type MemoryRow, memoryRecords } from '../records/memoryRecords.js'
import type { Field } from '../vocabulary/field.js'
import { sheetFields } from '../vocabulary/fields.js'

/** As many as the thread gets through while the records of a small practice are read (docs/speed.md). */
const restorations = 150
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
  const drawn = Array.from({ length: restorations }, (_one, at) => inventedRestoration(random, at))
  return memoryRecords(
    {
      restorations: drawn.map(({ row }) => row),
      tightenings: drawn.flatMap(({ tightenings }) => tightenings),
      visits: drawn.flatMap(({ visits }) => visits),
    },
    'Rehearsal',
  )
}

function inventedRestoration(
  random: RandomStream,
  at: number,
): {
  readonly row: MemoryRow
  readonly tightenings: readonly MemoryRow[]
  readonly visits: readonly MemoryRow[]
} {
  const restoration_id = `R${at}`
  const isRepeated = random.uniform() < 0.5
  const delivered = lastDay - 200 - random.index(1_800)
  const documented = random.uniform() < 0.3 ? 0 : isRepeated ? 2 : 1
  const seen = Math.min(mostVisits, Math.ceil((lastDay - delivered) / 365))
  return {
    row: {
      ...drawnFields(random),
      restoration_id,
      patient_id: `P${at >> 1}`,
      operator_id: `O${random.index(2)}`,
      restoration_type: 'single_crown',
      retention_mode: 'screw',
      tightening_group: isRepeated ? 'repeated' : 'single',
      delivery_date: delivered,
    },
    tightenings: Array.from({ length: documented }, (_one, order) => ({
      restoration_id,
      context: 'delivery',
      action: order === 0 ? 'tighten' : 'tighten_again',
      sequence: order + 1,
      minutes_since_first: 12 * order,
      target_torque_ncm: 35,
      days_since_delivery: 0,
    })),
    visits: Array.from({ length: seen }, (_one, order) => ({
      restoration_id,
      visit_type: 'scheduled',
      screw_checked: random.uniform() < 0.9 ? 'yes' : 'no',
      finding: random.uniform() < 0.06 ? 'screw_loosening' : 'none',
      restoration_status: 'in_place',
      patient_status: 'active',
      days_since_delivery: 365 * order + 90 + random.index(90),
    })),
  }
}

/** A value of every field of codes or numbers that the vocabulary has, some left empty. */
function drawnFields(random: RandomStream): MemoryRow {
  const values = (sheetFields.restorations as readonly Field[]).map(({ name, kind, codes, range }) => {
    if (random.uniform() < emptyShare) return [name, undefined] as const
    if (codes !== undefined) return [name, codes[random.index(codes.length)]!] as const
    const isNumber = range !== undefined && kind === 'number'
    return [name, isNumber ? range.min + (range.max - range.min) * random.uniform() : undefined] as const
  })
  return Object.fromEntries(values)
}
