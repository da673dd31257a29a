import { RecordError } from '../../core/errors.js'
import { nodesOf } from '../protocol/layout.js'
import { type Protocol, yearEnds } from '../protocol/protocol.js'
import { type countColumns, type ScoreRow, scoredColumn, squareColumn } from './countedSql.js'
import type { EndpointParts, PatientParts } from './parts.js'
import { type DayCounts, positionAfter, riskDays, rowScore, scoreAt } from './twoGroupScores.js'

/** A row of the answer of the first query. */
export type CountRow = Readonly<Record<(typeof countColumns)[number], string | number | null>>

/** Grouped numbers of the first query. */
export interface Counted {
  readonly clinics: readonly { readonly name: string; readonly counts: DayCounts }[]
  readonly patients: Omit<PatientParts, 'nodeSquares' | 'logRankSquare'>
}

/**
 * Puts the answer of the first query together.
 *
 * @throws RecordError `bad-counts` where a row is none of its parts, or a number is missing
 */
export function countedOf(rows: readonly CountRow[], protocol: Protocol): Counted {
  const clinics = new Map<
    string,
    { exits: DayCounts['exits'][number][]; entries: DayCounts['entries'][number][] }
  >()
  const presence: { side: number; left: number; entered: number; event: boolean; number: number }[] = []
  const rateSquares = new Float64Array(9)
  let all: readonly [number, number] = [0, 0]
  for (const row of rows) {
    const read = (column: (typeof countColumns)[number]): number => numberOf(row, column)
    const clinic = String(row.clinic ?? '')
    if (row.part === 'exit' || row.part === 'entry') {
      const own = clinics.get(clinic) ?? { exits: [], entries: [] }
      clinics.set(clinic, own)
      const move = { group: read('side'), day: read('day'), count: read('number') }
      if (row.part === 'exit') own.exits.push({ ...move, status: read('status') })
      else own.entries.push(move)
    } else if (row.part === 'presence')
      presence.push({
        side: read('side'),
        left: read('day'),
        entered: read('entry_day'),
        event: read('status') === 1,
        number: read('number'),
      })
    else if (row.part === 'squares')
      rateSquares.set([read('number'), read('second'), read('third')], 3 * read('side'))
    else if (row.part === 'patients') all = row.second === null ? [0, 0] : [read('number'), read('second')]
    else throw badCounts('a row is none of the parts of the first query')
  }
  const count = (wanted: (one: (typeof presence)[number]) => boolean): number =>
    presence.reduce((sum, one) => sum + (wanted(one) ? one.number : 0), 0)
  const present = (ends: readonly number[]): Float64Array =>
    Float64Array.from({ length: 2 * ends.length }, (_one, i) => {
      const [side, j] = [Math.floor(i / ends.length), i % ends.length]
      const from = j === 0 ? -1 : ends[j - 1]!
      return count((one) => one.side === side && one.left > from && one.entered < ends[j]!)
    })
  return {
    clinics: [...clinics]
      .sort(([left], [right]) => (left < right ? -1 : 1))
      .map(([name, counts]) => ({ name, counts })),
    patients: {
      patients: [count(({ side }) => side === 0), count(({ side }) => side === 1)],
      patientsWithEvent: [
        count(({ side, event }) => event && side === 0),
        count(({ side, event }) => event && side === 1),
      ],
      patientsAll: all[0],
      patientsWithEventAll: all[1],
      gridPatients: present(protocol.gridDays),
      yearPatients: present(yearEnds(protocol)),
      rateSquares,
    },
  }
}

/** Scores that go with each clinic, group, way of leaving and day, at the nodes and, last, for the log-rank test. */
export function rowScoreTables({ clinics }: Counted, protocol: Protocol): readonly ScoreRow[] {
  return clinics.flatMap(({ name, counts }) => {
    const risk = riskDays(counts)
    const at = [...nodesOf(protocol).map((node) => scoreAt(risk, node)), scoreAt(risk, 0, 'breslow')]
    const after = (day: number): number => positionAfter(risk.day, day, true)
    const exits = counts.exits.map(({ group, status, day }) => ({
      clinic: name,
      side: group,
      status,
      day,
      scores: at.map((one) => rowScore(one, group, status === 1, 0, after(day))),
    }))
    const entries = counts.entries
      .filter(({ day }) => after(day) > 0)
      .map(({ group, day }) => ({
        clinic: name,
        side: group,
        status: -1,
        day,
        scores: at.map((one) => one.lost[group as 0 | 1][after(day)]!),
      }))
    return [...exits, ...entries]
  })
}

/** How many squares the second query sums. */
export function squaresSize(protocol: Protocol): number {
  return protocol.nodes.count + 1
}

/** Everything that the sums of the endpoint follow from, with the squares of the second query. */
export function countedParts(
  { clinics, patients }: Counted,
  squares: Readonly<Record<string, unknown>>,
  protocol: Protocol,
): EndpointParts {
  const size = squaresSize(protocol)
  const values = Array.from({ length: size }, (_one, j) => {
    const value = Number(squares[squareColumn(j)] ?? Number.NaN)
    if (!Number.isFinite(value)) throw badCounts('a square of the second query is missing')
    return value
  })
  const restorations = (group: number): number =>
    clinics.reduce(
      (sum, { counts }) =>
        sum + counts.exits.reduce((all, one) => all + (one.group === group ? one.count : 0), 0),
      0,
    )
  const measured = [restorations(0), restorations(1)] as const
  if (Number(squares[scoredColumn] ?? Number.NaN) !== measured[0] + measured[1])
    throw badCounts('the two queries did not count the same restorations')
  return {
    clinics: clinics.map(({ counts }) => counts),
    measured,
    patients: {
      ...patients,
      nodeSquares: Float64Array.from(values.slice(0, -1)),
      logRankSquare: values.at(-1)!,
    },
  }
}

function numberOf(row: CountRow, column: (typeof countColumns)[number]): number {
  const value = row[column]
  const number = value === null || value === '' || value === undefined ? Number.NaN : Number(value)
  if (!Number.isFinite(number)) throw badCounts(`a number of the column ${column} is missing`)
  return number
}

/** The refusal of answers that are not those of the queries. */
export function badCounts(what: string): RecordError {
  return new RecordError({
    code: 'bad-counts',
    problem: `the counts cannot be used: ${what}.`,
    expected:
      'the answers of the two queries that holdfast share --print-sql prints, as CSV files with their headers.',
    mend: 'run the queries again as they were printed, and write their answers as they are.',
  })
}
