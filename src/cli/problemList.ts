import type { RecordProblem, Severity } from '../records/dataset.js'

const headings: Readonly<Record<Severity, string>> = {
  stop: 'Stops the run',
  'set-aside': 'Sets rows aside (left out, counted, listed in the report)',
  warn: 'Warns (kept, and shown in the report)',
  note: 'Notes',
}

const rowsShown = 10

/** Problems as a readable list, worst first, each with its place, what was expected and the mend. */
export function problemList(problems: readonly RecordProblem[]): string {
  if (problems.length === 0) return 'Nothing wrong was found.\n'
  const blocks = (Object.keys(headings) as Severity[]).flatMap((severity) => {
    const found = problems.filter((one) => one.severity === severity)
    return found.length === 0
      ? []
      : [`${headings[severity]}: ${found.length}`, ...found.map(problemLines), '']
  })
  return `${blocks.join('\n')}`
}

function problemLines(problem: RecordProblem): string {
  const { file, row, column } = problem.place
  const places = [
    file,
    row === undefined ? undefined : `row ${row}`,
    column === undefined ? undefined : `column ${column}`,
  ]
  const place = places.filter((part) => part !== undefined).join(', ')
  const rows =
    problem.rows.length < 2 && row !== undefined
      ? ''
      : problem.rows.length === 0
        ? ''
        : `\n    rows ${problem.rows.slice(0, rowsShown).join(', ')}${problem.count > rowsShown ? ` and ${problem.count - rowsShown} more` : ''}`
  const times = problem.count > 1 ? ` (${problem.count} times)` : ''
  return `  [${problem.code}] ${place}${place === '' ? '' : ': '}${problem.problem}${times}${rows}\n    expected: ${problem.expected}\n    mend: ${problem.mend}`
}
