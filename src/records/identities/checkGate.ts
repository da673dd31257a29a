import type { Field } from '../../vocabulary/fields.js'
import { saysUnknown } from '../../vocabulary/unknown.js'
import { ProblemList } from '../problems.js'
import { countsOf, type TextColumn, type TextTable } from '../read/textTable.js'
import { signsOfColumn } from './columnSigns.js'
import { identifierOfHeader } from './identifierHeaders.js'
import { hasShapeOfName, identifierOfValue, type ValueFinding } from './identifierValues.js'

/**
 * The gate: stops where a header or a value certainly identifies a person, and warns where it may. Values are never
 * printed; a header is named by its position where it is not a field, since it may itself be a name.
 *
 * @param fieldOfColumn field of a column, undefined where it belongs to none; left out for a sheet that is not read as
 *   records, in which only certain identifiers count
 */
export function checkGate(
  text: TextTable,
  fieldOfColumn: ((column: TextColumn) => Field | undefined) | undefined,
  problems: ProblemList,
): void {
  const found = fieldOfColumn === undefined ? new ProblemList() : problems
  for (const column of text.columns) {
    const field = fieldOfColumn?.(column)
    if (!holdsValues(column)) continue
    if (field === undefined && checkHeader(text, column, found)) continue
    checkValues(text, column, field, found)
  }
  checkOutside(text, found)
  if (fieldOfColumn === undefined) addDefinite(found, problems)
}

function addDefinite(found: ProblemList, problems: ProblemList): void {
  for (const { severity, code, place, problem, expected, mend, count } of found.all()) {
    if (severity !== 'stop') continue
    const { file, column } = place
    const kind = { severity, code, problem, expected, mend, ...(file && { file }), ...(column && { column }) }
    problems.add(kind, undefined, count)
  }
}

/** Titles above the table are not read as records, but they travel with the file. */
function checkOutside(text: TextTable, problems: ProblemList): void {
  const found = text.outside.map((value) => identifierOfValue(value)).filter((one) => one !== undefined)
  if (found.length === 0) return
  problems.add({
    severity: 'warn',
    code: 'possible-identifier-above-table',
    parameters: { kind: found[0]!.kind },
    file: text.file,
    problem: `what stands above the header may hold ${found[0]!.kind}.`,
    expected: 'a table that begins with its header.',
    mend: 'delete the rows above the header, in a copy.',
  })
}

function holdsValues(column: TextColumn): boolean {
  return column.values.some((value) => !saysUnknown(value))
}

/** Whether the header announces an identifier for certain. */
function checkHeader(text: TextTable, column: TextColumn, problems: ProblemList): boolean {
  const found = identifierOfHeader(column.header)
  if (found === undefined) {
    if (hasShapeOfName(column.header)) {
      add(text, column, undefined, { kind: 'a name (in the header itself)', verdict: 'possible' }, problems)
    }
    return false
  }
  const definite = found.verdict === 'definite'
  problems.add({
    severity: definite ? 'stop' : 'warn',
    code: definite ? 'identifier-column' : 'possible-identifier-column',
    parameters: { kind: found.kind },
    file: text.file,
    column: column.header,
    problem: `the header ${definite ? 'announces' : 'may announce'} ${found.kind}, and the column holds values.`,
    expected: 'pseudonyms, and no column that says who the patient is.',
    mend: 'delete the column, in a copy.',
  })
  return definite
}

function checkValues(
  text: TextTable,
  column: TextColumn,
  field: Field | undefined,
  problems: ProblemList,
): void {
  const counts = countsOf(column)
  const signs = signsOfColumn(column, field, counts)
  const named = signs.some((sign) => sign.verdict === 'definite')
  const findings = column.values.map((value, code) => {
    if (counts[code] === 0 || saysUnknown(value)) return undefined
    const finding = findingOf(value, field)
    // What all values of the column say for certain need not be suspected of each again.
    return named && finding?.verdict === 'possible' ? undefined : finding
  })
  const kinds = new Map<string, ValueFinding>()
  for (const finding of findings) {
    if (finding !== undefined) kinds.set(`${finding.verdict} ${finding.kind}`, finding)
  }
  for (const finding of kinds.values()) {
    const isHit = findings.map((one) => one?.kind === finding.kind && one.verdict === finding.verdict)
    for (let row = 0; row < text.rowCount; row++) {
      if (isHit[column.codes[row]!]) add(text, column, field, finding, problems, text.sourceRow[row]!)
    }
  }
  const hasNames = [...kinds.values()].some((one) => one.kind === 'a name' && one.verdict === 'definite')
  for (const sign of signs) {
    if (!hasNames || !sign.kind.includes('names')) add(text, column, field, sign, problems)
  }
  checkLength(text, column, field, counts, problems)
  if (field?.kind === 'key') checkNumbers(text, column, field, counts, problems)
}

function findingOf(value: string, field: Field | undefined): ValueFinding | undefined {
  if (
    field !== undefined &&
    field.kind !== 'key' &&
    field.kind !== 'text' &&
    /^[\d.,:+\-/ T]+$/.test(value)
  ) {
    return undefined
  }
  const found = identifierOfValue(value)
  const isKey = field?.kind === 'key'
  if (found !== undefined) return isKey && found.kind === 'a name' ? { ...found, verdict: 'definite' } : found
  return isKey && hasShapeOfName(value) ? { kind: 'a name', verdict: 'definite' } : undefined
}

/** Long texts may say more about a person than any pattern finds. */
function checkLength(
  text: TextTable,
  column: TextColumn,
  field: Field | undefined,
  counts: Int32Array,
  problems: ProblemList,
): void {
  const isLong = column.values.map((value, code) => counts[code]! > 0 && value.length > 40)
  for (let row = 0; row < text.rowCount; row++) {
    if (!isLong[column.codes[row]!]) continue
    problems.add(
      {
        severity: 'warn',
        code: 'long-text',
        file: text.file,
        column: placeOf(column, field),
        problem: 'the column holds text that is longer than 40 characters, which may tell who a person is.',
        expected: 'codes and short words.',
        mend: 'read it before the file is handed on; the shareable form leaves it out.',
      },
      text.sourceRow[row]!,
    )
  }
}

/** Plain numbers may be the chart numbers of the practice. */
function checkNumbers(
  text: TextTable,
  column: TextColumn,
  field: Field,
  counts: Int32Array,
  problems: ProblemList,
): void {
  if (field.name !== 'patient_id' && field.name !== 'implant_id') return
  if (!column.values.some((value, code) => counts[code]! > 0 && /^\d{4,}$/.test(value))) return
  problems.add({
    severity: 'warn',
    code: 'number-like-pseudonym',
    file: text.file,
    column: placeOf(column, field),
    problem: 'the pseudonyms are plain numbers and may be the chart numbers of the practice.',
    expected: 'codes made for this purpose.',
    mend: 'nothing inside the practice; the shareable form replaces them (holdfast deidentify).',
  })
}

function add(
  text: TextTable,
  column: TextColumn,
  field: Field | undefined,
  finding: ValueFinding,
  problems: ProblemList,
  row?: number,
): void {
  const definite = finding.verdict === 'definite'
  problems.add(
    {
      severity: definite ? 'stop' : 'warn',
      code: definite ? 'identifier-value' : 'possible-identifier-value',
      parameters: { kind: finding.kind },
      file: text.file,
      column: placeOf(column, field),
      problem: `the column ${definite ? 'holds' : 'may hold'} ${finding.kind}.`,
      expected: 'nothing that says who a person is.',
      mend: 'remove it or put a pseudonym in its place, in a copy.',
    },
    row,
  )
}

/** A column that is no field goes by its position: its header may be anything. */
function placeOf(column: TextColumn, field: Field | undefined): string {
  return field === undefined ? `${column.position}` : column.header
}
