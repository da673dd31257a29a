import { type PositionScheme, positionKind, schemeReader } from './toothPosition.js'

/** Positions of an arch in the order in which they stand in the mouth, right to left. */
const arches: readonly (readonly number[])[] = [
  [18, 17, 16, 15, 14, 13, 12, 11, 21, 22, 23, 24, 25, 26, 27, 28],
  [48, 47, 46, 45, 44, 43, 42, 41, 31, 32, 33, 34, 35, 36, 37, 38],
]

const apart = /\s*(?:[,;/+&|\n]|\b(?:and|und|et|y|e)\b)\s*|\s+/iu
const upTo = /^(\S+?)\s*(?:-|–|—|‐|\.\.\.?|…|\bto\b|\bbis\b|\bà\b|\ba\b|\bhasta\b|\bat[eé]\b)\s*(\S+)$/iu

/**
 * The positions for which a cell stands where it names several crowns: "11, 12", "24/25", "35 + 36", or "24-26" for all
 * from 24 to 26 along the arch. Undefined where it names one, or something else.
 */
export function severalPositions(
  text: string,
  scheme: PositionScheme = 'iso-3950',
): readonly string[] | undefined {
  const read = schemeReader(scheme)
  if (read(text) !== undefined && scheme !== 'iso-3950') return undefined
  if (/^\d{1,2}(?:[.,]0+)?$/.test(text) || /^[1-8][.,-][1-8]$/.test(text)) return undefined
  const isPosition = (part: string): boolean => {
    const position = read(part)
    return position !== undefined && positionKind(position) === 'permanent'
  }
  const parts = text.split(apart).filter((part) => part !== '')
  if (parts.length > 1 && parts.every((part) => isPosition(part) || between(part, read) !== undefined)) {
    return parts.flatMap((part) => (isPosition(part) ? [part] : between(part, read)!))
  }
  return between(text, read)
}

/** All positions of a stretch "24-26", as the scheme writes them where it is ISO 3950, else as ISO positions. */
function between(text: string, read: (text: string) => number | undefined): readonly string[] | undefined {
  const match = upTo.exec(text.trim())
  if (match === null) return undefined
  const [from, to] = [read(match[1]!.trim()), read(match[2]!.trim())]
  if (from === undefined || to === undefined) return undefined
  const arch = arches.find((one) => one.includes(from) && one.includes(to))
  if (arch === undefined || from === to) return undefined
  const [first, last] = [arch.indexOf(from), arch.indexOf(to)].sort((left, right) => left - right)
  return arch.slice(first, last! + 1).map(String)
}

/** The most posterior of several positions, by which a prosthesis on several implants goes. */
export function mostPosterior(positions: readonly string[], scheme: PositionScheme = 'iso-3950'): string {
  const read = schemeReader(scheme)
  const back = (text: string): number => (read(text) ?? Number(text)) % 10
  return positions.reduce((most, one) => (back(one) > back(most) ? one : most))
}
