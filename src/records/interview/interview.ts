import { RecordError } from '../../core/errors.js'
import type { Door } from '../identities/door.js'
import { hasShapeOfName, identifierOfValue } from '../identities/identifierValues.js'
import { ProblemList, RecordsRefused } from '../problems.js'
import type { HeaderSettings } from '../read/headerRow.js'
import { locateSource } from '../read/locate.js'
import { readTables, type SourceTable } from '../read/readTables.js'
import { stacked } from '../understand/arrange.js'
import type { ColumnMap, MappedSheet } from '../understand/columnMap.js'
import { isKnownHeader } from '../understand/headerSynonyms.js'
import type { Answers, SheetAnswers } from './answers.js'
import { askColumns, headersOf } from './columns.js'
import { type Question, QuestionList } from './questions.js'
import { shown } from './talk.js'

/** Where an interview stands: what is still open, and the map as far as it goes with what is proposed. */
export interface InterviewState {
  readonly open: readonly Question[]
  /** Map by the answers given, and by proposals where a question is open. */
  readonly map: ColumnMap
  /** Columns that their headers explain, and what is not used, in words. */
  readonly told: readonly string[]
}

/**
 * Goes through the questions about a file with the answers given so far. Reads the file, changes nothing; the same
 * answers always leave the same questions.
 *
 * @param path folder, text file or workbook
 * @param door where names and chart numbers go under pseudonyms
 * @throws RecordsRefused where a file cannot be read at all
 */
export async function interview(path: string, answers: Answers, door?: Door): Promise<InterviewState> {
  const questions = new QuestionList(answers)
  const found = await sheetsOf(path, answers, door)
  checkNames(found, answers)
  const used = found.filter((one) => askSheet(one, found, questions))
  if (used.length === 0) return { open: questions.open, map: emptyMap, told: ['no sheet is read as records'] }
  const groups = groupedByForm(used)
  const told: string[] = []
  const ignored = found.filter((one) => !used.includes(one)).map((one) => one.text.file)
  const sheets = groups.map((group): MappedSheet => {
    const places = placesOf(
      group.map((one) => one.key),
      groups.length,
    )
    const text = stacked(group.map((one) => one.text))
    const asked = askColumns(text, sheetNamed(group), places, questions)
    told.push(...asked.told)
    const also = group.slice(1).map((one) => one.text.file)
    return {
      ...asked.map,
      file: group[0]!.text.file,
      ...(also.length === 0 ? {} : { alsoIn: also }),
      ...(ignored.length === 0 ? {} : { ignored }),
      ...settingsOf(answers, group[0]!.key),
    }
  })
  return { open: questions.open, map: { holdfastColumnMap: 1, confirmed: false, sheets }, told }
}

/** An answer about a sheet or column that is not there would be lost in silence. */
function checkNames(found: readonly NamedSheet[], answers: Answers): void {
  for (const [name, said] of Object.entries(answers.sheets)) {
    const meant = name === '*' ? found : found.filter((one) => one.key === name || one.names.includes(name))
    if (meant.length === 0)
      throw notThere(
        `a sheet ${name}`,
        found.map((one) => one.key),
      )
    const headers = new Set(meant.flatMap((one) => headersOf(one.text)))
    for (const header of Object.keys(said.columns ?? {})) {
      if (!headers.has(header)) throw notThere(`a column ${header}`, [...headers])
    }
    for (const header of [said.patient, said.delivery, said.lastCheck, said.loosening, said.tightenings]) {
      if (typeof header === 'string' && !headers.has(header))
        throw notThere(`a column ${header}`, [...headers])
    }
  }
}

function notThere(what: string, there: readonly string[]): RecordError {
  return new RecordError({
    code: 'bad-answers',
    problem: `the answers speak of ${shown(what)}, which is not there.`,
    expected: `one of ${there.map(shown).join(', ')}.`,
    mend: 'write the name as it stands in the file, or take the answer out.',
  })
}

const emptyMap: ColumnMap = { holdfastColumnMap: 1, confirmed: false, sheets: [] }

/** A sheet of the source with the name by which answers know it. */
interface NamedSheet extends SourceTable {
  /** Name of the sheet where it is safe to print, else its number; `*` where there is one sheet alone. */
  readonly key: string
  readonly names: readonly string[]
}

/** The source as it was read last: most answers do not change how it is read. */
let lastRead: { readonly key: string; readonly sheets: readonly NamedSheet[] } | undefined

/** Reads the source as the answers about its sheets have it: header rows, merged cells, hidden rows. */
async function sheetsOf(
  path: string,
  answers: Answers,
  door: Door | undefined,
): Promise<readonly NamedSheet[]> {
  const key = JSON.stringify([
    path,
    Object.entries(answers.sheets).map(([name]) => [name, settingsOf(answers, name)]),
  ])
  if (lastRead?.key === key) return lastRead.sheets
  const names = await namesOfSheets(path)
  const problems = new ProblemList()
  const source = await locateSource(path, problems)
  const headerOf = (place: string): HeaderSettings => ({
    isHeader: isKnownHeader,
    use: true,
    mergedCells: 'first',
    hiddenRows: 'read',
    ...settingsOf(answers, ...(names.get(place) ?? [])),
  })
  const asFound = await readTables(source, problems, { headerOf })
  const read = door?.through(asFound, undefined) ?? asFound
  if (read.tables.length === 0) throw new RecordsRefused(problems.all())
  const sheets = read.tables.map((table, index): NamedSheet => {
    const own = names.get(table.text.file) ?? [table.text.file]
    const called = read.tables.length === 1 ? '*' : (own.find(isSafe) ?? String(index + 1))
    return { ...table, key: called, names: own }
  })
  lastRead = { key, sheets }
  return sheets
}

/** Names of the sheets of a workbook by their places, and their numbers; read once without any settings. */
async function namesOfSheets(path: string): Promise<ReadonlyMap<string, readonly string[]>> {
  const problems = new ProblemList()
  const source = await locateSource(path, problems)
  const { tables } = await readTables(source, problems, {
    headerOf: () => ({ isHeader: isKnownHeader, use: true }),
  })
  return new Map(
    tables.map((table, index) => [
      table.text.file,
      [table.facts?.name ?? table.text.file, String(index + 1)],
    ]),
  )
}

function isSafe(name: string): boolean {
  return name.length <= 60 && identifierOfValue(name) === undefined && !hasShapeOfName(name)
}

/** What the answers say of how a sheet is read. */
function settingsOf(answers: Answers, ...names: readonly string[]) {
  const said: readonly (SheetAnswers | undefined)[] = [
    answers.sheets['*'],
    ...names.map((name) => answers.sheets[name]),
  ]
  const { headerRow, headerRows, mergedCells, hiddenRows } = Object.assign({}, ...said) as SheetAnswers
  return {
    ...(headerRow === undefined ? {} : { headerRow }),
    ...(headerRows === undefined ? {} : { headerRows }),
    ...(mergedCells === undefined ? {} : { mergedCells }),
    ...(hiddenRows === undefined ? {} : { hiddenRows }),
  }
}

/** Places of answers about a sheet, those of the question itself first: its own, and those of every sheet. */
function placesOf(keys: readonly string[], groups: number): readonly (readonly string[])[] {
  const own = keys.map((key) => ['sheets', key])
  const all = ['sheets', '*']
  return groups === 1 ? [all, ...own] : [...own, all]
}

/** Asks whether a sheet holds records and how it is laid out; true where it does. */
function askSheet(sheet: NamedSheet, all: readonly NamedSheet[], questions: QuestionList): boolean {
  const places = (key: string): readonly (readonly string[])[] =>
    [sheet.key, ...sheet.names, '*'].map((name) => ['sheets', name, key])
  const known = sheet.text.columns.filter((column) => isKnownHeader(column.header)).length
  const called = `Sheet ${sheet.key === '*' ? '' : sheet.key}`.trim()
  // A table that goes by the name of one of the three holds records, and there is nothing to ask.
  if (all.length > 1 && sheet.sheet === undefined) {
    const rows = `${sheet.text.rowCount} rows, ${known} of ${sheet.text.columns.length} headers are known`
    const use = questions.ask(places('use'), {
      ask: `${called}: does it hold records?`,
      because: [rows, ...(sheet.facts?.hidden === true ? ['the sheet is hidden'] : [])],
      choices: [
        { answer: 'records', means: 'yes; sheets of one form are put below each other' },
        { answer: 'ignore', means: 'no: a key, a legend, notes' },
      ],
      proposed: known >= 2 && sheet.facts?.hidden !== true ? 'records' : 'ignore',
    })
    if (use !== 'records') return false
  }
  if (known < 2 && questions.given(places('headerRow')) === undefined) {
    questions.ask(places('headerRow'), {
      ask: `${called}: in which row do the headers stand?`,
      because: ['few headers are known; rows are counted as in the file, from 1'],
      proposed: (sheet.text.sourceRow[0] ?? 2) - 1,
    })
  }
  const firstRow = sheet.text.sourceRow[0] ?? 0
  const merged = sheet.facts?.mergedRows.filter((row) => row > firstRow) ?? []
  if (merged.length > 0) {
    questions.ask(places('mergedCells'), {
      ask: `${called}: cells are merged over several rows. Does their value hold for every row that they cover?`,
      because: [`rows ${listed(merged)}`],
      choices: [
        { answer: 'fill', means: 'yes, for every row' },
        { answer: 'first', means: 'no, for the first row alone' },
      ],
      proposed: 'fill',
    })
  }
  const hidden = sheet.facts?.hiddenRows ?? []
  if (hidden.length > 0) {
    questions.ask(places('hiddenRows'), {
      ask: `${called}: rows are hidden. Do they belong to the records?`,
      because: [`rows ${listed(hidden)}`],
      choices: [
        { answer: 'read', means: 'yes, read them' },
        { answer: 'leave-out', means: 'no, leave them out' },
      ],
      proposed: 'read',
    })
  }
  return true
}

/** The table that one of the sheets of a group has its name of. */
function sheetNamed(group: readonly NamedSheet[]): NamedSheet['sheet'] {
  return group.find((one) => one.sheet !== undefined)?.sheet
}

function listed(rows: readonly number[]): string {
  const more = rows.length > 10 ? ` and ${rows.length - 10} more` : ''
  return `${rows.slice(0, 10).join(', ')}${more}`
}

/** Sheets of one form together: those that share most headers are stacked, tables known by name stand alone. */
function groupedByForm(sheets: readonly NamedSheet[]): readonly (readonly NamedSheet[])[] {
  const groups: NamedSheet[][] = []
  for (const sheet of sheets) {
    const headers = new Set(sheet.text.columns.map((column) => column.header))
    const alike = groups.find(([first]) => {
      // A sheet of another name belongs to the table whose headers it has.
      const areNamed = first!.sheet !== undefined && sheet.sheet !== undefined
      if (areNamed && first!.sheet !== sheet.sheet) return false
      const theirs = first!.text.columns.map((column) => column.header)
      const shared = theirs.filter((header) => headers.has(header)).length
      return shared >= 0.6 * Math.max(theirs.length, headers.size)
    })
    if (alike === undefined) groups.push([sheet])
    else alike.push(sheet)
  }
  return groups
}
