/** What a number means as a tooth position by ISO 3950. */
export type PositionKind = 'permanent' | 'deciduous' | 'none'

/** ISO 3950: quadrants 1 to 4 with positions 1 to 8 are permanent, 5 to 8 with 1 to 5 deciduous. */
export function positionKind(code: number): PositionKind {
  const quadrant = Math.floor(code / 10)
  const position = code % 10
  if (!Number.isInteger(code)) return 'none'
  if (quadrant >= 1 && quadrant <= 4 && position >= 1 && position <= 8) return 'permanent'
  if (quadrant >= 5 && quadrant <= 8 && position >= 1 && position <= 5) return 'deciduous'
  return 'none'
}

/** Number of a position text: two digits, with or without a point between quadrant and position or trailing ".0". */
export function positionNumber(text: string): number | undefined {
  const match = /^(?:(\d{1,2})(?:[.,]0+)?|([1-8])[.,-]([1-8]))$/.exec(text)
  if (match === null) return undefined
  return match[1] === undefined ? Number(`${match[2]}${match[3]}`) : Number(match[1])
}

/** Ways in which practices write tooth positions. */
export type PositionScheme = 'iso-3950' | '1-32' | 'quadrant-letters' | 'plus-minus'

/** Reader of a scheme: from a text to the ISO 3950 position, undefined where the scheme has no such text. */
export function schemeReader(scheme: PositionScheme): (text: string) => number | undefined {
  if (scheme === 'iso-3950') return positionNumber
  if (scheme === '1-32') return fromOneTo32
  return scheme === 'quadrant-letters' ? fromQuadrantLetters : fromPlusMinus
}

/** 1 is the upper right third molar, 16 the upper left one, 17 the lower left one, 32 the lower right one. */
function fromOneTo32(text: string): number | undefined {
  const number = /^#?\d{1,2}(?:\.0+)?$/.test(text) ? Number(text.replace('#', '')) : Number.NaN
  if (!(number >= 1 && number <= 32)) return undefined
  if (number <= 8) return 19 - number
  if (number <= 16) return 12 + number
  return number <= 24 ? 55 - number : 16 + number
}

/** Quadrant in letters (upper or lower, right or left) and position from the midline, such as UR6 or LL 5. */
function fromQuadrantLetters(text: string): number | undefined {
  const match = /^(UR|UL|LL|LR)[\s-]?([1-8])$/i.exec(text)
  if (match === null) return undefined
  return 10 * (1 + ['UR', 'UL', 'LL', 'LR'].indexOf(match[1]!.toUpperCase())) + Number(match[2])
}

/** Plus for the upper and minus for the lower jaw, on the side of the midline: 6+ is upper right, +6 upper left. */
function fromPlusMinus(text: string): number | undefined {
  const match = /^(?:([1-8])([+\-−–])|([+\-−–])([1-8]))$/.exec(text.replaceAll(' ', ''))
  if (match === null) return undefined
  const right = match[1] !== undefined
  const upper = (match[2] ?? match[3]) === '+'
  const quadrant = upper ? (right ? 1 : 2) : right ? 4 : 3
  return 10 * quadrant + Number(match[1] ?? match[4])
}

/** Upper or lower jaw of a permanent position. */
export function archOf(code: number): 'upper' | 'lower' {
  return code < 30 ? 'upper' : 'lower'
}

/** Region of a permanent position. */
export function regionOf(code: number): 'anterior' | 'premolar' | 'molar' {
  const position = code % 10
  return position <= 3 ? 'anterior' : position <= 5 ? 'premolar' : 'molar'
}
