import { basename } from 'node:path'
import { UsageError } from '../core/errors.js'
import type { AgreedProtocol, Protocol } from '../pooling/protocol/protocol.js'
import {
  badCounts,
  type Counted,
  type CountRow,
  countedOf,
  countedParts,
  rowScoreTables,
  squaresSize,
} from '../pooling/site/countedParts.js'
import {
  countColumns,
  countsQuery,
  rowColumns,
  rowsQuery,
  scoreValues,
  squareColumn,
  squaresQuery,
} from '../pooling/site/countedSql.js'
import { numbersOfParts } from '../pooling/site/numbers.js'
import { openEngine } from './engine.js'
import { readNamed } from './namedFiles.js'
import { announce } from './progress.js'
import { type NumberSource, readyStep, type SiteOptions } from './siteSteps.js'

/** Name of the table of rows at risk in the printed queries. */
const relation = 'rows_at_risk'

/** Prints the first query; with the answer of the first, the second. */
export async function printSql(
  agreed: AgreedProtocol,
  options: { readonly counts?: readonly string[] },
): Promise<void> {
  const { protocol } = agreed
  requireOneEndpoint(protocol)
  const columns = Object.values(rowColumns)
  const rows = rowsQuery(protocol, { relation, columns, name: 'registry' })
  if (options.counts === undefined) {
    process.stdout.write(
      `-- First query. Small counts are in its answer, which stays where the rows are. Write it to a CSV file with its header.\n${countsQuery(rows)};\n`,
    )
    return
  }
  const { counted } = await readCounts(options.counts, protocol)
  const scores = scoreValues(rowScoreTables(counted, protocol), squaresSize(protocol))
  process.stdout.write(
    `-- Second query, for these counts only. Write its one row to a CSV file with its header.\n${squaresQuery(rows, scores, squaresSize(protocol))};\n`,
  )
}

/** Makes a ready note of the answers of both queries. */
export async function readyFromCounts(
  files: readonly string[],
  agreed: AgreedProtocol,
  options: SiteOptions,
): Promise<void> {
  const { protocol } = agreed
  requireOneEndpoint(protocol)
  const { counted, squares } = await readCounts(files, protocol)
  if (squares === undefined) throw badCounts('the answer of the second query is not among the files')
  await readyStep(agreed, options, sourceOf(counted, squares, protocol))
}

/** Makes a ready note of a file of rows at risk, counted inside the embedded engine. */
export async function readyFromFile(
  file: string,
  agreed: AgreedProtocol,
  options: SiteOptions,
): Promise<void> {
  const { protocol } = agreed
  requireOneEndpoint(protocol)
  announce('counting')
  const engine = await openEngine(file, protocol)
  try {
    const counted = countedOf(
      (await engine.ask(countsQuery('SELECT * FROM rows_asked_for'))) as readonly CountRow[],
      protocol,
    )
    const size = squaresSize(protocol)
    await engine.giveScores(rowScoreTables(counted, protocol), size)
    const [squares] = await engine.ask(
      squaresQuery('SELECT * FROM rows_asked_for', 'SELECT * FROM given_scores', size),
    )
    await readyStep(agreed, options, sourceOf(counted, squares ?? {}, protocol))
  } finally {
    await engine.close()
  }
}

/** Numbers from counts; the ledger knows the cut-off days only, since no row has a name here. */
function sourceOf(
  counted: Counted,
  squares: Readonly<Record<string, unknown>>,
  protocol: Protocol,
): NumberSource {
  const endpoint = protocol.endpoints[0]!
  return {
    known: () => 0,
    numbers: () => ({
      ...numbersOfParts({ [endpoint]: countedParts(counted, squares, protocol) }, protocol),
      notes: {},
      modelRows: {},
      generated: false,
    }),
  }
}

async function readCounts(
  files: readonly string[],
  protocol: Protocol,
): Promise<{ readonly counted: Counted; readonly squares: Readonly<Record<string, string>> | undefined }> {
  const { parse } = await import('csv-parse/sync')
  let counts: readonly CountRow[] | undefined
  let squares: Readonly<Record<string, string>> | undefined
  for (const file of files) {
    const text = await readNamed(file, 'the file of counts')
    const rows = parse(text, { columns: true, bom: true, skip_empty_lines: true }) as Record<string, string>[]
    const names = Object.keys(rows[0] ?? {})
    if (countColumns.every((name) => names.includes(name))) counts = rows as unknown as readonly CountRow[]
    else if (names.includes(squareColumn(0)) && rows.length === 1) squares = rows[0]
    else throw badCounts(`${basename(file)} is the answer of neither query`)
  }
  if (counts === undefined) throw badCounts('the answer of the first query is not among the files')
  return { counted: countedOf(counts, protocol), squares }
}

function requireOneEndpoint({ endpoints, covariates }: Protocol): void {
  if (endpoints.length === 1 && covariates.length === 0) return
  throw new UsageError({
    code: 'counts-one-endpoint',
    problem:
      'the protocol has several endpoints or covariates, and a table of rows at risk has one endpoint and none.',
    expected: 'a protocol of one endpoint without covariates.',
    mend: 'share from the records instead.',
  })
}
