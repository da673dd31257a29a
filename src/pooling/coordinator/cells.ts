import { cellParts, type Sums } from '../protocol/layout.js'
import { fewestSites, type Protocol, yearEnds } from '../protocol/protocol.js'

/** A number of patients behind something that may be printed, with the sites that they are of. */
export interface Cell {
  readonly id: string
  readonly patients: number
  readonly sites: number
}

/** What stands in a cell of a table of group and time. */
export interface TimeCell extends Cell {
  readonly fromDay: number
  readonly toDay: number
  readonly atRisk: number
  readonly endpoint: number
  readonly competing: number
  readonly days: number
}

/** All cells of a group: the whole, the years, the intervals of the grid. */
export interface GroupCells {
  readonly whole: Cell
  readonly years: readonly TimeCell[]
  readonly grid: readonly TimeCell[]
}

/** Cells of both groups of an endpoint. */
export function cellsOf(sums: Sums, protocol: Protocol, endpoint: string): readonly [GroupCells, GroupCells] {
  const of = (group: 0 | 1): GroupCells => ({
    whole: {
      id: `${endpoint}|${group}|whole`,
      patients: sums[`${endpoint}/patients`]![group]!,
      sites: sums[`${endpoint}/contributing`]![group]!,
    },
    years: timeCells(sums, endpoint, group, 'years', yearEnds(protocol)),
    grid: timeCells(sums, endpoint, group, 'grid', protocol.gridDays),
  })
  return [of(0), of(1)]
}

function timeCells(
  sums: Sums,
  endpoint: string,
  group: number,
  table: 'years' | 'grid',
  ends: readonly number[],
): readonly TimeCell[] {
  const cells = sums[`${endpoint}/${table}`]!
  const days = sums[`${endpoint}/${table === 'years' ? 'yearDays' : 'gridDays'}`]!
  return ends.map((end, j) => {
    const at = (group * ends.length + j) * cellParts.length
    const [atRisk, found, competing, patients, sites] = cells.slice(at, at + cellParts.length)
    return {
      id: `${endpoint}|${group}|${table} ${j + 1}`,
      fromDay: j === 0 ? 0 : ends[j - 1]!,
      toDay: end,
      atRisk: atRisk!,
      endpoint: found!,
      competing: competing!,
      patients: patients!,
      sites: sites!,
      days: days[group * ends.length + j]!,
    }
  })
}

/** Whether a cell may be printed: at least the threshold of patients and three sites behind it, and nobody objects. */
export function mayPrint(cell: Cell, threshold: number, objected: ReadonlySet<string>): boolean {
  return cell.patients >= threshold && cell.sites >= fewestSites && !objected.has(cell.id)
}

/**
 * Years put together until each may be printed: one that may not goes with the year before it, the first ones with the
 * year after. Empty where none may. Sums over the years stay those of the group, so that nothing is left to subtract.
 */
export function printedYears(years: readonly TimeCell[], may: (cell: Cell) => boolean): readonly TimeCell[] {
  const printed: TimeCell[] = []
  let waiting: TimeCell | undefined
  for (const cell of years) {
    if (cell.patients === 0 && cell.endpoint === 0 && cell.competing === 0) continue
    const own = waiting === undefined ? cell : joined(waiting, cell)
    if (may(cell)) {
      printed.push(own)
      waiting = undefined
    } else if (printed.length > 0) printed.push(joined(printed.pop()!, cell))
    else waiting = own
  }
  return printed
}

/** Two cells, one after the other; the patients of the larger are at least those of both. */
function joined(first: TimeCell, second: TimeCell): TimeCell {
  return {
    id: `${first.id} and ${second.id}`,
    fromDay: first.fromDay,
    toDay: second.toDay,
    atRisk: Math.max(first.atRisk, second.atRisk),
    endpoint: first.endpoint + second.endpoint,
    competing: first.competing + second.competing,
    patients: Math.max(first.patients, second.patients),
    sites: Math.max(first.sites, second.sites),
    days: first.days + second.days,
  }
}

/**
 * Cells that a practice objects to: those where the patients of the others are some, but fewer than the threshold, so
 * that the practice could tell what is theirs from what is its own.
 */
export function objectionable(totals: Sums, own: Sums, protocol: Protocol): readonly string[] {
  const found: string[] = []
  for (const endpoint of protocol.endpoints) {
    const all = cellsOf(totals, protocol, endpoint)
    const mine = cellsOf(own, protocol, endpoint)
    for (const group of [0, 1] as const) {
      const flat = ({ whole, years, grid }: GroupCells): readonly Cell[] => [whole, ...years, ...grid]
      flat(all[group]).forEach((cell, i) => {
        if (!mayPrint(cell, protocol.threshold, new Set())) return
        const others = cell.patients - flat(mine[group])[i]!.patients
        if (others > 0 && others < protocol.threshold) found.push(cell.id)
      })
    }
  }
  return found
}
