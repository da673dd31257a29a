import type { Field } from '../../vocabulary/fields.js'
import { saysUnknown } from '../../vocabulary/unknown.js'
import { type ColumnRoom, unknownCode } from '../columns.js'
import type { TextColumn } from '../read/textTable.js'
import { meantBy, type ValueFault } from './faults.js'

/** A column of codes or keys, with the faults of its distinct texts. */
export interface CategoryReading {
  readonly labels: readonly string[]
  readonly codes: Int32Array
  readonly faults: readonly (ValueFault | undefined)[]
}

/** Spellings of yes and no that mean the same in every language that has them. */
const yesWords = new Set(['yes', 'y', 'true', 'ja', 'j', 'oui', 'o', 'si', 'sí', 's', 'sim'])
const noWords = new Set(['no', 'n', 'false', 'nein', 'non', 'não', 'nao'])

/** A key or free text as it stands: every distinct text is a label of its own. */
export function readKeys(column: TextColumn, room: ColumnRoom): CategoryReading {
  const labels: string[] = []
  const codeOfValue = Int32Array.from(column.values, (value) =>
    saysUnknown(value) ? unknownCode : labels.push(value) - 1,
  )
  return { labels, codes: room.codes(codeOfValue, column.codes), faults: [] }
}

/**
 * Codes of a field: letter case, spaces and hyphens do not matter, yes and no may be spelled in several ways, and the
 * value map says what other words mean. A word that is none of these stops.
 */
export function readCodes(
  field: Field,
  column: TextColumn,
  valueMap: Readonly<Record<string, string>> | undefined,
  room: ColumnRoom,
): CategoryReading {
  const labels = field.codes!
  const faults: (ValueFault | undefined)[] = []
  const codeOfValue = Int32Array.from(column.values, (value, index) => {
    const meant = meantBy(valueMap, value)
    if (saysUnknown(meant)) return unknownCode
    const word = codeWord(meant, labels)
    if (saysUnknown(word)) return unknownCode
    const code = labels.indexOf(word)
    if (code === unknownCode) faults[index] = unknownWord(field)
    return code
  })
  return { labels, codes: room.codes(codeOfValue, column.codes), faults }
}

/** A text as the code that it spells, if it spells one. */
export function codeWord(text: string, labels: readonly string[]): string {
  const word = text.toLowerCase().replace(/[\s-]+/g, '_')
  if (labels.includes(word)) return word
  const plain = text.toLowerCase().replace(/\s*[-–]\s*/g, '-')
  if (labels.includes(plain)) return plain
  if (labels.length === 2 && labels[0] === 'yes') {
    if (yesWords.has(word)) return 'yes'
    if (noWords.has(word)) return 'no'
  }
  return word
}

/** Codes that decide on events, looks or exposure: a word that none of them is leaves the restoration without an answer. */
const outcomeCodes: ReadonlySet<string> = new Set([
  'finding',
  'screw_checked',
  'visit_type',
  'restoration_status',
  'removal_reason',
  'patient_status',
  'context',
  'action',
  'tightening_group',
])

function unknownWord(field: Field): ValueFault {
  return {
    severity: 'stop',
    leavesOut: outcomeCodes.has(field.name) ? 'restoration' : 'value',
    code: 'unknown-word',
    parameters: { column: field.name, codes: field.codes!.join(', ') },
    problem: `a word is none of the codes of ${field.name}.`,
    expected: `${field.codes!.join(', ')}, or empty where it is not known.`,
    mend: 'correct the word in a copy, or say in the column map which code it means ("values").',
  }
}
