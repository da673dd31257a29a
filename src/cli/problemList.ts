import type { RecordProblem, Severity } from '../records/dataset.js'
import { csvText } from '../records/identities/csvText.js'
import { rowsInWords } from '../records/problems.js'

const headings: Readonly<Record<Severity, string>> = {
  stop: 'Stops the run',
  'set-aside': 'Sets rows aside (left out, counted, listed in the report)',
  warn: 'Warns (kept, and shown in the report)',
  note: 'Notes',
}

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
  const { file, column } = problem.place
  const rows = rowsInWords(problem)
  const place = [file, column === undefined ? undefined : `column ${column}`].filter(
    (part) => part !== undefined,
  )
  const where = place.length === 0 ? '' : `${place.join(', ')}: `
  const times = problem.count > 1 ? ` (${problem.count} times)` : ''
  return [
    `  [${problem.code}] ${where}${problem.problem}${times}`,
    ...(rows === '' ? [] : [`    ${rows}`]),
    `    expected: ${problem.expected}`,
    `    mend: ${problem.mend}`,
  ].join('\n')
}

/** Problems as CSV, one row for each row of the data that has one. */
export function problemCsv(problems: readonly RecordProblem[]): string {
  return csvText(
    ['severity', 'code', 'file', 'column', 'row', 'count', 'problem', 'expected', 'mend'],
    problems.flatMap((one) =>
      (one.rows.length === 0 ? [undefined] : one.rows).map((row) => [
        one.severity,
        one.code,
        one.place.file ?? '',
        one.place.column ?? '',
        row === undefined ? '' : String(row),
        String(one.count),
        one.problem,
        one.expected,
        one.mend,
      ]),
    ),
  )
}
