import { saysUnknown } from '../../vocabulary/unknown.js'
import { unknownCode } from '../columns.js'
import { countsOf, type TextColumn } from '../read/textTable.js'
import type { ValueFault } from './faults.js'
import type { CategoryReading } from './readCodes.js'
import { severalPositions } from './severalCrowns.js'
import { type PositionScheme, positionKind, positionNumber, schemeReader } from './toothPosition.js'

/**
 * Reads tooth positions by ISO 3950. Deciduous positions are refused: the row is set aside. Numbers that another scheme
 * uses and ISO 3950 does not put the whole column in doubt, unless lower positions from 33 on, which a scheme of 1 to 32
 * does not have, show that they are slips.
 */
export function readPositions(column: TextColumn, scheme?: PositionScheme | '?'): CategoryReading {
  const counts = countsOf(column)
  const numberOf = scheme === undefined || scheme === '?' ? positionNumber : schemeReader(scheme)
  const numbers = column.values.map((value) => (saysUnknown(value) ? undefined : numberOf(value)))
  const inUse = numbers.filter((number, code) => number !== undefined && counts[code]! > 0) as number[]
  const stated = scheme !== undefined && scheme !== '?'
  const onlyIso = stated || inUse.some((number) => number >= 33 && positionKind(number) === 'permanent')
  const otherScheme =
    !onlyIso && inUse.some((number) => number >= 1 && number <= 32 && positionKind(number) === 'none')
  const labels: string[] = []
  const codeOfPosition = new Map<number, number>()
  const faults: (ValueFault | undefined)[] = []
  const codeOfValue = Int32Array.from(column.values, (value, code) => {
    const number = numbers[code]
    if (number === undefined) {
      if (!saysUnknown(value))
        faults[code] = severalPositions(value) === undefined ? noPosition : severalCrowns
      return unknownCode
    }
    const kind = positionKind(number)
    if (kind === 'deciduous') faults[code] = deciduous
    else if (otherScheme) faults[code] = schemeInDoubt
    else if (kind === 'none') faults[code] = noPosition
    if (kind !== 'permanent') return unknownCode
    const known = codeOfPosition.get(number) ?? labels.push(String(number)) - 1
    codeOfPosition.set(number, known)
    return known
  })
  return { labels, codes: column.codes.map((code) => codeOfValue[code]!), faults }
}

const permanentPositions = '11 to 18, 21 to 28, 31 to 38 or 41 to 48 (ISO 3950)'

const deciduous: ValueFault = {
  severity: 'set-aside',
  code: 'deciduous-position',
  problem: 'the tooth position is that of a deciduous tooth (51 to 85), where no implant restoration stands.',
  expected: `${permanentPositions}.`,
  mend: 'correct the position in a copy.',
}

const severalCrowns: ValueFault = {
  severity: 'stop',
  leavesOut: 'restoration',
  code: 'several-crowns',
  problem:
    'a row names several tooth positions: whether it stands for several crowns or for one prosthesis is not known.',
  expected: 'one crown or prosthesis on one row, or your word on rows with several.',
  mend: 'answer the question on several crowns in holdfast map, or give each a row of its own, in a copy.',
}

const noPosition: ValueFault = {
  severity: 'warn',
  code: 'no-tooth-position',
  problem: 'a value is no tooth position and counts as unknown.',
  expected: `${permanentPositions}.`,
  mend: 'correct it in a copy, or leave the cell empty where it is not known.',
}

const schemeInDoubt: ValueFault = {
  severity: 'stop',
  code: 'position-scheme-in-doubt',
  problem:
    'the column holds numbers that ISO 3950 does not have and a scheme of 1 to 32 does; the two collide from 11 to 32.',
  expected: `${permanentPositions}.`,
  mend: 'say in the column map which scheme the column follows ("scheme"); it is never guessed.',
}
