import { saysUnknown } from '../../vocabulary/unknown.js'
import type { ProblemList } from '../problems.js'
import type { TextColumn, TextTable } from '../read/textTable.js'
import { isOfVisit, type MappedColumn, type MappedSheet } from './columnMap.js'
import { mostPosterior, severalPositions } from './severalCrowns.js'
import { type PositionScheme, positionKind, schemeReader } from './toothPosition.js'

/** Rows of visits that stand below each other, and the row of the sheet of restorations to which each belongs. */
export interface VisitRows {
  readonly text: TextTable
  readonly map: MappedSheet
  readonly sheetRow: Int32Array
}

/** A sheet with a row for each restoration, as the map has it arranged. */
export interface ArrangedSheet {
  readonly text: TextTable
  readonly map: MappedSheet
  readonly visits?: VisitRows
  /** Rows of which several source rows contradict each other. */
  readonly contradicting: readonly number[]
}

interface GridColumn {
  readonly entry: MappedColumn
  readonly position: number
  readonly cells: string[]
}

interface Grid {
  readonly columns: readonly GridColumn[]
  readonly sourceRow: readonly number[]
}

/** Whether a map asks for more than reading columns as they stand. */
export function needsArranging(map: MappedSheet | undefined): map is MappedSheet {
  if (map === undefined || map.sheet !== 'one_sheet') return false
  const { rows, severalCrowns, secondTightenings, otherTightenings, columns } = map
  return (
    rows === 'visit' ||
    severalCrowns !== undefined ||
    secondTightenings !== undefined ||
    otherTightenings === 'once' ||
    columns.some((one) => one.crown !== undefined || one.fillDown === true)
  )
}

/**
 * Arranges a sheet as its map says: cells filled down, crowns side by side put below each other, a row that stands for
 * several crowns taken apart, rows of visits gathered by restoration. The text stays what it was; nothing is guessed.
 */
export function arrange(text: TextTable, map: MappedSheet, problems: ProblemList): ArrangedSheet {
  let grid = gridOf(text, map)
  grid = withSecondTightenings(grid, map)
  grid = crownsBelowEachOther(grid)
  grid = crownsApart(grid, map)
  if (map.rows !== 'visit') return { ...sheetOf(text, map, grid), contradicting: [] }
  return visitsGathered(text, map, grid, problems)
}

function gridOf(text: TextTable, map: MappedSheet): Grid {
  const columns = text.columns.flatMap((column) => {
    const entry = map.columns.find(
      (one) =>
        one.header === column.header && (one.position === undefined || one.position === column.position),
    )
    if (entry === undefined || entry.field === null || entry.field === '?') return []
    const cells = Array.from(column.codes, (code) => column.values[code]!)
    if (entry.fillDown === true) {
      for (let row = 1; row < cells.length; row++) if (cells[row] === '') cells[row] = cells[row - 1]!
    }
    return [{ entry, position: column.position, cells }]
  })
  return { columns, sourceRow: [...text.sourceRow] }
}

function withSecondTightenings(grid: Grid, { secondTightenings = {}, otherTightenings }: MappedSheet): Grid {
  if (Object.keys(secondTightenings).length === 0 && otherTightenings !== 'once') return grid
  const rows = grid.sourceRow.length
  const columnFor = (field: string): GridColumn =>
    grid.columns.find((one) => one.entry.field === field && one.entry.crown === undefined) ?? {
      entry: { header: field, field },
      position: 0,
      cells: new Array<string>(rows).fill(''),
    }
  const [times, wait] = [columnFor('tightenings_at_delivery'), columnFor('wait_minutes')]
  grid.sourceRow.forEach((sourceRow, row) => {
    const found = secondTightenings[String(sourceRow)]
    if (found === undefined) {
      if (otherTightenings === 'once' && saysUnknown(times.cells[row]!)) times.cells[row] = '1'
      return
    }
    times.cells[row] = '2'
    if (found !== 'unknown') wait.cells[row] = String(found)
  })
  const own = grid.columns.filter((one) => one !== times && one !== wait)
  return { columns: [...own, times, wait], sourceRow: grid.sourceRow }
}

/** Columns of crown 1, crown 2 and so on, side by side, as rows: one for each crown of which anything is filled. */
function crownsBelowEachOther(grid: Grid): Grid {
  const crowns = [...new Set(grid.columns.map((one) => one.entry.crown ?? 0))].filter((one) => one > 0)
  if (crowns.length === 0) return grid
  const ofCrown = (crown: number): readonly GridColumn[] =>
    grid.columns.filter((one) => one.entry.crown === crown)
  const keyOf = ({ entry }: GridColumn): string => `${entry.field} ${entry.visit ?? ''}`
  const firsts = new Map<string, GridColumn>()
  for (const column of grid.columns) {
    if (column.entry.crown !== undefined && !firsts.has(keyOf(column))) firsts.set(keyOf(column), column)
  }
  const shared = grid.columns.filter((one) => one.entry.crown === undefined)
  const sourceRow: number[] = []
  const sharedCells = shared.map((): string[] => [])
  const crownCells = new Map([...firsts.keys()].map((key) => [key, [] as string[]]))
  for (let row = 0; row < grid.sourceRow.length; row++) {
    for (const crown of crowns.sort((left, right) => left - right)) {
      const columns = ofCrown(crown)
      if (columns.every((one) => saysUnknown(one.cells[row]!))) continue
      sourceRow.push(grid.sourceRow[row]!)
      shared.forEach((one, index) => {
        sharedCells[index]!.push(one.cells[row]!)
      })
      for (const [key, cells] of crownCells) {
        cells.push(columns.find((one) => keyOf(one) === key)?.cells[row] ?? '')
      }
    }
  }
  const joined = [...firsts].map(([key, first]) => {
    const values = Object.assign(
      {},
      ...grid.columns.filter((one) => keyOf(one) === key).map((one) => one.entry.values ?? {}),
    )
    const { crown: _crown, ...entry } = first.entry
    const withValues = Object.keys(values).length === 0 ? entry : { ...entry, values }
    return { entry: withValues, position: first.position, cells: crownCells.get(key)! }
  })
  const kept = shared.map((one, index) => ({ ...one, cells: sharedCells[index]! }))
  return { columns: [...kept, ...joined], sourceRow }
}

/** Rows that stand for several crowns, taken apart or taken for one prosthesis; positions as ISO 3950 from here on. */
function crownsApart(grid: Grid, map: MappedSheet): Grid {
  const { severalCrowns } = map
  const tooth = grid.columns.find((one) => one.entry.field === 'tooth_position')
  if (severalCrowns === undefined || tooth === undefined) return grid
  const { scheme: stated, ...entry } = tooth.entry
  const scheme: PositionScheme = stated === undefined || stated === '?' ? 'iso-3950' : stated
  const iso = (text: string): string => {
    const position = schemeReader(scheme)(text)
    return position !== undefined && positionKind(position) !== 'none' ? String(position) : text
  }
  const sourceRow: number[] = []
  const cells = grid.columns.map((): string[] => [])
  for (let row = 0; row < grid.sourceRow.length; row++) {
    const text = tooth.cells[row]!
    const several = severalPositions(text, scheme)
    const all = several ?? [iso(text)]
    const positions = severalCrowns === 'each' ? all.map(iso) : [mostPosterior(all.map(iso))]
    positions.forEach((position, index) => {
      sourceRow.push(grid.sourceRow[row]!)
      grid.columns.forEach((column, at) => {
        if (column === tooth) cells[at]!.push(position)
        else cells[at]!.push(cellOfCrown(column, row, index, positions.length))
      })
    })
  }
  const columns = grid.columns.map((one, at) => ({
    ...one,
    entry: one === tooth ? entry : one.entry,
    cells: cells[at]!,
  }))
  return { columns: [...columns, ...typesKept(grid, map)], sourceRow }
}

/** One prosthesis on several implants is no single crown, whatever is said of the sheet as a whole: its type is unknown. */
function typesKept(grid: Grid, map: MappedSheet): readonly GridColumn[] {
  const tooth = grid.columns.find((one) => one.entry.field === 'tooth_position')
  if (map.severalCrowns !== 'one' || map.constants?.restoration_type !== 'single_crown') return []
  if (grid.columns.some((one) => one.entry.field === 'restoration_type')) return []
  const scheme = tooth?.entry.scheme === '?' ? undefined : tooth?.entry.scheme
  const cells = grid.sourceRow.map((_, row) =>
    severalPositions(tooth?.cells[row] ?? '', scheme) === undefined ? 'single_crown' : '',
  )
  return [{ entry: { header: 'restoration_type', field: 'restoration_type' }, position: 0, cells }]
}

/** The part of a cell that is meant for one of several crowns, where its column has a value for each. */
function cellOfCrown({ entry, cells }: GridColumn, row: number, crown: number, crowns: number): string {
  const text = cells[row]!
  if (entry.perCrown !== true || crowns === 1) return text
  for (const separator of [/\s*[;|\n]\s*/, /\s*\/\s*/, /\s*\+\s*/, /\s*,\s+/, /\s*,\s*/]) {
    const parts = text.split(separator)
    if (parts.length === crowns) return parts[crown]!
  }
  return text
}

function visitsGathered(text: TextTable, map: MappedSheet, grid: Grid, problems: ProblemList): ArrangedSheet {
  const ofVisit = grid.columns.filter(({ entry }) => isOfVisit(map, entry))
  const own = grid.columns.filter((one) => !ofVisit.includes(one))
  const { sheetRow, first } = groupsOf(grid, own)
  const contradicting = new Set<number>()
  const columns = own.map((column) => {
    const cells = first.map(() => '')
    for (let row = 0; row < sheetRow.length; row++) {
      const value = column.cells[row]!
      const known = cells[sheetRow[row]!]!
      if (saysUnknown(value)) continue
      if (known === '') cells[sheetRow[row]!] = value
      else if (known !== value && !contradicting.has(sheetRow[row]!)) {
        contradicting.add(sheetRow[row]!)
        const place = { file: text.file, column: column.entry.header }
        problems.add({ ...rowsContradict, ...place }, grid.sourceRow[row]!)
      }
    }
    return { ...column, cells }
  })
  const sourceRow = first.map((row) => grid.sourceRow[row]!)
  const visitGrid = { columns: ofVisit, sourceRow: grid.sourceRow }
  const visits = sheetOf(text, map, visitGrid)
  return {
    ...sheetOf(text, map, { columns, sourceRow }),
    visits: { ...visits, sheetRow },
    contradicting: [...contradicting],
  }
}

/**
 * Gathers rows by restoration: by its own identifier, else by patient and position, and by the delivery, where a later
 * one on the same site begins another restoration.
 */
function groupsOf(
  grid: Grid,
  own: readonly GridColumn[],
): { readonly sheetRow: Int32Array; readonly first: readonly number[] } {
  const cellsOf = (field: string): readonly string[] | undefined =>
    own.find(({ entry }) => entry.field === field)?.cells
  const id = cellsOf('restoration_id')
  const keys = id === undefined ? [cellsOf('patient_id'), cellsOf('tooth_position')] : [id]
  const delivery = id === undefined ? cellsOf('delivery_date') : undefined
  const groups = new Map<string, number>()
  const latest = new Map<string, number>()
  const first: number[] = []
  const sheetRow = Int32Array.from(grid.sourceRow, (_, row) => {
    const site = keys.map((cells) => cells?.[row] ?? '').join('\u0000')
    const day = delivery?.[row] ?? ''
    const known = day === '' ? latest.get(site) : groups.get(`${site}\u0000${day}`)
    const group = known ?? first.push(row) - 1
    groups.set(`${site}\u0000${day}`, group)
    latest.set(site, group)
    return group
  })
  return { sheetRow, first }
}

/** The row of the restorations to which each row of a sheet of visits belongs; those without one are -1. */
export function linkedBySite(restorations: ArrangedSheet, visits: ArrangedSheet): Int32Array {
  const cellsOf = ({ text, map }: ArrangedSheet, field: string): readonly string[] | undefined => {
    const entry = map.columns.find((one) => one.field === field)
    const column = text.columns.find((one) => one.header === entry?.header)
    return column === undefined ? undefined : Array.from(column.codes, (code) => column.values[code]!)
  }
  const shared = ['restoration_id', 'patient_id', 'tooth_position'].filter(
    (field) => cellsOf(restorations, field) !== undefined && cellsOf(visits, field) !== undefined,
  )
  const fields = shared.includes('restoration_id') ? ['restoration_id'] : shared
  const keysOf = (sheet: ArrangedSheet): readonly string[] => {
    const cells = fields.map((field) => cellsOf(sheet, field)!)
    return Array.from({ length: sheet.text.rowCount }, (_, row) =>
      cells.map((one) => one[row]!).join('\u0000'),
    )
  }
  const rowOfKey = new Map<string, number>()
  keysOf(restorations).forEach((key, row) => {
    rowOfKey.set(key, rowOfKey.has(key) ? -1 : row)
  })
  return Int32Array.from(keysOf(visits), (key) => (fields.length === 0 ? -1 : (rowOfKey.get(key) ?? -1)))
}

function sheetOf(text: TextTable, map: MappedSheet, grid: Grid): { text: TextTable; map: MappedSheet } {
  const columns = grid.columns.map(({ entry, position, cells }) => textColumn(entry.header, position, cells))
  return {
    text: {
      file: text.file,
      columns,
      rowCount: grid.sourceRow.length,
      sourceRow: Int32Array.from(grid.sourceRow),
      setAsideRows: text.setAsideRows,
      outside: [],
    },
    map: { ...map, columns: grid.columns.map(({ entry }) => entry) },
  }
}

function textColumn(header: string, position: number, cells: readonly string[]): TextColumn {
  const values = ['']
  const codeOf = new Map([['', 0]])
  const codes = Int32Array.from(cells, (cell) => {
    const known = codeOf.get(cell)
    if (known !== undefined) return known
    codeOf.set(cell, values.length)
    return values.push(cell) - 1
  })
  return { header, position, values, codes }
}

/** Several sheets of one form, one below the other; columns go by their headers. */
export function stacked(texts: readonly TextTable[]): TextTable {
  const [first] = texts
  if (texts.length === 1) return first!
  const headers = [...new Set(texts.flatMap((text) => text.columns.map((column) => column.header)))]
  const cellsOf = (text: TextTable, header: string): readonly string[] => {
    const column = text.columns.find((one) => one.header === header)
    return Array.from({ length: text.rowCount }, (_, row) =>
      column === undefined ? '' : column.values[column.codes[row]!]!,
    )
  }
  return {
    file: `${first!.file} and ${texts.length - 1} more below it`,
    columns: headers.map((header, index) =>
      textColumn(
        header,
        index + 1,
        texts.flatMap((text) => cellsOf(text, header)),
      ),
    ),
    rowCount: texts.reduce((sum, text) => sum + text.rowCount, 0),
    sourceRow: Int32Array.from(texts.flatMap((text) => [...text.sourceRow])),
    setAsideRows: texts.reduce((sum, text) => sum + text.setAsideRows, 0),
    outside: texts.flatMap((text) => text.outside),
  }
}

const rowsContradict = {
  severity: 'stop',
  leavesOut: 'restoration',
  code: 'rows-contradict',
  problem: 'rows of one restoration give different values in a column that every visit has in common.',
  expected: 'the same value on every row of a restoration, or empty cells.',
  mend: 'correct the row that is wrong, in a copy.',
} as const
