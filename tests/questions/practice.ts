import { buildCohort, type Cohort } from '../../src/cohort/cohort.js'
import { type MemoryRow, memoryRecords } from '../../src/records/memoryRecords.js'

/** One restoration of a practice made by a test. */
export interface TestRestoration {
  /** Tightened again after 12 minutes; after so many minutes; or, undefined, not known. */
  readonly repeated?: boolean | number | 'unknown'
  readonly patient?: number
  readonly clinic?: string
  readonly operator?: string
  /** Calendar day number of delivery; default 17,000 (2016). */
  readonly delivery?: number
  /** Checks that found the screw tight. */
  readonly checks?: readonly number[]
  /** Day on which the screw was found loose. */
  readonly loose?: number
  /** Day on which the restoration was gone for another cause. */
  readonly removed?: number
  /** Day of a tightening at a recall check. */
  readonly later?: number
  readonly fields?: MemoryRow
  /** Days of the checks, or of the finding, that nobody ticked. */
  readonly unticked?: readonly number[]
  /** Days of a telephone call in which the restoration was said to be in place. */
  readonly told?: readonly number[]
  /** Day on which the veneer was found chipped. */
  readonly chipped?: number
  /** Kind of the visits; default scheduled. */
  readonly visitType?: string
}

/** A cohort of the restorations given. */
export function practice(restorations: readonly TestRestoration[]): Cohort {
  const tables = { restorations: [], tightenings: [], visits: [] } as Record<
    'restorations' | 'tightenings' | 'visits',
    MemoryRow[]
  >
  restorations.forEach((one, i) => {
    const id = `R${i}`
    tables.restorations.push({
      restoration_id: id,
      patient_id: `P${one.patient ?? i}`,
      clinic_id: one.clinic ?? 'A',
      operator_id: one.operator ?? 'A1',
      delivery_date: one.delivery ?? 17_000,
      restoration_type: 'single_crown',
      connection: 'internal_hex',
      ...one.fields,
    })
    if (one.repeated !== 'unknown') {
      const at = (minutes: number, day: number, context: string): MemoryRow => ({
        restoration_id: id,
        minutes_since_first: minutes,
        days_since_delivery: day,
        context,
        action: minutes === 0 ? 'tighten' : 'tighten_again',
      })
      tables.tightenings.push(at(0, 0, 'delivery'))
      if (one.repeated === true) tables.tightenings.push(at(12, 0, 'delivery'))
      if (typeof one.repeated === 'number') tables.tightenings.push(at(one.repeated, 0, 'delivery'))
      if (one.later !== undefined) tables.tightenings.push(at(0, one.later, 'recall_check'))
    }
    const visit = (day: number, more: MemoryRow): MemoryRow => ({
      restoration_id: id,
      days_since_delivery: day,
      visit_type: one.visitType ?? 'scheduled',
      ...(one.unticked?.includes(day) === true ? {} : { screw_checked: 'yes' }),
      finding: 'none',
      restoration_status: 'in_place',
      ...more,
    })
    for (const day of one.checks ?? []) tables.visits.push(visit(day, {}))
    if (one.loose !== undefined) tables.visits.push(visit(one.loose, { finding: 'screw_loosening' }))
    if (one.chipped !== undefined) tables.visits.push(visit(one.chipped, { finding: 'veneer_chipping' }))
    for (const day of one.told ?? []) {
      tables.visits.push(visit(day, { visit_type: 'telephone', screw_checked: 'no' }))
    }
    if (one.removed !== undefined)
      tables.visits.push(visit(one.removed, { restoration_status: 'removed', screw_checked: 'no' }))
  })
  return buildCohort(memoryRecords(tables, 'made by a test'))
}

/** So many restorations like one. */
export function times(count: number, one: TestRestoration): readonly TestRestoration[] {
  return Array.from({ length: count }, () => one)
}
