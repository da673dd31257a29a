import { saysUnknown } from '../../vocabulary/unknown.js'
import { countsOf, type TextColumn } from '../read/textTable.js'
import { type MappedColumn, undecided } from './columnMap.js'
import { severalPositions } from './severalCrowns.js'
import { type PositionScheme, positionKind, schemeReader } from './toothPosition.js'

const schemes: readonly PositionScheme[] = ['iso-3950', '1-32', 'quadrant-letters', 'plus-minus']

/**
 * Proposes the scheme of a column of tooth positions: the only one that reads every value. Where both ISO 3950 and 1 to
 * 32 read all of them, only the user can decide.
 */
export function proposePositions(
  column: TextColumn,
  evidence: string[],
): Partial<Pick<MappedColumn, 'scheme'>> {
  const counts = countsOf(column)
  // Cells that name several positions are a question of their own, and say nothing about the scheme.
  const values = column.values.filter(
    (value, code) => counts[code]! > 0 && !saysUnknown(value) && severalPositions(value) === undefined,
  )
  const shares = schemes.map((scheme) => {
    const read = schemeReader(scheme)
    const known = values.filter((value) => {
      const position = read(value)
      return position !== undefined && positionKind(position) === 'permanent'
    })
    return { scheme, known: known.length }
  })
  const fitting = shares.filter((one) => one.known === values.length).map((one) => one.scheme)
  if (fitting.length === 1) {
    evidence.push(`every value is a position of the scheme ${fitting[0]}`)
    return fitting[0] === 'iso-3950' ? {} : { scheme: fitting[0]! }
  }
  if (fitting.length > 1) {
    evidence.push(`every value fits the schemes ${fitting.join(' and ')}, which mean different teeth by it`)
    return { scheme: undecided }
  }
  const best = shares.reduce((most, one) => (one.known > most.known ? one : most))
  evidence.push(
    `${best.known} of ${values.length} different values fit the scheme ${best.scheme}, and no scheme fits all`,
  )
  return { scheme: undecided }
}
