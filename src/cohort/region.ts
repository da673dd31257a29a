/** Region of the arch by ISO 3950: the unit digit tells incisors and canines, premolars and molars apart. */
export type Region = 'anterior' | 'premolar' | 'molar'

/** Region of a position in the two-digit scheme of ISO 3950, or undefined where there is no such position. */
export function regionOf(position: number): Region | undefined {
  const unit = position % 10
  const quadrant = Math.floor(position / 10)
  // A position that is not known is NaN, and of that every comparison is false.
  if (!(quadrant >= 1 && quadrant <= 4 && unit >= 1 && unit <= 8)) return undefined
  if (unit <= 3) return 'anterior'
  return unit <= 5 ? 'premolar' : 'molar'
}

/** Arch of a position in the two-digit scheme of ISO 3950. */
export function archOf(position: number): 'upper' | 'lower' | undefined {
  if (regionOf(position) === undefined) return undefined
  return position < 30 ? 'upper' : 'lower'
}
