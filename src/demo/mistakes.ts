import { dayFromIso, isoFromDay } from '../core/calendar.js'
import type { RandomStream } from '../core/random.js'
import type { SheetName } from '../vocabulary/fields.js'
import { drawsOf } from './draws.js'
import type { TableRow } from './patientRecords.js'

/** Rows of one patient, or of a whole group, by sheet. */
export type SheetRows = Record<SheetName, TableRow[]>

/** Mistakes of the kind that practices make. */
export const mistakeKinds = [
  'restoration row entered twice',
  'visit before delivery',
  'negative day',
  'two different rows for one restoration',
] as const

/** One kind of mistake. */
export type MistakeKind = (typeof mistakeKinds)[number]

/** A row that is wrong or goes with one that is; rows count from 1 and include the header row. */
export interface ExpectedMistake {
  readonly kind: MistakeKind
  readonly sheet: SheetName
  readonly row: number
  /** Set aside, or, for an identical row, counted once. */
  readonly outcome: 'set aside' | 'counted once'
}

/** A mistake by its place among the rows of the patient in whom it was made. */
interface PlacedMistake extends Omit<ExpectedMistake, 'row'> {
  readonly index: number
}

/** Makes mistakes in the rows of patients as they come by, each kind in turn. */
export interface MistakeMaker {
  /** Changes the rows of one patient in place where a mistake is due and can be made there; says what was done. */
  pass(rows: SheetRows, patient: number): readonly PlacedMistake[]
}

/** Opens a maker of mistakes at a rate per patient. */
export function mistakeMaker(seed: number, perPatient: number): MistakeMaker {
  let due = 0
  let made = 0
  return {
    pass: (rows, patient) => {
      const random = drawsOf(seed, patient)('mistake')
      if (random.uniform() < perPatient) due++
      if (due === 0) return []
      const kind = mistakeKinds[made % mistakeKinds.length]!
      const placed = makers[kind](rows, random)
      if (placed.length === 0) return []
      due--
      made++
      return placed.map((one) => ({ ...one, kind }))
    },
  }
}

type Maker = (rows: SheetRows, random: RandomStream) => readonly Omit<PlacedMistake, 'kind'>[]

const makers: Readonly<Record<MistakeKind, Maker>> = {
  'restoration row entered twice': (rows, random) => {
    if (rows.restorations.length === 0) return []
    const index = random.index(rows.restorations.length)
    return (['restorations', 'one_sheet'] as const).map((sheet) => {
      rows[sheet].splice(index + 1, 0, { ...rows[sheet][index]! })
      return { sheet, index: index + 1, outcome: 'counted once' as const }
    })
  },
  'visit before delivery': (rows, random) => {
    // A recall, since other visits come and go with what is found at them.
    const recalls = rows.visits.flatMap((row, index) =>
      isFirstOfRecall(rows.visits, index) ? [{ row, index }] : [],
    )
    if (recalls.length === 0) return []
    const { row: visit, index } = recalls[random.index(recalls.length)]!
    if (saysThatSomethingHappened(visit)) return []
    const restoration = rows.restorations.find((row) => row.restoration_id === visit.restoration_id)!
    const delivery = dayFromIso(String(restoration.delivery_date))!
    const wrong = yearsEarlier(String(visit.visit_date), delivery)
    rows.visits[index] = { ...visit, visit_date: wrong, onset_date: undefined }
    return [{ sheet: 'visits', index, outcome: 'set aside' }]
  },
  'negative day': (rows) => {
    const index = rows.tightenings.findIndex((row) => Number(row.days_since_delivery) > 0)
    if (index < 0) return []
    const row = rows.tightenings[index]!
    rows.tightenings[index] = { ...row, days_since_delivery: -Number(row.days_since_delivery) }
    return [{ sheet: 'tightenings', index, outcome: 'set aside' }]
  },
  'two different rows for one restoration': (rows, random) => {
    if (rows.restorations.length === 0) return []
    const index = random.index(rows.restorations.length)
    const id = rows.restorations[index]!.restoration_id
    for (const sheet of ['restorations', 'one_sheet'] as const) {
      const row = rows[sheet][index]!
      rows[sheet].splice(index + 1, 0, {
        ...row,
        occlusal_guard: row.occlusal_guard === 'yes' ? 'no' : 'yes',
      })
    }
    return (['restorations', 'tightenings', 'visits', 'one_sheet'] as const).flatMap((sheet) =>
      rows[sheet].flatMap((row, at) =>
        row.restoration_id === id ? [{ sheet, index: at, outcome: 'set aside' as const }] : [],
      ),
    )
  },
}

/** Whether a row is the first of a visit of the recall list. */
function isFirstOfRecall(visits: readonly TableRow[], index: number): boolean {
  const { restoration_id: id, visit_date: date, visit_type: type } = visits[index]!
  const before = visits[index - 1]
  return type === 'scheduled' && !(before?.restoration_id === id && before?.visit_date === date)
}

/** Whether a visit holds an event: before delivery that is no slip to set aside but stops the reading. */
function saysThatSomethingHappened(visit: TableRow): boolean {
  return (
    visit.finding !== 'none' ||
    !String(visit.restoration_status).startsWith('in_place') ||
    visit.patient_status === 'deceased'
  )
}

/** The date with an earlier year, the slip of the first weeks of January, so that it falls before delivery. */
function yearsEarlier(date: string, delivery: number): string {
  let day = dayFromIso(date)!
  while (day >= delivery) day -= 365
  return isoFromDay(day)
}
