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

/** Upper or lower jaw of a permanent position. */
export function archOf(code: number): 'upper' | 'lower' {
  return code < 30 ? 'upper' : 'lower'
}

/** Region of a permanent position. */
export function regionOf(code: number): 'anterior' | 'premolar' | 'molar' {
  const position = code % 10
  return position <= 3 ? 'anterior' : position <= 5 ? 'premolar' : 'molar'
}
