import { isoFromDay } from '../../core/calendar.js'
import { type RandomStream, randomStream } from '../../core/random.js'
import { drawFate, type Fate, lastDayOf, type Visit, visitsOf } from './course.js'
import { drawArm, drawCrowns } from './population.js'
import type { Arm, PracticeTraits } from './scenario.js'

const daysPerYear = 365.25
/** 2017-01-02, the first possible delivery. */
const firstDeliveryDay = 17_168

/** One row of a table: text by column, an empty text where nothing was written. */
export type Row = Readonly<Record<string, string>>

/** The three tables of a practice. */
export interface PracticeTables {
  readonly restorations: readonly Row[]
  readonly tightenings: readonly Row[]
  readonly visits: readonly Row[]
}

/** What is true of one crown of a practice, whatever the records say. */
export interface CrownTruth {
  readonly fate: Fate
  readonly charted: Arm
  /** Tightened again at a later visit and charted as repeated. */
  readonly chartedAfterwards: boolean
  /** Day of the first finding of loosening since delivery, as the records have it; undefined where none. */
  readonly foundOn: number | undefined
  readonly looks: number
}

/** A practice: its records, and the truth behind them. */
export interface Practice {
  readonly tables: PracticeTables
  readonly truth: readonly CrownTruth[]
}

/** Random streams by purpose, so that what is recorded changes nothing of what happens. */
const streams = { population: 1, arm: 2, fate: 3, visits: 4, later: 5, recording: 6 } as const

/**
 * Draws a practice. The same traits and seed give the same practice; every purpose has a stream of its own.
 *
 * @param traits what is true
 * @param seed whole number
 */
export function drawPractice(traits: PracticeTraits, seed: number): Practice {
  const stream = (purpose: keyof typeof streams): RandomStream => randomStream(seed, streams[purpose])
  const armStream = stream('arm')
  const fateStream = stream('fate')
  const fates = drawCrowns(traits, stream('population')).map((crown) => {
    const arm = drawArm(crown, armStream)
    return drawFate(traits, crown, arm, fateStream)
  })
  const lastDays = lastDaysByPatient(fates)
  const visitStream = stream('visits')
  const laterStream = stream('later')
  const cutOffDay = Math.floor(traits.cutOffYears * daysPerYear)
  const beginsDay = Math.floor((traits.recording.beginsYears ?? 0) * daysPerYear)
  const writer = new RecordWriter(traits, stream('recording'), beginsDay)
  for (const fate of fates) {
    const visits = visitsOf(traits, fate, lastDays.get(fate.crown.patient.index)!, cutOffDay, visitStream)
    const takenUp = laterStream.uniform() < traits.later.chance
    const lastDay = lastDays.get(fate.crown.patient.index)!
    writer.write(fate, visits, laterDay(fate, visits, takenUp), lastDay)
  }
  return { tables: writer.tables, truth: writer.truth }
}

function lastDaysByPatient(fates: readonly Fate[]): ReadonlyMap<number, number> {
  const byPatient = new Map<number, Fate[]>()
  for (const fate of fates) {
    const index = fate.crown.patient.index
    byPatient.set(index, [...(byPatient.get(index) ?? []), fate])
  }
  return new Map([...byPatient].map(([index, own]) => [index, lastDayOf(own)]))
}

/** Day of a later tightening: the first look, if the crown is of the single group and the look was clean. */
function laterDay(fate: Fate, visits: readonly Visit[], takenUp: boolean): number | undefined {
  if (!takenUp || fate.arm !== 'single') return undefined
  const first = visits.find((visit) => visit.tested)
  return first === undefined || first.loose || first.ending !== undefined ? undefined : first.day
}

/** Writes crowns into the three tables, with the gaps that the practice leaves. */
class RecordWriter {
  readonly truth: CrownTruth[] = []
  private readonly restorations: Row[] = []
  private readonly tightenings: Row[] = []
  private readonly visits: Row[] = []

  constructor(
    private readonly traits: PracticeTraits,
    private readonly random: RandomStream,
    private readonly beginsDay: number,
  ) {}

  get tables(): PracticeTables {
    return { restorations: this.restorations, tightenings: this.tightenings, visits: this.visits }
  }

  write(fate: Fate, visits: readonly Visit[], laterDay: number | undefined, lastDay: number): void {
    const begins = this.beginsDay - fate.crown.deliveryDay
    if (begins > 0 && !stillInCare(fate, visits, begins, lastDay)) return
    if (begins > 0 && (this.traits.recording.beginsWithLook ?? true) && fate.loosensAt < begins) return
    const recorded = visits.filter((visit) => visit.day >= begins)
    const chartedAfterwards = laterDay !== undefined
    const charted: Arm = chartedAfterwards ? 'repeated' : fate.arm
    const looseVisit = recorded.find((visit) => visit.loose)
    this.writeRestoration(fate, charted, Math.max(0, begins), looseVisit !== undefined)
    this.writeTightenings(fate, this.traits.later.rowWritten ? laterDay : undefined)
    for (const visit of recorded) this.writeVisit(fate, visit)
    this.truth.push({
      fate,
      charted,
      chartedAfterwards,
      foundOn: looseVisit?.day,
      looks: recorded.filter((visit) => visit.tested).length,
    })
  }

  private writeRestoration(fate: Fate, charted: Arm, begins: number, found: boolean): void {
    const { crown } = fate
    const { patient } = crown
    const day = firstDeliveryDay + crown.deliveryDay
    const missing = this.traits.recording.bruxismMissing
    const blankChance = missing === undefined ? 0 : missing[found ? 'found' : 'notFound'][charted]
    const placed = 90 + this.random.index(200)
    const bruxismBlank = this.random.uniform() < blankChance
    const operator = this.traits.operators[patient.operator]!
    const protocolByPeriod = this.traits.preference.shift?.widthYears === 0
    this.restorations.push({
      restoration_id: restorationId(fate),
      patient_id: `P${patient.index + 1}`,
      implant_id: `I${crown.index + 1}`,
      clinic_id: `clinic_${operator.clinic + 1}`,
      operator_id: `operator_${patient.operator + 1}`,
      delivery_date: isoFromDay(day),
      observation_start_date: begins > 0 ? isoFromDay(day + begins) : '',
      implant_placement_date: isoFromDay(day - placed),
      tooth_position: String(crown.toothPosition),
      age_at_delivery_years: String(patient.ageYears),
      sex: patient.sex,
      restoration_type: 'single_crown',
      retention_mode: 'screw',
      connection: crown.connection,
      implant_diameter_mm: String(crown.diameterMm),
      opposing: crown.opposing,
      bruxism: bruxismBlank ? '' : patient.bruxism,
      tightening_group: charted,
      tightening_reason: protocolByPeriod ? 'period_policy' : 'operator_choice',
      component_system: `system_${crown.system}`,
    })
  }

  private writeTightenings(fate: Fate, laterDay: number | undefined): void {
    const { rowsShare, minutesShare } = this.traits.recording
    const hasRows = this.random.uniform() < rowsShare
    const hasMinutes = this.random.uniform() < minutesShare
    const minutes = 10 + this.random.index(6)
    const torque = this.random.uniform() < 0.5 ? '30' : '35'
    const rows: Row[] = []
    const add = (row: Row): void => {
      rows.push({
        restoration_id: restorationId(fate),
        sequence: String(rows.length + 1),
        target_torque_ncm: torque,
        ...row,
      })
    }
    if (hasRows) {
      add({ minutes_since_first: '0', days_since_delivery: '0', context: 'delivery', action: 'tighten' })
      if (fate.arm === 'repeated') {
        const written = hasMinutes ? String(minutes) : ''
        add({
          minutes_since_first: written,
          days_since_delivery: '0',
          context: 'delivery',
          action: 'tighten_again',
        })
      }
    }
    if (laterDay !== undefined) {
      const day = String(laterDay)
      add({
        minutes_since_first: '0',
        days_since_delivery: day,
        context: 'recall_check',
        action: 'tighten_again',
      })
    }
    this.tightenings.push(...rows)
  }

  private writeVisit(fate: Fate, visit: Visit): void {
    const { blankTicks, blankNo = true, findingsMarkedNo } = this.traits.recording
    const drawnBlank = this.random.uniform() < blankTicks
    const markedNo = this.random.uniform() < findingsMarkedNo
    const said = !visit.tested || (visit.loose && markedNo) ? 'no' : 'yes'
    const tick = drawnBlank && (said === 'yes' || blankNo) ? '' : said
    const ending = endings[visit.ending ?? 'none']
    const row = (finding: string, action: string): Row => ({
      restoration_id: restorationId(fate),
      visit_date: isoFromDay(firstDeliveryDay + fate.crown.deliveryDay + visit.day),
      visit_type: this.visitType(visit),
      screw_checked: visit.kind === 'telephone' || visit.kind === 'records-only' ? 'no' : tick,
      finding,
      action_taken: ending.action || action,
      restoration_status: ending.status,
      removal_reason: ending.reason,
      patient_status: visit.ending === 'died' ? 'deceased' : 'active',
    })
    const rows: Row[] = []
    if (visit.loose) rows.push(row('screw_loosening', 'tightened'))
    if (visit.chipped) rows.push(row('veneer_chipping', 'repaired'))
    if (visit.ending === 'implant-lost') rows.push(row('implant_loss', 'implant_removed'))
    this.visits.push(...(rows.length > 0 ? rows : [row('none', '')]))
  }

  private visitType(visit: Visit): string {
    if (visit.kind === 'recall') return this.traits.recall.codedAs
    return { 'own-accord': 'unscheduled', telephone: 'telephone', 'records-only': 'records_only' }[visit.kind]
  }
}

const endings = {
  none: { status: 'in_place', reason: '', action: '' },
  removed: { status: 'removed', reason: 'elective', action: 'remade' },
  'implant-lost': { status: 'lost', reason: 'implant_loss', action: 'implant_removed' },
  died: { status: 'in_place', reason: '', action: '' },
} as const

/** Whether a crown delivered before the records begin is taken up: in place, still seen, and not found loose. */
function stillInCare(fate: Fate, visits: readonly Visit[], begins: number, lastDay: number): boolean {
  const foundBefore = visits.some((visit) => visit.loose && visit.day < begins)
  return !foundBefore && fate.endsOn >= begins && lastDay - fate.crown.deliveryDay >= begins
}

function restorationId(fate: Fate): string {
  return `R${fate.crown.index + 1}`
}
