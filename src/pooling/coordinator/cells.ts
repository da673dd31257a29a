import { notEstimable, type Quantity } from '../../core/estimate.js'
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

/** Names of all cells of a protocol, as objections name them. */
export function cellNames(protocol: Protocol): readonly string[] {
  return protocol.endpoints.flatMap((endpoint) =>
    [0, 1].flatMap((group) => [
      `${endpoint}|${group}|whole`,
      ...yearEnds(protocol).map((_end, j) => `${endpoint}|${group}|years ${j + 1}`),
      ...protocol.gridDays.map((_end, j) => `${endpoint}|${group}|grid ${j + 1}`),
    ]),
  )
}

/**
 * Patients of both groups together: none shown where these less those of a group, or those of both groups less these,
 * would be some, but fewer than the threshold: the patients of one group only, or of both. The larger group stands for
 * them in what rests on patients.
 */
export function patientsOfBoth(
  sums: Sums,
  endpoint: string,
  threshold: number,
): { readonly shown: Quantity; readonly atLeast: number } {
  const [against, group] = sums[`${endpoint}/patients`] as unknown as [number, number]
  const both = sums[`${endpoint}/patientsAll`]![0]!
  const left = [against + group - both, both - against, both - group]
  return left.some((patients) => patients > 0 && patients < threshold)
    ? { shown: notEstimable('too-few-patients-or-practices'), atLeast: Math.max(against, group) }
    : { shown: both, atLeast: both }
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

/**
 * Intervals of the grid from the first, as far as a curve may show them. It ends before the first that may not be
 * printed, and earlier where what is left of the printed year would be that one alone: the year less its intervals is
 * printed too, in effect. So something that may be printed is always in what is left.
 */
export function printedGrid(
  grid: readonly TimeCell[],
  printed: readonly TimeCell[],
  may: (cell: Cell) => boolean,
): readonly TimeCell[] {
  const somebody = ({ patients, endpoint, competing }: TimeCell): boolean =>
    patients > 0 || endpoint > 0 || competing > 0
  const beyond = grid.findIndex((cell) => !may(cell))
  let shown = beyond < 0 ? grid.length : beyond
  const ends = [...printed.map(({ toDay }) => toDay), Number.POSITIVE_INFINITY]
  for (; shown > 0; shown--) {
    const day = grid[shown - 1]!.toDay
    // Without printed years what is left to subtract from is the group as a whole.
    const until = printed.some(({ fromDay }) => fromDay === day) ? day : ends.find((end) => end >= day)!
    const rest = grid.slice(shown).filter(({ fromDay }) => fromDay < until)
    if (!rest.some(somebody) || rest.some(may)) break
  }
  return grid.slice(0, shown)
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
