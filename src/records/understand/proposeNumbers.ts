import type { Field } from '../../vocabulary/fields.js'
import { saysUnknown } from '../../vocabulary/unknown.js'
import { countsOf, type TextColumn, type TextTable } from '../read/textTable.js'
import { type MappedColumn, undecided } from './columnMap.js'
import type { HeaderReading } from './headerSynonyms.js'
import { decimalMarkOf, numberOfText, unitOf, withUnit } from './numbers.js'
import { unitsInCells } from './readNumbers.js'
import { unitFactor } from './unitFactors.js'

type NumberSettings = Partial<Pick<MappedColumn, 'unit' | 'unitColumn' | 'decimalMark'>>

/** Proposes decimal mark and unit of a column of numbers: as the header states them, else as all values show. */
export function proposeNumbers(
  field: Field,
  text: TextTable,
  column: TextColumn,
  reading: HeaderReading,
  evidence: string[],
): NumberSettings {
  const counts = countsOf(column)
  const values = column.values.map((value) => (saysUnknown(value) ? '' : value))
  const inCells = unitsOfCells(values, counts)
  const bare = values.map((value) => withUnit(value)?.number ?? value)
  return {
    ...proposedMark(field, bare, counts, reading, evidence),
    ...proposedUnit(field, text, bare, counts, reading, inCells, evidence),
  }
}

function unitsOfCells(values: readonly string[], counts: Int32Array): ReadonlyMap<string, number> {
  const units = new Map<string, number>()
  values.forEach((value, code) => {
    const unit = withUnit(value)?.unit
    if (unit !== undefined) units.set(unit, (units.get(unit) ?? 0) + counts[code]!)
  })
  return units
}

function proposedMark(
  field: Field,
  bare: readonly string[],
  counts: Int32Array,
  reading: HeaderReading,
  evidence: string[],
): NumberSettings {
  const factor = unitFactor(reading.unit ?? field.unit ?? '', field.unit ?? '') ?? 1
  const { min, max } = field.unitLimits ?? field.range ?? { min: -Infinity, max: Infinity }
  const verdict = decimalMarkOf(bare, counts, (value) => value * factor >= min && value * factor <= max)
  if (verdict.state === 'decided') {
    if (verdict.mark === ',') evidence.push('decimals are set apart by commas')
    return verdict.mark === ',' ? { decimalMark: ',' } : {}
  }
  evidence.push(
    verdict.state === 'undecidable'
      ? `${verdict.ambiguous} values fit both decimals and thousands`
      : 'points and commas both stand before decimals',
  )
  return { decimalMark: undecided }
}

function proposedUnit(
  field: Field,
  text: TextTable,
  bare: readonly string[],
  counts: Int32Array,
  reading: HeaderReading,
  inCells: ReadonlyMap<string, number>,
  evidence: string[],
): NumberSettings {
  if (field.unit === undefined) return {}
  if (inCells.size > 0) {
    evidence.push(
      `units stand behind the numbers: ${[...inCells].map(([unit, count]) => `${unit} (${count})`).join(', ')}`,
    )
    return inCells.size === 1 && inCells.has(field.unit) ? {} : { unit: unitsInCells }
  }
  const beside = unitColumnBeside(field, text)
  if (beside !== undefined) {
    evidence.push('another column holds units')
    return { unitColumn: beside }
  }
  if (reading.unit !== undefined) {
    evidence.push(`the header states ${reading.unit}`)
    if (reading.unit === field.unit) return {}
    return { unit: unitFactor(reading.unit, field.unit) === undefined ? undecided : reading.unit }
  }
  return unitByValues(field, bare, counts, evidence)
}

/** Header of the only other column that holds nothing but units that turn into that of the field. */
function unitColumnBeside(field: Field, text: TextTable): string | undefined {
  if (field.unitLimits === undefined) return undefined
  const columns = text.columns.filter((column) => {
    const words = column.values.filter((value) => value !== '')
    return (
      words.length > 0 && words.every((word) => unitFactor(unitOf(word) ?? '', field.unit!) !== undefined)
    )
  })
  return columns.length === 1 ? columns[0]!.header : undefined
}

/** A torque of 0.35 or 350 is no N·cm: the unit that fits is put to the user, never taken. */
function unitByValues(
  field: Field,
  bare: readonly string[],
  counts: Int32Array,
  evidence: string[],
): NumberSettings {
  const limits = field.unitLimits
  if (limits === undefined) return {}
  let outside = 0
  bare.forEach((value, code) => {
    const number = numberOfText(value, '.') ?? numberOfText(value, ',')
    if (number !== undefined && (number < limits.min || number > limits.max)) outside += counts[code]!
  })
  if (outside === 0) return {}
  evidence.push(
    `${outside} values lie outside ${limits.min} to ${limits.max} ${field.unit}: say which unit the column is in (N·m, N·mm, kgf·cm)`,
  )
  return { unit: undecided }
}
