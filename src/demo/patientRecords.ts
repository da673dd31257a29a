import { type DayNumber, isoFromDay } from '../core/calendar.js'
import { type Course, drawCourse, type VisitRow } from './course.js'
import { type Draws, drawnField, drawsOf, drawWeighted, drawWhole, happens } from './draws.js'
import { looseningMultiplier } from './hazards.js'
import {
  type DemoPatient,
  drawPatient,
  drawRecalls,
  type RoutineVisit,
  routineVisitsOf,
  scenarioDay,
} from './patient.js'
import type { DemoScenario, TrueProtocol } from './scenario.js'
import { type DemoSite, drawSites } from './site.js'
import { demoFields } from './tables.js'
import { type DemoProtocol, drawProtocol, type TighteningRow, tighteningBook } from './tightening.js'

/** A row as it is written to a file; undefined makes an empty field. */
export type TableRow = Readonly<Record<string, string | number | undefined>>

/** One restoration as the records hold it, and what only the generator knows. */
export interface RestorationRecords {
  readonly restoration: TableRow
  readonly tightenings: readonly TighteningRow[]
  readonly visits: readonly VisitRow[]
  readonly protocol: TrueProtocol
  /** Hazard of loosening but for the way of tightening; absent where the true risk is not asked for. */
  readonly atRisk?: { readonly multiplier: number; readonly ageYears: number }
  readonly foundLoose: boolean
  readonly ending: 'implant loss' | 'remade' | 'removed' | undefined
}

/** Draws everything about one patient, who is the same in a group of any size of one seed. */
export function drawPatientRecords(
  scenario: DemoScenario,
  seed: number,
  number: number,
): readonly RestorationRecords[] {
  const draws = drawsOf(seed, number)
  const patient = drawPatient(scenario, draws, `P${String(number).padStart(4, '0')}`)
  const recalls = drawRecalls(draws, patient)
  const sites = drawSites(draws, patient)
  const waiting = sites.map((site, order) => ({ site, delivery: patient.deliveries[order]! }))
  const setting: PatientSetting = { scenario, draws, patient, recalls }
  const records: RestorationRecords[] = []
  for (let order = 1; waiting.length > 0; order++) {
    const { site, delivery } = waiting.shift()!
    if (delivery >= patient.careEnd) continue
    const { entry, course } = drawRestoration(setting, site, delivery, order)
    if (entry !== undefined) records.push(entry)
    const again = remakeDelivery(setting, delivery, course, order)
    if (again !== undefined) waiting.push({ site, delivery: again })
  }
  return records
}

interface PatientSetting {
  readonly scenario: DemoScenario
  readonly draws: Draws
  readonly patient: DemoPatient
  readonly recalls: readonly RoutineVisit[]
}

function drawRestoration(
  setting: PatientSetting,
  site: DemoSite,
  delivery: DayNumber,
  order: number,
): { readonly entry: RestorationRecords | undefined; readonly course: Course } {
  const { scenario, draws, patient, recalls } = setting
  const id = `${patient.id}R${order}`
  const usual = happens(draws('usual operator', order), 0.8)
  const operator = usual
    ? patient.operator
    : drawWeighted(draws('operator_id', order), patient.clinic.operators)
  const protocol = drawProtocol(scenario, draws, patient, operator, site, delivery, order)
  const book = tighteningBook(draws, order, patient, site, id, delivery)
  const hasScrew = site.connection !== 'screwless'
  if (hasScrew && protocol.eventsWritten) book.deliver(protocol)
  const multiplier = looseningMultiplier(scenario, patient, operator, site, delivery)
  const course = drawCourse(draws, {
    scenario,
    patient,
    site,
    restorationId: id,
    order,
    delivery,
    multiplier: multiplier * scenario.hazardRatios.tightening[protocol.truth],
    routine: routineVisitsOf(draws, patient, recalls, delivery),
    book,
  })
  const from = recordedFrom(patient, delivery)
  if (!entersRecords(patient, course, delivery, from)) return { entry: undefined, course }
  const written = hasScrew ? protocol : undefined
  const row = restorationRow(setting, site, delivery, id, operator.id, written)
  const seen = course.visits.filter((one) => from === undefined || one.day > from)
  const ageYears = (delivery - patient.birthDay) / 365.25
  const entry: RestorationRecords = {
    restoration: completed(row, 'restorations', draws, order),
    tightenings: book.rows.map((one, place) => completed(one, 'tightenings', draws, order, place)),
    visits: seen.map((one) => completed(one.row, 'visits', draws, order, one.day)),
    protocol: protocol.truth,
    ...(hasScrew && site.type === 'single_crown' ? { atRisk: { multiplier, ageYears } } : {}),
    foundLoose: course.foundLooseDay !== undefined,
    ending: course.ending?.cause,
  }
  return { entry, course }
}

const fieldsOfSheet = {
  restorations: demoFields('restorations'),
  tightenings: demoFields('tightenings'),
  visits: demoFields('visits'),
} as const

/** A row with the columns that nothing but the vocabulary describes. */
function completed<Row extends object>(
  row: Row,
  sheet: keyof typeof fieldsOfSheet,
  draws: Draws,
  ...keys: readonly number[]
): Row {
  const others = fieldsOfSheet[sheet].filter((field) => !(field.name in row))
  if (others.length === 0) return row
  const drawn = others.map((field) => [
    field.name,
    drawnField(draws(`${sheet}.${field.name}`, ...keys), field),
  ])
  return { ...row, ...Object.fromEntries(drawn) }
}

/** Day after delivery from which findings were recorded, where that is later than delivery. */
function recordedFrom(patient: DemoPatient, delivery: DayNumber): number | undefined {
  const start = patient.clinic.observationStart
  if (start === undefined) return undefined
  const day = scenarioDay(start) - delivery
  return day > 0 ? day : undefined
}

/** A clinic that begins to record later takes up only what is still in care, in place, and not known to have loosened. */
function entersRecords(
  patient: DemoPatient,
  course: Course,
  delivery: DayNumber,
  from: number | undefined,
): boolean {
  if (from === undefined) return true
  const before = (day: number | undefined): boolean => day !== undefined && day <= from
  return patient.careEnd - delivery > from && !before(course.foundLooseDay) && !before(course.ending?.day)
}

function remakeDelivery(
  setting: PatientSetting,
  delivery: DayNumber,
  course: Course,
  order: number,
): DayNumber | undefined {
  if (course.ending?.cause !== 'remade') return undefined
  const again = delivery + course.ending.day + drawWhole(setting.draws('remake', order), 14, 60)
  return again <= scenarioDay(setting.scenario.lastDelivery) ? again : undefined
}

function restorationRow(
  setting: PatientSetting,
  site: DemoSite,
  delivery: DayNumber,
  id: string,
  operatorId: string,
  protocol: DemoProtocol | undefined,
): TableRow {
  const { patient } = setting
  const from = recordedFrom(patient, delivery)
  return {
    restoration_id: id,
    patient_id: patient.id,
    implant_id: site.implantId,
    clinic_id: patient.clinic.id,
    operator_id: operatorId,
    delivery_date: isoFromDay(delivery),
    observation_start_date: from === undefined ? undefined : isoFromDay(delivery + from),
    implant_placement_date: isoFromDay(site.placementDay),
    tooth_position: site.position,
    age_at_delivery_years: Math.floor((delivery - patient.birthDay) / 365.25),
    sex: patient.sex,
    restoration_type: site.type,
    retention_mode: site.retention,
    connection: site.connection,
    ...site.details,
    occlusal_scheme: patient.occlusalScheme,
    bruxism: patient.bruxismWritten,
    occlusal_guard: patient.occlusalGuard,
    tightening_group: protocol === undefined ? undefined : (protocol.statedGroup ?? 'unknown'),
    tightening_reason: protocol?.reason,
    component_system: site.system,
  }
}

/** The same restoration in the one-sheet form, read off the rows of the three tables. */
export function oneSheetRow(records: RestorationRecords): TableRow {
  const { restoration, tightenings, visits } = records
  const atDelivery = tightenings.filter((row) => row.context === 'delivery')
  const firstScrew = atDelivery.filter((row) => row.screw_position === atDelivery[0]?.screw_position)
  const loose = visits.filter((row) => row.finding === 'screw_loosening')
  const firstLoose = loose[0]?.visit_date
  // As whoever fills in the sheet would read the chart: a visit in person says nothing against a check unless it says no.
  const checks = visits.filter(isCheck).map((row) => row.visit_date)
  const removal = visits.find((row) => row.removal_reason !== undefined)
  return {
    ...restoration,
    tightenings_at_delivery: firstScrew.length === 0 ? undefined : firstScrew.length,
    wait_minutes: firstScrew[1]?.minutes_since_first,
    target_torque_ncm: firstScrew[0]?.target_torque_ncm,
    last_check_date: checks[checks.length - 1],
    last_check_before_loosening_date:
      firstLoose === undefined ? undefined : checks.filter((date) => date < firstLoose).pop(),
    first_loosening_date: firstLoose,
    loosening_count: loose.length,
    removed_date: removal?.visit_date,
    removal_reason: removal?.removal_reason,
    deceased_date: visits.find((row) => row.patient_status === 'deceased')?.visit_date,
  }
}

function isCheck(row: VisitRow): boolean {
  return (
    row.screw_checked === 'yes' || (row.screw_checked === undefined && row.visit_type.endsWith('scheduled'))
  )
}
