import type { Field } from '../../vocabulary/fields.js'
import { saysUnknown } from '../../vocabulary/unknown.js'
import type { ColumnRoom } from '../columns.js'
import { countsOf, type TextColumn } from '../read/textTable.js'
import { type MappedColumn, undecided } from './columnMap.js'
import { meantBy, severityOfFault, type ValueFault } from './faults.js'
import { type DecimalVerdict, decimalMarkOf, numberOfText, withUnit } from './numbers.js'
import { unitFactor } from './unitFactors.js'

/** A column of numbers, with the faults of its distinct texts. */
export interface NumberReading {
  readonly values: Float64Array
  readonly faults: readonly (ValueFault | undefined)[]
}

/** What the column map says of a column of numbers, as far as it is needed here. */
export type NumberSettings = Pick<MappedColumn, 'decimalMark' | 'unit' | 'values'>

/** In the map: every value has its unit beside it, and is converted by that. */
export const unitsInCells = 'in-cells'

/**
 * Reads a column of numbers: the decimal mark decided once for the column, units behind numbers checked, ranges kept.
 * Numbers are converted only where the column map says from which unit.
 */
export function readNumbers(
  field: Field,
  column: TextColumn,
  settings: NumberSettings,
  room: ColumnRoom,
): NumberReading {
  const counts = countsOf(column)
  const bare = column.values.map((value) => meant(value, settings.values))
  const faults: (ValueFault | undefined)[] = new Array(bare.length)
  const factors = takeUnits(field, bare, faults, settings.unit)
  const verdict = decimalVerdict(field, bare, counts, factors, settings)
  const mark = verdict.state === 'decided' ? verdict.mark : '.'
  const numbers = Float64Array.from(bare, (value, code) => {
    if (value === '' || faults[code] !== undefined) return Number.NaN
    const number = field.name === ageField ? ageOfText(value, mark) : numberOfText(value, mark)
    const { kept, fault } = judged(
      field,
      number === undefined ? undefined : converted(number, factors[code]!),
    )
    if (fault !== undefined) faults[code] = fault
    return kept
  })
  if (verdict.state !== 'decided') doubt(bare, faults, verdict.state)
  else if (isHopeless(bare, counts, numbers, faults)) markHopeless(bare, faults)
  return { values: room.numbers(numbers, column.codes), faults }
}

/** What stands in a cell by the user's word, empty where that is not known. */
function meant(value: string, values: Readonly<Record<string, string>> | undefined): string {
  const text = meantBy(values, value)
  return saysUnknown(text) ? '' : text
}

/** Takes the units off the texts and gives the factor of each; a unit that does not fit is a fault. */
function takeUnits(
  field: Field,
  bare: string[],
  faults: (ValueFault | undefined)[],
  stated: string | undefined,
): readonly number[] {
  const own = field.unit ?? ''
  const isOwn = stated === undefined || stated === unitsInCells || stated === undecided
  const whole = isOwn ? 1 : (unitFactor(stated, own) ?? Number.NaN)
  return bare.map((value, code) => {
    if (value === '') return 1
    const parts = withUnit(value)
    if (parts === undefined) {
      if (stated === unitsInCells) faults[code] = otherUnit(field)
      return whole
    }
    bare[code] = parts.number
    const factor =
      stated === unitsInCells
        ? unitFactor(parts.unit, own)
        : parts.unit === (stated ?? own)
          ? whole
          : undefined
    if (factor === undefined) faults[code] = otherUnit(field)
    return factor ?? 1
  })
}

/** Products such as 0.35 · 100 are cleared of the last bits that the conversion adds. */
function converted(number: number, factor: number): number {
  return factor === 1 ? number : Number((number * factor).toPrecision(12))
}

function decimalVerdict(
  field: Field,
  bare: readonly string[],
  counts: Int32Array,
  factors: readonly number[],
  settings: NumberSettings,
): DecimalVerdict {
  const { decimalMark } = settings
  if (decimalMark === '.' || decimalMark === ',') return { state: 'decided', mark: decimalMark }
  const factor = factors.find((one) => one !== 1) ?? 1
  return decimalMarkOf(bare, counts, (value) => isPlausible(field, value * factor))
}

function isPlausible(field: Field, value: number): boolean {
  const { min, max } = field.unitLimits ?? field.range ?? { min: -Infinity, max: Infinity }
  return value >= min && value <= max && (field.kind !== 'whole' || Number.isInteger(value))
}

interface Judgement {
  readonly kept: number
  readonly fault?: ValueFault
}

function judged(field: Field, value: number | undefined): Judgement {
  if (value === undefined || ((field.kind === 'whole' || field.kind === 'day') && !Number.isInteger(value))) {
    return { kept: Number.NaN, fault: unreadable(field) }
  }
  // Days are kept in 32 bits, where a longer number would come round to another.
  if (field.kind === 'day' && Math.abs(value) > longestCount) {
    return { kept: Number.NaN, fault: unreadable(field) }
  }
  if (field.name === ageField) return judgedAge(field, value)
  const { unitLimits, range } = field
  if (unitLimits !== undefined && (value < unitLimits.min || value > unitLimits.max)) {
    if (field.name === 'removal_torque_ncm' && value === 0) return { kept: 0 }
    return { kept: value, fault: unitInDoubt(field) }
  }
  if (range !== undefined && (value < range.min || value > range.max)) {
    return { kept: field.faulty === 'keep' ? value : Number.NaN, fault: outOfRange(field) }
  }
  return { kept: value }
}

/** Days of 2,700 years: no count of days is longer. */
const longestCount = 1_000_000

const ageField = 'age_at_delivery_years'

/** An age, which may be written as open above (90+, >89). */
function ageOfText(text: string, mark: '.' | ','): number | undefined {
  const open = /^(?:(\d{2})\s?\+|[>≥]=?\s?(\d{2}))$/.exec(text)
  if (open === null) return numberOfText(text, mark)
  return Number(open[1] ?? open[2]) >= 89 ? 90 : undefined
}

function judgedAge(field: Field, value: number): Judgement {
  if (value < 0 || value > 120) return { kept: Number.NaN, fault: outOfRange(field) }
  if (value >= 90) return { kept: 90, fault: value > 90 ? ageAbove89 : ageFrom90 }
  return value < 16 ? { kept: value, fault: ageBelow16 } : { kept: value }
}

const ageFrom90: ValueFault = {
  severity: 'note',
  code: 'age-90-or-above',
  problem: 'an age of 90 is read as 90 or above.',
  expected: 'ages up to 89, and 90 for all above.',
  mend: 'nothing needs doing.',
}

const ageAbove89: ValueFault = {
  severity: 'warn',
  code: 'age-above-89',
  problem: 'an age above 89 can point to a person; it was read as 90 or above.',
  expected: 'ages up to 89, and 90 for all above.',
  mend: 'write 90 for every age from 90 on.',
}

const ageBelow16: ValueFault = {
  severity: 'warn',
  code: 'age-below-16',
  problem: 'the age at delivery is below 16 years.',
  expected: '16 to 89 years; implants are rarely placed before growth has ended.',
  mend: 'check the age; leave it where it is right.',
}

function unreadable(field: Field): ValueFault {
  const whole = field.kind === 'whole' || field.kind === 'day'
  const judged = severityOfFault(field)
  return {
    ...judged,
    code: 'not-a-number',
    parameters: {
      whole: whole ? 'yes' : 'other',
      unknown: judged.severity === 'warn' ? 'yes' : 'other',
      unit: field.unit ?? 'none',
    },
    problem: `a value cannot be read as a ${whole ? 'whole ' : ''}number${judged.severity === 'warn' ? ' and counts as unknown' : ''}.`,
    expected: `a ${whole ? 'whole ' : ''}number${inUnit(field)}.`,
    mend: 'correct it in a copy, or leave the cell empty where it is not known.',
  }
}

function outOfRange(field: Field): ValueFault {
  const { min, max } = field.range!
  const judged: Pick<ValueFault, 'severity' | 'leavesOut'> =
    field.faulty === 'keep' ? { severity: 'warn' } : severityOfFault(field)
  const kept = field.faulty === 'keep' ? '; it was kept' : ' and counts as unknown'
  const fate = judged.severity === 'warn' ? kept : ''
  return {
    ...judged,
    code: 'out-of-range',
    parameters: {
      min,
      max,
      unit: field.unit ?? 'none',
      fate: judged.severity !== 'warn' ? 'other' : field.faulty === 'keep' ? 'kept' : 'unknown',
    },
    problem: `a value lies outside the plausible range${fate}.`,
    expected: `${min} to ${max}${inUnit(field)}.`,
    mend: 'check it against the chart and correct it in a copy.',
  }
}

function unitInDoubt(field: Field): ValueFault {
  const { min, max } = field.unitLimits!
  return {
    severity: 'stop',
    leavesOut: 'restoration',
    code: 'torque-unit-in-doubt',
    parameters: { min, max, from: field.range!.min, to: field.range!.max },
    problem: `a torque below ${min} or above ${max} puts the unit of the column in doubt (N·m or N·mm instead of N·cm?).`,
    expected: `torques in N·cm, from ${field.range!.min} to ${field.range!.max}.`,
    mend: 'if the whole column is in another unit, say so in the column map ("unit"); if a single value is wrong, correct it in a copy.',
  }
}

function otherUnit(field: Field): ValueFault {
  return {
    severity: 'stop',
    leavesOut: 'restoration',
    code: 'other-unit',
    parameters: { unit: field.unit ?? 'none' },
    problem: 'a value is written with another unit than that of the field.',
    expected: `one unit in the whole column${field.unit === undefined ? '' : `: ${field.unit}`}.`,
    mend: 'write all values in one unit, in a copy; the toolkit converts nothing in silence.',
  }
}

function doubt(
  bare: readonly string[],
  faults: (ValueFault | undefined)[],
  state: 'undecidable' | 'contradictory',
): void {
  const fault: ValueFault = {
    severity: 'stop',
    code: state === 'undecidable' ? 'decimal-mark-undecidable' : 'decimal-mark-contradictory',
    problem:
      state === 'undecidable'
        ? 'whether a point or comma in this column sets decimals or thousands apart cannot be decided from its values.'
        : 'decimal points and decimal commas both stand in this column.',
    expected: 'one decimal mark in the whole column.',
    mend: 'say in the column map which it is ("decimalMark": "." or ",").',
  }
  bare.forEach((value, code) => {
    if (/[.,]/.test(value)) faults[code] = fault
  })
}

/** Where three or more rows have a value and none can be read, what the column holds is something else. */
function isHopeless(
  bare: readonly string[],
  counts: Int32Array,
  numbers: Float64Array,
  faults: readonly (ValueFault | undefined)[],
): boolean {
  const filled = counts.reduce((sum, count, code) => sum + (bare[code] === '' ? 0 : count), 0)
  const unreadableOnly = bare.every((value, code) => value === '' || faults[code]?.code === 'not-a-number')
  return filled >= 3 && unreadableOnly && numbers.every(Number.isNaN)
}

function markHopeless(bare: readonly string[], faults: (ValueFault | undefined)[]): void {
  for (let code = 0; code < bare.length; code++) {
    if (bare[code] === '') continue
    faults[code] = {
      severity: 'stop',
      code: 'column-unreadable',
      problem: 'no value of the column can be read as a number.',
      expected: 'numbers.',
      mend: 'look at the column: it may be another one than its header says.',
    }
  }
}

function inUnit(field: Field): string {
  return field.unit === undefined ? '' : ` (${field.unit})`
}
