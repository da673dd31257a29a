import { type DayNumber, isoFromDay } from '../core/calendar.js'
import type { RandomStream } from '../core/random.js'
import { type Course, drawCourse } from './course.js'
import { drawWeighted, drawWhole, happens } from './draws.js'
import { looseningMultiplier } from './hazards.js'
import { type DemoPatient, drawPatient, scenarioDay } from './patient.js'
import { type DemoProtocol, drawProtocol } from './protocol.js'
import { drawRecalls, type EarlyControls, type RoutineVisit, routineVisitsOf } from './recall.js'
import type { DemoScenario, TrueProtocol } from './scenario.js'
import { type DemoSite, drawSites } from './site.js'
import { type TighteningRow, tighteningBook } from './tightenings.js'
import type { VisitRow } from './visitRow.js'

/** A row as it is written to a file; undefined makes an empty field. */
export type TableRow = Readonly<Record<string, string | number | undefined>>

/** One restoration as the records hold it, and what only the generator knows. */
export interface RestorationRecords {
  readonly restoration: TableRow
  readonly tightenings: readonly TighteningRow[]
  readonly visits: readonly VisitRow[]
  readonly protocol: TrueProtocol
  readonly foundLoose: boolean
  readonly ending: 'implant loss' | 'remade' | 'removed' | undefined
}

/** Draws everything about one patient; the same stream gives the same patient in a group of any size. */
export function drawPatientRecords(
  scenario: DemoScenario,
  random: RandomStream,
  number: number,
): readonly RestorationRecords[] {
  const patient = drawPatient(scenario, random, `P${String(number).padStart(4, '0')}`)
  const recalls = drawRecalls(random, patient)
  const sites = drawSites(random, patient)
  const waiting = sites.map((site, order) => ({ site, delivery: patient.deliveries[order]! }))
  const setting: PatientSetting = { scenario, random, patient, recalls, controls: new Map() }
  const records: RestorationRecords[] = []
  for (let order = 1; waiting.length > 0; order++) {
    const { site, delivery } = waiting.shift()!
    if (delivery >= patient.careEnd) continue
    const { entry, course } = drawRestoration(setting, site, delivery, `${patient.id}R${order}`)
    if (entry !== undefined) records.push(entry)
    const again = remakeDelivery(setting, delivery, course)
    if (again !== undefined) waiting.push({ site, delivery: again })
  }
  return records
}

interface PatientSetting {
  readonly scenario: DemoScenario
  readonly random: RandomStream
  readonly patient: DemoPatient
  readonly recalls: readonly RoutineVisit[]
  readonly controls: EarlyControls
}

function drawRestoration(
  setting: PatientSetting,
  site: DemoSite,
  delivery: DayNumber,
  id: string,
): { readonly entry: RestorationRecords | undefined; readonly course: Course } {
  const { scenario, random, patient, recalls, controls } = setting
  const { operators } = patient.clinic
  const operator = happens(random, 0.8) ? patient.operator : drawWeighted(random, operators)
  const protocol = drawProtocol(scenario, random, patient, operator, site, delivery)
  const book = tighteningBook(random, patient, site, id, delivery)
  const hasScrew = site.connection !== 'screwless'
  if (hasScrew && protocol.eventsWritten) book.deliver(protocol)
  const course = drawCourse(random, {
    scenario,
    patient,
    site,
    restorationId: id,
    delivery,
    multiplier: looseningMultiplier(scenario, patient, site, protocol.truth, delivery),
    routine: routineVisitsOf(random, patient, recalls, controls, delivery),
    book,
  })
  const from = recordedFrom(patient, delivery)
  if (!entersRecords(patient, course, delivery, from)) return { entry: undefined, course }
  const entry = {
    restoration: restorationRow(setting, site, delivery, id, operator.id, hasScrew ? protocol : undefined),
    tightenings: book.rows,
    visits: course.visits.filter((one) => from === undefined || one.day > from).map((one) => one.row),
    protocol: protocol.truth,
    foundLoose: course.foundLooseDay !== undefined,
    ending: course.ending?.cause,
  }
  return { entry, course }
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

function remakeDelivery(setting: PatientSetting, delivery: DayNumber, course: Course): DayNumber | undefined {
  if (course.ending?.cause !== 'remade') return undefined
  const again = delivery + course.ending.day + drawWhole(setting.random, 14, 60)
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
