import { randomStream } from '../../core/random.js'
import { type ChainTrace, emptyMemory, runChain } from './chain.js'
import { cumulativeHazardOfRows, type ImputationOutcome } from './outcomePredictors.js'
import { predictorTable, type WorkingColumn, workingColumn } from './predictors.js'

/** Columns that are read and checked, and how they are to be completed. */
export interface PreparedChains {
  readonly columns: readonly WorkingColumn[]
  readonly rows: number
  readonly seed: number
  readonly imputations: number
  readonly iterations: number
  readonly donors: number
  readonly outcome: ImputationOutcome | undefined
}

/** One chain that has run: every column without gaps, by name. */
export interface CompletedChain {
  readonly columns: ReadonlyMap<string, WorkingColumn>
  readonly traces: readonly ChainTrace[]
}

/**
 * Runs the chains one after the other: each starts its fits where the one before ended.
 *
 * @param onRound told of every round that a column has gone through
 */
export function* runChains(
  { columns, rows, seed, imputations, iterations, donors, outcome }: PreparedChains,
  onRound?: () => void,
): Generator<CompletedChain> {
  // Each chain begins by writing all cells that the one before has written.
  const table = predictorTable(columns, rows, outcomeColumns(outcome))
  const memory = emptyMemory()
  for (let imputation = 0; imputation < imputations; imputation++) {
    const working = columns.map(ownValues)
    const random = randomStream(seed, imputation)
    const traces = runChain(working, table, iterations, donors, random, memory, onRound)
    yield { columns: new Map(working.map((column) => [column.name, column])), traces }
  }
}

/** A column with values of its own, which a chain may fill; one without gaps as it is. */
export function ownValues(column: WorkingColumn): WorkingColumn {
  return column.missing.length === 0 ? column : { ...column, values: column.values.slice() }
}

/** The event and the standardised cumulative hazard, as columns without gaps. */
function outcomeColumns(outcome: ImputationOutcome | undefined): readonly WorkingColumn[] {
  if (outcome === undefined) return []
  const event = workingColumn('', { kind: 'binary', values: outcome.eventObserved }, 1)
  const hazard = workingColumn('', { kind: 'numeric', values: cumulativeHazardOfRows(outcome) }, 2)
  return [{ ...event, centre: 0, scale: 1 }, hazard]
}
