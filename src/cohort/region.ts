import { listOfRows } from '../core/columns.js'
import { type CategoryColumn, labelAt } from '../records/columns.js'

/** Region of the arch by ISO 3950: the unit digit tells incisors and canines, premolars and molars apart. */
export type Region = 'anterior' | 'premolar' | 'molar'

/** One of the two jaws. */
export type Arch = 'upper' | 'lower'

/** Region of a position in the two-digit scheme of ISO 3950, or undefined where there is no such position. */
export function regionOf(position: number): Region | undefined {
  const unit = position % 10
  const quadrant = Math.floor(position / 10)
  // Asked for what it has to be, since a position that is not known (NaN) is neither below nor above anything.
  if (!(quadrant >= 1 && quadrant <= 4 && unit >= 1 && unit <= 8)) return undefined
  if (unit <= 3) return 'anterior'
  return unit <= 5 ? 'premolar' : 'molar'
}

/** Arch of a position in the two-digit scheme of ISO 3950. */
export function archOf(position: number): Arch | undefined {
  if (regionOf(position) === undefined) return undefined
  return position < 30 ? 'upper' : 'lower'
}

/** What tells where restorations stand: a cohort, those left out of one, or the restorations table. */
export interface Positioned {
  number(field: 'tooth_position'): Float64Array
  category(field: 'region' | 'arch'): CategoryColumn
}

/** Region by the rows: of the position, else as recorded, since positions may have been made coarser before. */
export function regionsOf(of: Positioned): readonly (Region | undefined)[] {
  const recorded = of.category('region')
  return listOfRows(
    of.number('tooth_position'),
    (position, row) => regionOf(position) ?? (labelAt(recorded, row) as Region | undefined),
  )
}

/** Arch by the rows, likewise. */
export function archesOf(of: Positioned): readonly (Arch | undefined)[] {
  const recorded = of.category('arch')
  return listOfRows(
    of.number('tooth_position'),
    (position, row) => archOf(position) ?? (labelAt(recorded, row) as Arch | undefined),
  )
}
