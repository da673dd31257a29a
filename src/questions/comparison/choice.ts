import type { Cohort } from '../../cohort/cohort.js'
import {
  allRows,
  codesOfRows,
  listOfRows,
  numbersOfRows,
  rowsWhere,
  takenCodes,
  takenIntegers,
  takenRows,
} from '../../core/columns.js'
import {
  type CompletedChain,
  chainsAhead,
  completedChains,
  type ImputationColumn,
  type WorkingColumn,
} from '../../statistics/imputation/chainedEquations.js'
import { type FilledCells, roomForColumns } from '../../statistics/numeric/filledCells.js'
import { restrictedCubicSpline, splineKnots } from '../../statistics/numeric/splines.js'
import {
  type FittedScores,
  fittedScores,
  type OverlapScores,
} from '../../statistics/weighting/overlapScores.js'
import {
  type Confounder,
  deliveryYears,
  type LeftOut,
  levelsOf,
  operatorLabels,
  usableConfounders,
} from './confounders.js'
import type { ComparedGroups } from './groups.js'

/** The restorations compared. */
export interface ComparedRows {
  readonly groups: ComparedGroups
  /** Position of each in the cohort. */
  readonly row: Int32Array
  /** 1 in the group asked about, 0 in the comparator. */
  readonly inGroup: Uint8Array
  /** Patients numbered from 0 without gaps. */
  readonly patient: Int32Array
  readonly patients: number
}

/** Takes the restorations of both groups; undefined where one of them is empty. */
export function comparedRows(cohort: Cohort, groups: ComparedGroups): ComparedRows | undefined {
  const row = rowsWhere(groups.side.length, (one) => groups.side[one]! >= 0)
  const inGroup = takenCodes(groups.side, row)
  if (!inGroup.includes(1) || !inGroup.includes(0)) return undefined
  const seen = new Map<number, number>()
  const patient = row.map((one) => {
    const code = seen.get(cohort.patient[one]!) ?? seen.size
    seen.set(cohort.patient[one]!, code)
    return code
  })
  return { groups, row, inGroup, patient, patients: seen.size }
}

/** What the outcome says to the imputation of missing values. */
export interface ImputationOutcome {
  readonly timeDays: Float64Array
  readonly eventObserved: Uint8Array
  readonly entryDays: Float64Array
}

/** Settings of the model of the choice. */
export interface ChoiceSettings {
  readonly keys: readonly string[]
  readonly seed: number
  readonly imputations: number
  /** Whether missing values are filled in a thread of their own, while the caller does other things; default no. */
  readonly ahead?: boolean
}

/** One thing that the model of the choice allows for, and in which form it enters. */
export interface ChoiceTerm {
  readonly key: string
  /** A level each; a restricted cubic spline; a straight line. */
  readonly form: 'levels' | 'spline' | 'line'
  readonly coefficients: number
}

/** The model of the choice, one design for each completed table. */
export interface AnyDesigns {
  readonly compared: ComparedRows
  /** Operator within clinic of each row; one label for all where operators are not allowed for. */
  readonly operator: readonly string[]
  /** Position of the operator of each row among all in the order of their labels. */
  readonly operatorCode: Int32Array
  /** Day of delivery in years. */
  readonly years: Float64Array
  /**
   * Columns, the constant first, those of the operators after the first last; one set for each completed table. Those that are
   * not kept are made as they are walked through, once.
   */
  readonly tables: Iterable<FilledCells>
  /** Columns without those of the operators. */
  readonly width: number
  /** What is allowed for, in order. */
  readonly adjustedFor: readonly string[]
  readonly leftOut: readonly LeftOut[]
  /** What is allowed for besides the operator, each with the columns that it has in the tables. */
  readonly entered: readonly (Confounder & { readonly from: number; readonly columns: number })[]
  /** Share of missing values of each, where some are missing. */
  readonly missing: readonly { readonly key: string; readonly share: number }[]
  /** Restorations with every value known. */
  readonly complete: Uint8Array
}

/** Designs that are kept, for several choices. */
export interface ChoiceDesigns extends AnyDesigns {
  readonly tables: readonly FilledCells[]
}

/** Scores of one set of rows in every completed table, kept or fitted anew each time that they are walked through. */
export interface AnyChoice {
  readonly designs: AnyDesigns
  /** Positions among the rows compared, ascending: those whose operator had both ways. */
  readonly kept: Int32Array
  /** Operators of these rows, ascending by their position among all. */
  readonly operators: Int32Array
  readonly scores: Iterable<OverlapScores>
}

/** Scores that are kept, for several estimates of the same rows. */
export interface Choice extends AnyChoice {
  readonly designs: ChoiceDesigns
  readonly scores: readonly OverlapScores[]
}

/**
 * Coefficients besides those of operators that the restorations bear: one for every five of the smaller group.
 * Operators enter before all else and are never left out; what comes last in the list is left out first.
 */
export const restorationsPerCoefficient = 5

/** Prepares what the groups are made alike in: reads, imputes, and makes columns. */
export function choiceDesigns(
  cohort: Cohort,
  compared: ComparedRows,
  outcome: ImputationOutcome,
  settings: ChoiceSettings,
): ChoiceDesigns {
  return keptDesigns(begunDesigns(cohort, compared, outcome, settings)())
}

/** Designs of which all tables are made and kept. */
export function keptDesigns(designs: AnyDesigns): ChoiceDesigns {
  return { ...designs, tables: [...designs.tables] }
}

/** The same, begun and not kept: with `ahead` missing values are filled in a thread of their own until the designs are asked for. */
export function begunDesigns(
  cohort: Cohort,
  compared: ComparedRows,
  outcome: ImputationOutcome,
  settings: ChoiceSettings,
): () => AnyDesigns {
  const { row, inGroup, groups } = compared
  const { usable, leftOut } = usableConfounders(cohort, row, settings.keys, groups.by)
  const byOperator = settings.keys.includes('operator') && groups.by !== 'operator_id'
  const operator = byOperator ? operatorLabels(cohort, row) : listOfRows(row, () => 'all')
  const members = inGroup.reduce((sum, one) => sum + one, 0)
  const most = Math.floor(Math.min(members, row.length - members) / restorationsPerCoefficient)
  const entered: (Confounder & { readonly from: number; readonly columns: number })[] = []
  const dropped: LeftOut[] = [...leftOut]
  let width = 1
  for (const one of usable) {
    const columns = columnCount(one)
    if (width - 1 + columns > most) dropped.push({ key: one.key, reason: 'too-few-restorations' })
    else {
      entered.push({ ...one, from: width, columns })
      width += columns
    }
  }
  const completed = completedTables(entered, compared, outcome, operator, settings)
  const names = new Map([...new Set(operator)].sort().map((name, at) => [name, at]))
  const operatorCode = Int32Array.from(operator, (name) => names.get(name)!)
  return () => ({
    compared,
    operator,
    operatorCode,
    years: deliveryYears(cohort, row),
    tables: designsOf(completed, operatorCode, width),
    width,
    adjustedFor: [...(byOperator ? ['operator'] : []), ...entered.map(({ key }) => key)],
    leftOut: dropped,
    entered,
    missing: entered
      .filter(({ missingShare }) => missingShare > 0)
      .map(({ key, missingShare }) => ({ key, share: missingShare })),
    complete: codesOfRows(row.length, (i) => (entered.every((column) => isKnown(column, i)) ? 1 : 0)),
  })
}

function isKnown(column: Confounder, i: number): boolean {
  return column.kind === 'number' ? !Number.isNaN(column.numbers[i]!) : column.texts[i] !== ''
}

/** Knots of the spline of the day of delivery; fewer where the days are too few. */
function dayKnots(numbers: Float64Array): readonly number[] | undefined {
  const known = numbers.filter((one) => !Number.isNaN(one))
  for (const count of [4, 3]) {
    try {
      return splineKnots(known, count)
    } catch {
      // Too few different days for so many knots; a straight line needs none.
    }
  }
  return undefined
}

function columnCount(one: Confounder): number {
  if (one.kind === 'category') return one.levels.length - 1
  return one.key === 'delivery_day' ? (dayKnots(one.numbers)?.length ?? 2) - 1 : 1
}

/** A confounder without gaps, as it enters a design. */
interface CompletedColumn {
  /** Levels of a category, whose one column holds the position of each row's level among all in order; 0 for a number. */
  readonly levels: number
  /** Of a number the columns of its spline, or itself, centred and scaled. */
  readonly columns: readonly Float64Array[]
}

function completedColumn({ key, kind, levels }: Confounder, numbers: Float64Array): CompletedColumn {
  if (kind === 'category') return { levels: levels.length, columns: [numbers] }
  const knots = key === 'delivery_day' ? dayKnots(numbers) : undefined
  const columns = knots === undefined ? [numbers] : restrictedCubicSpline(numbers, knots)
  return { levels: 0, columns: columns.map(standardised) }
}

/** The column of a confounder that has no gaps, the same in every completed table. */
function ownColumn(source: Confounder): CompletedColumn {
  return completedColumn(source, source.kind === 'number' ? source.numbers : codesOf(source))
}

/** The confounders with missing values filled, one table after the other; a single one where nothing is missing. */
function completedTables(
  entered: readonly Confounder[],
  { inGroup }: ComparedRows,
  outcome: ImputationOutcome,
  operator: readonly string[],
  { seed, imputations, ahead = false }: ChoiceSettings,
): Iterable<readonly CompletedColumn[]> {
  if (entered.every(({ missingShare }) => missingShare === 0)) {
    return [entered.map(ownColumn)]
  }
  const columns: Record<string, ImputationColumn> = { group: { kind: 'binary', values: inGroup } }
  const operators = levelsOf(operator)
  if (operators.length > 1 && operators.length * 20 <= inGroup.length) {
    columns.operator = { kind: 'categorical', values: operator }
  }
  for (const one of entered) {
    columns[one.key] =
      one.kind === 'number'
        ? { kind: 'numeric', values: one.numbers }
        : one.levels.length === 2
          ? { kind: 'binary', values: codesOf(one) }
          : { kind: 'categorical', values: one.texts }
  }
  const { timeDays, eventObserved, entryDays } = outcome
  const chains = (ahead ? chainsAhead : completedChains)(columns, {
    seed,
    imputations,
    iterations: 5,
    outcome: { timeDays, eventObserved, entryDays },
  })
  return tablesOf(entered, chains)
}

function* tablesOf(
  entered: readonly Confounder[],
  chains: Iterable<CompletedChain>,
): Generator<readonly CompletedColumn[]> {
  const withoutGaps = new Map(
    entered.filter((one) => one.missingShare === 0).map((one) => [one, ownColumn(one)]),
  )
  for (const { columns: filled } of chains) {
    yield entered.map(
      (one) => withoutGaps.get(one) ?? completedColumn(one, inOrder(one, filled.get(one.key)!)),
    )
  }
}

/** Values of a completed column; levels that are numbers go by their size in a chain, and by their text here. */
function inOrder({ levels: ordered }: Confounder, { values, levels }: WorkingColumn): Float64Array {
  if (levels.length === 0) return values
  const position = levels.map((level) => ordered.indexOf(level))
  return values.map((code) => position[code]!)
}

/** Position of the level of each row among all levels in order; NaN where unknown. */
function codesOf({ texts, levels }: Confounder): Float64Array {
  const codes = new Map(levels.map((level, code) => [level, code]))
  return numbersOfRows(texts.length, (i) => codes.get(texts[i]!) ?? Number.NaN)
}

function* designsOf(
  completed: Iterable<readonly CompletedColumn[]>,
  operatorCode: Int32Array,
  width: number,
): Generator<FilledCells> {
  for (const table of completed) yield designOf(table, operatorCode, width)
}

/** Columns of one completed table: the constant, then what is allowed for, then the operators. */
function designOf(table: readonly CompletedColumn[], operatorCode: Int32Array, width: number): FilledCells {
  const rows = operatorCode.length
  const columns: { readonly numbers: Float64Array; readonly at: number; readonly levels: number }[] = []
  let at = 1
  for (const { levels, columns: own } of table) {
    for (const numbers of own) {
      columns.push({ numbers, at, levels })
      at += levels === 0 ? 1 : levels - 1
    }
  }
  const filled = columns.map(({ numbers }) => filledCount(numbers))
  const cells = filled.reduce((sum, one) => sum + one, rows + filledCount(operatorCode))
  const first = new Int32Array(rows + 1)
  const operators = operatorCode.reduce((most, code) => Math.max(most, code), 0)
  const column = roomForColumns(width + operators, cells)
  const value = new Float64Array(cells)
  let count = 0
  for (let i = 0; i < rows; i++) {
    column[count] = 0
    value[count++] = 1
    for (const one of columns) {
      const number = one.numbers[i]!
      // Of a category the first level has no column.
      if (number === 0) continue
      column[count] = one.levels === 0 ? one.at : one.at + number - 1
      value[count++] = one.levels === 0 ? number : 1
    }
    const operator = operatorCode[i]!
    if (operator > 0) {
      column[count] = width + operator - 1
      value[count++] = 1
    }
    first[i + 1] = count
  }
  return { first, column, value }
}

function filledCount(numbers: Float64Array | Int32Array): number {
  let count = 0
  for (let i = 0; i < numbers.length; i++) if (numbers[i] !== 0) count++
  return count
}

function standardised(column: Float64Array): Float64Array {
  let mean = 0
  for (const one of column) mean += one / column.length
  let square = 0
  for (const one of column) square += (one - mean) ** 2 / column.length
  const spread = Math.sqrt(square) || 1
  return column.map((one) => (one - mean) / spread)
}

/** What the model of the choice holds, and in which form: operators that had both ways, then what else is allowed for. */
export function choiceTerms({ designs, kept }: Choice): readonly ChoiceTerm[] {
  const operators = new Set(listOfRows(kept, (i) => designs.operator[i]!)).size
  return [
    ...(designs.adjustedFor.includes('operator')
      ? [{ key: 'operator', form: 'levels', coefficients: operators - 1 } as const]
      : []),
    ...designs.entered.map(({ key, kind, columns }): ChoiceTerm => {
      if (kind === 'category') return { key, form: 'levels', coefficients: columns }
      return { key, form: columns > 1 ? 'spline' : 'line', coefficients: columns }
    }),
  ]
}

/** Fits the choice on all rows compared; undefined where no operator had both ways. */
export function fitChoice(designs: ChoiceDesigns): Choice | undefined {
  const choice = wholeChoice(designs)
  return choice && { ...choice, designs, scores: [...choice.scores] }
}

/** The choice on all rows compared, fitted as the scores are asked for. */
export function wholeChoice(designs: AnyDesigns): AnyChoice | undefined {
  return choiceAmong(designs, allRows(designs.compared.row.length))
}

/**
 * The choice among some of the rows compared, fitted table by table as the scores are asked for. Operators with one way
 * only among them get no weight: their scores would run to 0 or 1, so they are set aside before the fit, which is the
 * limit of it.
 *
 * @param rows positions among the rows compared
 * @param ownTrend whether each operator has a trend of delivery day of its own
 * @param near a choice among more rows, near whose coefficients those of these rows will lie: the fits start there
 * @returns undefined where no operator had both ways
 */
export function choiceAmong(
  designs: AnyDesigns,
  rows: Int32Array,
  ownTrend = false,
  near?: Choice,
): AnyChoice | undefined {
  const { compared, operatorCode, years } = designs
  const kept = withBothWays(rows, operatorCode, compared.inGroup)
  if (kept.length === 0) return undefined
  const operators = operatorsAmong(operatorCode, kept)
  const columns = {
    operators,
    trend: ownTrend ? standardised(takenRows(years, kept).map(finite)) : undefined,
  }
  return {
    designs,
    kept,
    operators,
    scores: { [Symbol.iterator]: () => fittedTables(designs, kept, columns, near) },
  }
}

interface OperatorColumns {
  /** Positions of the operators among all, ascending; the first has no column. */
  readonly operators: Int32Array
  readonly trend: Float64Array | undefined
}

function operatorsAmong(operatorCode: Int32Array, rows: Int32Array): Int32Array {
  const seen = new Uint8Array(operatorCode.reduce((most, code) => Math.max(most, code), 0) + 1)
  for (const i of rows) seen[operatorCode[i]!] = 1
  return allRows(seen.length).filter((code) => seen[code] === 1)
}

/** Scores of one completed table after the other, each fit starting where the one before ended. */
function* fittedTables(
  designs: AnyDesigns,
  kept: Int32Array,
  columns: OperatorColumns,
  near: Choice | undefined,
): Generator<OverlapScores> {
  const { compared, tables, width: own } = designs
  const inGroup = takenCodes(compared.inGroup, kept)
  const width = own + (columns.operators.length - 1) * (columns.trend === undefined ? 1 : 2)
  let before: FittedScores | undefined
  let nearBefore: Float64Array | undefined
  let at = 0
  for (const table of tables) {
    const cells = withOperators(table, kept, designs, columns)
    const nearNow = near && coefficientsFrom(near, at++, own, width, columns.operators)
    const start = startOf(before?.coefficients, nearBefore, nearNow)
    const fitted = fittedScores(inGroup, cells, width, {
      ...(start === undefined ? {} : { start }),
      ...(before === undefined ? {} : { factor: before.factor }),
    })
    before = fitted
    nearBefore = nearNow
    yield fitted
  }
}

/** Where the fit of a table starts: the last table's coefficients, moved as those of the near choice have moved between them. */
function startOf(
  before: Float64Array | undefined,
  nearBefore: Float64Array | undefined,
  nearNow: Float64Array | undefined,
): Float64Array | undefined {
  if (before === undefined || nearBefore === undefined || nearNow === undefined) return before ?? nearNow
  return before.map((one, j) => one + nearNow[j]! - nearBefore[j]!)
}

/** Coefficients of a choice at the columns of another; 0 for those that it has not. */
function coefficientsFrom(
  { operators, scores }: Choice,
  at: number,
  own: number,
  width: number,
  asked: Int32Array,
): Float64Array {
  const { coefficients } = scores[at]!
  const taken = new Float64Array(width)
  taken.set(coefficients.subarray(0, own))
  // The first operator has no column: what it takes goes to the constant.
  const ofOperator = (code: number): number => {
    const place = operators.indexOf(code)
    return place > 0 ? coefficients[own + place - 1]! : 0
  }
  const first = ofOperator(asked[0]!)
  taken[0]! += first
  for (let k = 1; k < asked.length; k++) taken[own + k - 1] = ofOperator(asked[k]!) - first
  return taken
}

/** The columns of some rows, those of the operators as they are among these, and of their trends behind them. */
function withOperators(
  table: FilledCells,
  kept: Int32Array,
  { operatorCode, width: own }: AnyDesigns,
  { operators, trend }: OperatorColumns,
): FilledCells {
  const isWhole = kept.length === operatorCode.length
  // All operators are there where all rows are.
  if (isWhole && trend === undefined) return table
  const position = new Int32Array(operators[operators.length - 1]! + 1)
  for (let k = 0; k < operators.length; k++) position[operators[k]!] = k
  const code = takenIntegers(position, takenIntegers(operatorCode, kept))
  const endOfOwn = (i: number): number => table.first[i + 1]! - (operatorCode[i]! > 0 ? 1 : 0)
  const first = new Int32Array(kept.length + 1)
  for (let k = 0; k < kept.length; k++) {
    const more = code[k] === 0 ? 0 : trend === undefined || trend[k] === 0 ? 1 : 2
    first[k + 1] = first[k]! + endOfOwn(kept[k]!) - table.first[kept[k]!]! + more
  }
  const column = roomForColumns(own + 2 * operators.length, first[kept.length]!)
  const value = new Float64Array(first[kept.length]!)
  for (let k = 0; k < kept.length; k++) {
    let to = first[k]!
    const end = endOfOwn(kept[k]!)
    for (let at = table.first[kept[k]!]!; at < end; at++, to++) {
      column[to] = table.column[at]!
      value[to] = table.value[at]!
    }
    const operator = code[k]!
    if (operator === 0) continue
    column[to] = own + operator - 1
    value[to++] = 1
    if (trend === undefined || trend[k] === 0) continue
    column[to] = own + operators.length - 2 + operator
    value[to] = trend[k]!
  }
  return { first, column, value }
}

function finite(one: number): number {
  return Number.isNaN(one) ? 0 : one
}

function withBothWays(rows: Int32Array, operatorCode: Int32Array, inGroup: Uint8Array): Int32Array {
  const ways = new Uint8Array(operatorCode.reduce((most, code) => Math.max(most, code), 0) + 1)
  for (const i of rows) ways[operatorCode[i]!]! |= inGroup[i] === 1 ? 2 : 1
  return rows.filter((i) => ways[operatorCode[i]!] === 3)
}
