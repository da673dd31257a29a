import {
  codesOfRows,
  keptOf,
  listOfRows,
  numbersOfRows,
  rowsWhere,
  takenCodes,
  takenIntegers,
  takenRows,
} from '../core/columns.js'
import { CohortError } from '../core/errors.js'
import { isNameOf, unknownName } from '../core/names.js'
import { deepFreeze } from '../core/plain.js'
import { type CategoryColumn, codeOf, missingDay } from '../records/columns.js'
import type { RecordSet } from '../records/dataset.js'
import { endpointOf } from '../vocabulary/endpoints.js'
import {
  allKinds,
  type CategoryFieldName,
  labelKinds,
  type NumberFieldName,
  namedField,
  numberKinds,
  type RestorationField,
  restorationTypes,
} from '../vocabulary/fields.js'
import type { Attrition, CohortSummary, LooksAccount } from './attrition.js'
import { type CohortDefinition, defaultDefinition, type ExposureGroup, exposureGroups } from './definition.js'
import { competingCauses, findingPlaces, followHistories, type RestorationHistory } from './endpoint.js'
import { type DeliveryDayExposure, deliveryDayExposure } from './exposure.js'
import { type RepeatedFindings, repeatedFindings } from './repeatedFindings.js'
import { type SeenDays, seenDays, type UnknownOutcomes } from './seenDays.js'
import {
  eligibleRows,
  endsOfRisk,
  mendOfEmpty,
  restorationStatus,
  type Selection,
  selectRestorations,
} from './selection.js'
import {
  type Chosen,
  chosenRows,
  chosenWhere,
  countedLook,
  everything,
  type RowsWithColumns,
  type Subgroup,
  withColumnsOf,
} from './subgroup.js'
import { type RecordedHistory, recordedHistories } from './timelines.js'
import { type TimeOrigin, timeOrigins } from './timeOrigin.js'
import { type TorqueRecords, torqueRecords } from './torqueRecords.js'
import {
  type AskedName,
  type Conditions,
  isRecorded,
  levelsOf,
  type TraitSource,
  type TraitValues,
  traitValues,
} from './traits.js'

import { type VisitCounts, visitCounts } from './visitCounts.js'

/**
 * The cohort: one entry per restoration with time at risk, as typed arrays that the estimators take as they are.
 * Times are whole days since delivery.
 */
export interface Cohort<Own extends string = never> {
  readonly definition: CohortDefinition
  readonly summary: CohortSummary
  readonly n: number
  /** Last day at risk. */
  readonly timeDays: Float64Array
  /** First day at risk; above 0 only where recording began after delivery. */
  readonly entryDays: Float64Array
  /** 0 censored, 1 endpoint, 2 competing event. */
  readonly status: Uint8Array
  /** Position in `competingCauses` where status is 2. */
  readonly competingCause: Uint8Array
  /** Last day on which the endpoint was known not to have happened; with `timeDays` the interval of an event. */
  readonly lastClearDays: Float64Array
  /** First look after delivery, or the finding if that came earlier; NaN where there was neither. */
  readonly firstLookDays: Float64Array
  /** 1 where the endpoint was found without a clean look before. */
  readonly earlyEvent: Uint8Array
  /** Position in `findingPlaces` of the first finding, whether it counted or not. */
  readonly findingPlace: Uint8Array
  /** Day on which an event was first noticed, NaN where not recorded. */
  readonly onsetDays: Float64Array
  /** Last contact of any kind. */
  readonly lastContactDays: Float64Array
  readonly patient: Int32Array
  readonly clinic: CategoryColumn
  readonly operator: CategoryColumn
  /** Position in `exposureGroups`. */
  readonly exposure: Uint8Array
  /** Minutes from the first to the second tightening at delivery, NaN where there was none. */
  readonly waitMinutes: Float64Array
  readonly deliveryYear: Int32Array
  /** Calendar day number of delivery; `missingDay` where only the year is known. */
  readonly deliveryDay: Int32Array
  /** Position of each restoration in the restorations table. */
  readonly recordRow: Int32Array
  /** Whether these records have a field of the restorations table; where not, all of it is unknown. */
  has(field: RestorationField): boolean
  /**
   * A field of labels of the restorations table, by the rows of the cohort.
   *
   * @throws UsageError `unknown-name` where there is no such field; it names the nearest
   */
  category(field: CategoryFieldName): CategoryColumn
  /**
   * A field of numbers of the restorations table, by the rows of the cohort; NaN where missing.
   *
   * @throws UsageError `unknown-name` where there is no such field; it names the nearest
   */
  number(field: NumberFieldName): Float64Array
  /** 1 where the exposure group was taken from the chart, for want of tightening events. */
  exposureFromReport(): Uint8Array
  /** Position in `chartedWays` of what the chart says of the tightening at delivery. */
  charted(): Uint8Array
  /** 1 where a second tightening of the day of delivery is recorded, with minutes or without. */
  secondRecorded(): Uint8Array
  /** Day of the first tightening after the day of delivery; NaN where there was none. */
  laterTighteningDays(): Float64Array
  /** Days on which each restoration was seen in person, to the end of the records. */
  seenDays(): SeenDays
  /** Eligible restorations that were left out because nothing is known of their outcome. */
  unknownOutcomes(): UnknownOutcomes
  /** How often each restoration was looked at while at risk. */
  visitCounts(): VisitCounts
  /** What was recorded of each restoration, visit by visit; for small series. */
  recordedHistories(): readonly RecordedHistory[]
  /** Every time that the endpoint was found in each restoration of the cohort, the first and all later ones. */
  repeatedFindings(): readonly RepeatedFindings[]
  /** Every application of torque to restorations of the types asked for, and every torque of removal. */
  torqueRecords(): TorqueRecords
  /** What became of each exposure group between the records and the cohort. */
  attritionByGroup(): readonly GroupAttrition[]
  /**
   * The cohort of the same records by another definition.
   *
   * @throws CohortError `empty-cohort` where no restoration has time at risk for it
   */
  redefined(changes: Partial<CohortDefinition>): Cohort<Own>
  /** What part of the records this is; undefined for all of them. */
  readonly subgroup: Subgroup | undefined
  /**
   * The restorations that satisfy all conditions, such as `{ region: 'molar', connection: ['conical', 'internal_hex'] }` or
   * `{ achieved_torque_ncm: { below: 30 } }`; what is unknown satisfies none. The account of those left out says how many.
   *
   * @throws UsageError `unknown-name` for a field or value that there is not, with the nearest; `field-not-recorded`,
   *   `value-not-recorded`, `not-a-limit`; CohortError `empty-cohort` where nobody is left
   */
  where(conditions: Conditions<Own>): Cohort<Own>
  /**
   * The restorations whose rows stand in a frame that was made of this cohort and filtered.
   *
   * @throws UsageError `frame-of-other-records`; CohortError `empty-cohort` where nobody is left
   */
  only(frame: RowsWithColumns): Cohort<Own>
  /**
   * The same cohort, which can also be asked by columns of a frame.
   *
   * @throws UsageError `no-such-column`, `name-taken`, `frame-of-other-records`
   */
  withColumns<Name extends string>(frame: RowsWithColumns, ...names: readonly Name[]): Cohort<Own | Name>
  /** Names of the columns that were added. */
  readonly ownColumns: readonly string[]
  /**
   * What is recorded under a name, by the rows of the cohort: labels or numbers, undefined where unknown.
   *
   * @throws UsageError `unknown-name`, `field-not-recorded`
   */
  trait(name: AskedName | Own): TraitValues
  /**
   * Values that occur under a name, the most frequent first, those alike in number by the alphabet; none where these
   * records lack the field.
   *
   * @throws UsageError `unknown-name` where there is no such field or column; it names the nearest
   */
  levels(name: AskedName | Own): readonly string[]
  /** Counts a look at these records by a name, and answers how many different ones there were so far. */
  looksTaken(by: string): number
}

/**
 * Makes the cohort from validated records: who enters, from when, until when, with what, and who was left out why.
 *
 * @param records local or shareable records
 * @param definition endpoint, types of restoration, recall interval and window; default `defaultDefinition`
 * @throws CohortError `empty-cohort` where no restoration has time at risk
 * @throws UsageError `unknown-name` where the definition names an endpoint or a type of restoration that there is not
 * @example buildCohort(records, { ...defaultDefinition, endpoint: 'screw_fracture' }).n // => 960
 */
export function buildCohort(
  records: RecordSet,
  definition: Partial<CohortDefinition> = defaultDefinition,
): Cohort {
  return cohortOf(records, { ...defaultDefinition, ...definition }, everything)
}

/** What is read of the records whatever the endpoint is and whichever visits are looks. */
interface ReadBefore {
  readonly origins: TimeOrigin
  readonly exposure: DeliveryDayExposure
}

function cohortOf(
  records: RecordSet,
  definition: CohortDefinition,
  chosen: Chosen,
  before?: ReadBefore,
): Cohort {
  requireKnownNames(definition)
  const origins = before?.origins ?? timeOrigins(records)
  const history = followHistories(records, definition)
  const exposure = before?.exposure ?? deliveryDayExposure(records, definition)
  const selection = selectRestorations(records, definition, origins, history, chosen.mask)
  if (selection.rows.length === 0) throw emptyCohort(selection.attrition)
  return assembled(records, definition, origins, history, exposure, selection, chosen)
}

function requireKnownNames({ endpoint, restorationTypes: types }: CohortDefinition): void {
  endpointOf(endpoint)
  for (const type of types) {
    if (!isNameOf(restorationTypes, type)) throw unknownName('type of restoration', type, restorationTypes)
  }
}

function emptyCohort(attrition: Attrition): CohortError {
  const reasons = attrition.steps.filter((step) => step.leftOut > 0)
  return new CohortError({
    code: 'empty-cohort',
    problem: `no restoration has time at risk; left out: ${reasons.map((step) => `${step.leftOut} ${step.code}`).join('; ') || 'none, the table is empty'}.`,
    expected: 'at least one single crown on a screw joint whose screw was checked after delivery.',
    mend: mendOfEmpty(attrition),
  })
}

function assembled(
  records: RecordSet,
  definition: CohortDefinition,
  origins: TimeOrigin,
  history: RestorationHistory,
  exposure: DeliveryDayExposure,
  selection: Selection,
  chosen: Chosen,
): Cohort {
  const { rows } = selection
  const ends = endsOfRisk(history, rows, definition.recallIntervalDays)
  const { restorations } = records
  const taken = (column: ArrayLike<number>): Float64Array => takenRows(column, rows)
  const category = (field: CategoryFieldName): CategoryColumn =>
    picked(restorations.category(namedField('restorations', field, labelKinds).name), rows)
  // Read once for all questions that ask for it.
  let torque: TorqueRecords | undefined
  const patientColumn = restorations.category('patient_id').codes
  const patients = recoded(takenIntegers(patientColumn, eligibleRows(selection)))
  const exposureCodes = takenCodes(exposure.groupCode, rows)
  const cohort = {
    definition,
    n: rows.length,
    timeDays: ends.day,
    entryDays: taken(origins.entryDay),
    status: ends.status,
    competingCause: takenCodes(history.competingCause, rows),
    lastClearDays: taken(history.lastClearDay),
    firstLookDays: knownDays(history.firstLookDay, rows),
    earlyEvent: codesOfRows(rows.length, (i) =>
      ends.status[i] === restorationStatus.endpoint && history.lastClearDay[rows[i]!] === 0 ? 1 : 0,
    ),
    findingPlace: takenCodes(history.findingPlace, rows),
    onsetDays: knownDays(history.onsetDay, rows),
    lastContactDays: taken(history.lastContactDay),
    patient: patients.subarray(0, rows.length),
    clinic: category('clinic_id'),
    operator: category('operator_id'),
    exposure: exposureCodes,
    waitMinutes: taken(exposure.waitMinutes),
    deliveryYear: takenIntegers(origins.deliveryYear, rows),
    deliveryDay: takenIntegers(origins.deliveryDay, rows),
    recordRow: rows,
    category,
    has: (field: RestorationField) => restorations.has(namedField('restorations', field, allKinds).name),
    number: (field: NumberFieldName) =>
      taken(restorations.number(namedField('restorations', field, numberKinds).name)),
    exposureFromReport: () => takenCodes(exposure.fromReportOnly, rows),
    charted: () => takenCodes(exposure.charted, rows),
    secondRecorded: () => takenCodes(exposure.secondRecorded, rows),
    laterTighteningDays: () => {
      const later = firstLaterTightening(records)
      return knownDays(later, rows)
    },
    seenDays: () => seenDays(records, definition, rows),
    unknownOutcomes: () => unknownOutcomes(records, origins, history, exposure, selection, patients),
    visitCounts: () => visitCounts(records, definition, rows, cohort.entryDays, cohort.timeDays),
    recordedHistories: () => recordedHistories(records, definition, rows),
    repeatedFindings: () => repeatedFindings(records, definition, history, rows, cohort.entryDays),
    torqueRecords: () => {
      torque ??= torqueRecords(records, definition, exposure, chosen.mask)
      return torque
    },
    attritionByGroup: () => attritionByGroup(exposure, selection),
    redefined: (changes: Partial<CohortDefinition>) => {
      const read = changes.waitWindowMinutes === undefined ? { origins, exposure } : undefined
      return cohortOf(records, { ...definition, ...changes }, chosen, read)
    },
    ...asking(records, definition, chosen, rows, {
      records,
      origins,
      exposure,
      torque: () => torqueRecords(records, definition, exposure),
      own: chosen.own,
    }),
  }
  const count = (flag: Uint8Array): number => selection.rows.reduce((sum, row) => sum + flag[row]!, 0)
  const summary: CohortSummary = deepFreeze({
    source: records.source,
    quality: records.quality,
    attrition: selection.attrition,
    patients: new Set(cohort.patient).size,
    clinics: presentLabels(cohort.clinic),
    operators: presentLabels(cohort.operator).length,
    deliveryYears: yearSpan(cohort.deliveryYear),
    checked: rows.length,
    neverChecked: selection.neverChecked,
    competingBeyondRecall: ends.beyondRecall,
    looks: looksAccount(cohort, history, selection, records.quality.withdrawnRestorations ?? 0),
    eventsOnDayZero: rowsWhere(
      rows.length,
      (i) => ends.status[i] === restorationStatus.endpoint && ends.day[i] === 0,
    ).length,
    exposure: exposureGroups.map((group, code) => ({
      group,
      restorations: exposureCodes.reduce((sum, one) => sum + (one === code ? 1 : 0), 0),
    })),
    exposureDisagreements: count(exposure.disagrees),
    exposureFromReportOnly: count(exposure.fromReportOnly),
  })
  return Object.freeze({ ...cohort, summary })
}

/** What turns a cohort into another of the same records, and what reads a field by its name. */
function asking(
  records: RecordSet,
  definition: CohortDefinition,
  chosen: Chosen,
  rows: Int32Array,
  source: TraitSource,
): Pick<
  Cohort,
  'subgroup' | 'where' | 'only' | 'withColumns' | 'ownColumns' | 'trait' | 'levels' | 'looksTaken'
> {
  const { steps } = chosen
  return {
    subgroup:
      steps.length === 0
        ? undefined
        : Object.freeze({ steps, looks: countedLook(records, JSON.stringify(steps)) }),
    where: (conditions: Conditions) => cohortOf(records, definition, chosenWhere(source, chosen, conditions)),
    only: (frame: RowsWithColumns) => cohortOf(records, definition, chosenRows(source, chosen, frame)),
    withColumns: <Name extends string>(frame: RowsWithColumns, ...names: readonly Name[]) =>
      cohortOf(records, definition, withColumnsOf(source, chosen, frame, names)) as unknown as Cohort<Name>,
    ownColumns: Object.freeze([...chosen.own.keys()]),
    trait: (name: string) => {
      const values = traitValues(source, name)
      return listOfRows(rows, (row) => values[row])
    },
    levels: (name: string) =>
      isRecorded(source, name) ? levelsOf(traitValues(source, name), rows) : Object.freeze([]),
    looksTaken: (by: string) => countedLook(records, JSON.stringify([...steps, `by ${by}`])),
  }
}

/** What is known of restorations that were left out for want of a known outcome. */
function unknownOutcomes(
  { restorations }: RecordSet,
  origins: TimeOrigin,
  history: RestorationHistory,
  exposure: DeliveryDayExposure,
  selection: Selection,
  patients: Int32Array,
): UnknownOutcomes {
  const rows = selection.unknownRows
  return {
    n: rows.length,
    recordRow: rows,
    reason: listOfRows(rows, (row) => selection.leftOutFor(row)!),
    patient: patients.slice(selection.rows.length),
    clinic: picked(restorations.category('clinic_id'), rows),
    operator: picked(restorations.category('operator_id'), rows),
    exposure: takenCodes(exposure.groupCode, rows),
    deliveryYear: takenIntegers(origins.deliveryYear, rows),
    deliveryDay: takenIntegers(origins.deliveryDay, rows),
    lastContactDays: knownDays(history.lastContactDay, rows),
    category: (field) =>
      picked(restorations.category(namedField('restorations', field, labelKinds).name), rows),
    number: (field) => {
      const column = restorations.number(namedField('restorations', field, numberKinds).name)
      return takenRows(column, rows)
    },
  }
}

/** Account of the looks behind a cohort. */
function looksAccount(
  cohort: LooksColumns,
  history: RestorationHistory,
  selection: Selection,
  withdrawn: number,
): LooksAccount {
  let events = 0
  let eventsWithCleanLook = 0
  let markedNo = 0
  let outside = 0
  for (let i = 0; i < cohort.timeDays.length; i++) {
    if (cohort.status[i] === restorationStatus.endpoint) {
      events++
      eventsWithCleanLook += 1 - cohort.earlyEvent[i]!
      if (findingPlaces[cohort.findingPlace[i]!] === 'marked-no') markedNo++
      if (findingPlaces[cohort.findingPlace[i]!] === 'outside-look') outside++
    }
  }
  const found = (row: number): boolean =>
    history.findingPlace[row]! > 0 && history.eventDay[row] === missingDay
  return {
    events,
    eventsWithCleanLook,
    foundAtVisitMarkedNo: markedNo,
    foundOutsideLook: outside,
    findingsNotCounted: keptOf(eligibleRows(selection), found).length,
    deliveryDayOnly: selection.deliveryDayOnly,
    eligible: selection.rows.length + selection.unknownRows.length + withdrawn,
    outcomeUnreadable:
      selection.unknownRows.filter((row) => selection.leftOutFor(row) === 'outcome-unreadable').length +
      withdrawn,
    leftOut: selection.nothingKnown + withdrawn,
  }
}

type LooksColumns = Pick<Cohort, 'timeDays' | 'status' | 'earlyEvent' | 'findingPlace'>

/** Name of a competing cause. */
export function competingCauseName(code: number): string {
  return competingCauses[code] ?? 'other'
}

/** Days of some rows as numbers, NaN where not known. */
function knownDays(days: Int32Array, rows: Int32Array): Float64Array {
  return numbersOfRows(rows.length, (i) => knownOrNaN(days[rows[i]!]!))
}

function knownOrNaN(day: number): number {
  return day === missingDay ? Number.NaN : day
}

/** Column of the chosen rows; labels that no row holds are kept, so that codes stay comparable. */
function picked(column: CategoryColumn, rows: Int32Array): CategoryColumn {
  return { labels: column.labels, codes: takenIntegers(column.codes, rows) }
}

/** Codes renumbered from 0 without gaps, in order of first appearance. */
function recoded(codes: Int32Array): Int32Array {
  const seen = new Map<number, number>()
  return codes.map((code) => {
    const known = seen.get(code) ?? seen.size
    seen.set(code, known)
    return known
  })
}

function presentLabels(column: CategoryColumn): readonly string[] {
  const present = new Set(column.codes)
  return column.labels.filter((_label, code) => present.has(code)).sort()
}

function yearSpan(years: Int32Array): { first: number; last: number } {
  const known = years.filter((year) => year > 0).sort()
  return { first: known[0] ?? 0, last: known.at(-1) ?? 0 }
}

/**
 * Day of the first tightening at a recall check of each restoration of the records, or of one that is called delivery but
 * dated after its day; `missingDay` where there was none.
 * Such a tightening is an exposure that begins on its own day, never a group from the start: a restoration has to stay
 * in place to receive it. What was done to a screw that had been found loose is treatment and does not count.
 */
function firstLaterTightening(records: RecordSet): Int32Array {
  const { restorations, tightenings } = records
  const first = new Int32Array(restorations.rowCount).fill(missingDay)
  const context = tightenings.category('context')
  const later = new Set(
    ['recall_check', 'delivery'].map((one) => codeOf(context, one)).filter((one) => one >= 0),
  )
  const action = tightenings.category('action')
  const measurement = codeOf(action, 'removal_measurement')
  const day = tightenings.day('days_since_delivery')
  for (let row = 0; row < tightenings.rowCount; row++) {
    // A day that is not known is below all others.
    if (!later.has(context.codes[row]!) || day[row]! <= 0) continue
    if (measurement >= 0 && action.codes[row] === measurement) continue
    const restoration = tightenings.restoration[row]!
    // The tightenings of a restoration stand in order of day.
    if (first[restoration] === missingDay) first[restoration] = day[row]!
  }
  return first
}

/** What became of the restorations of one exposure group between the records and the cohort. */
export interface GroupAttrition {
  readonly group: ExposureGroup
  /** Restorations of the records, after the checks, with this exposure on the day of delivery. */
  readonly restorations: number
  /** Left out, by the code of the reason; reasons that left nobody out are absent. */
  readonly leftOut: readonly { readonly code: string; readonly restorations: number }[]
  /** All of those left out. */
  readonly leftOutTotal: number
  readonly included: number
}

/** Account of each exposure group; groups that the records do not hold are absent, "unknown" is a row like any other. */
function attritionByGroup(exposure: DeliveryDayExposure, selection: Selection): readonly GroupAttrition[] {
  const counts = exposureGroups.map(() => ({
    restorations: 0,
    included: 0,
    leftOut: new Map<string, number>(),
  }))
  exposure.groupCode.forEach((code, row) => {
    const group = counts[code]!
    group.restorations += 1
    const reason = selection.leftOutFor(row)
    if (reason === undefined) group.included += 1
    else group.leftOut.set(reason, (group.leftOut.get(reason) ?? 0) + 1)
  })
  return deepFreeze(
    counts.flatMap(({ restorations, included, leftOut }, code) =>
      restorations === 0
        ? []
        : [
            {
              group: exposureGroups[code]!,
              restorations,
              leftOut: [...leftOut]
                .sort(([left], [right]) => (left < right ? -1 : 1))
                .map(([reason, number]) => ({ code: reason, restorations: number })),
              leftOutTotal: restorations - included,
              included,
            },
          ],
    ),
  )
}
