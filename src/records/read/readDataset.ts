import { deepFreeze, sha256 } from '../../core/plain.js'
import { type ValidatedTables, validate } from '../check/validate.js'
import type { FieldCompleteness, QualityReport, RecordProblem, RecordSet, RecordSource } from '../dataset.js'
import { checkGate } from '../identities/checkGate.js'
import type { Door } from '../identities/door.js'
import { ProblemList, RecordsRefused } from '../problems.js'
import { checkedRules } from '../setAsideRules.js'
import { type ColumnMap, placeWithin } from '../understand/columnMap.js'
import { columnMapBeside } from '../understand/findColumnMap.js'
import { isKnownHeader } from '../understand/headerSynonyms.js'
import { type SourceInTables, tablesOfSource } from '../understand/tablesOfSource.js'
import { oneSheetCannotAnswer } from '../understand/unfoldOneSheet.js'
import { applyCorrections, type Correction } from './corrections.js'
import type { HeaderSettings } from './headerRow.js'
import { type LocatedSource, locateSource } from './locate.js'
import { readTables, type SourceTables } from './readTables.js'

/** How records are read. */
export interface ReadingOptions {
  /** Day number of the day of the run; later dates lie in the future. Given by the caller, so that no clock is read. */
  readonly today: number
  /** Largest share of the rows of a table that may be set aside; default 0.05. */
  readonly setAsideLimit?: number
  /** Problems that stop and that the user sets aside, by their codes; see `setAsideRules`. */
  readonly setAside?: readonly string[]
  /** Column map to use; by default the one that lies beside the data set, if any. */
  readonly columnMap?: ColumnMap
  /** Values that the user corrects, in place of changing the files. */
  readonly corrections?: readonly Correction[]
  /** Where names and chart numbers that are the keys of the file go under pseudonyms; absent: they stop at the gate. */
  readonly door?: Door
  /** Told the share of the work that is done, from 0 to 1. */
  readonly onProgress?: (share: number) => void
}

/** What a check of records found; the records themselves where nothing stops. */
export interface RecordCheck {
  readonly problems: readonly RecordProblem[]
  readonly quality: QualityReport
  readonly records?: RecordSet<'local'>
  /** The tables as far as they were understood, where something stops; for telling the user what was read, for nothing else. */
  readonly draft?: Pick<RecordSet, 'restorations' | 'tightenings' | 'visits'>
}

/**
 * Reads a data set into validated records: a folder with the three tables, or one file in the one-sheet form.
 *
 * @param path folder or file; never written to
 * @param options see `ReadingOptions`; `today` is required
 * @throws RecordsRefused where a problem stops, with all problems
 * @throws UsageError `no-such-path`
 * @example (await readRecords('data-demo', { today: 20500 })).state // => "local"
 */
export async function readRecords(path: string, options: ReadingOptions): Promise<RecordSet<'local'>> {
  const { problems, records } = await checkRecords(path, options)
  if (records === undefined) throw new RecordsRefused(problems)
  return records
}

/**
 * Reads a data set as `readRecords` does and says everything that was found, whether it stops or not.
 *
 * @throws UsageError `no-such-path`
 * @example (await checkRecords('data-demo', { today: 20500 })).problems.length // => 12
 */
export async function checkRecords(path: string, options: ReadingOptions): Promise<RecordCheck> {
  const problems = new ProblemList(checkedRules(options.setAside ?? []))
  const source = await locateSource(path, problems)
  const allLocated = !problems.stops
  const columnMap = options.columnMap ?? (await columnMapBeside(path))
  if (columnMap !== undefined) noteMap(columnMap, problems)
  const { tables, files } = await sourceInTables(source, columnMap, allLocated, options, problems)
  if (tables === undefined) return refused(problems)
  const validated = validate(tables.typed, options.today, options.setAsideLimit ?? 0.05, problems)
  const saidAbsent = columnMap?.sheets.some((sheet) => sheet.absent?.includes('tightenings')) === true
  if (saidAbsent && validated.tightenings.rowCount === 0) problems.add(noTighteningColumn)
  const all = problems.all()
  const quality = qualityOf(validated, all, problems.setAsideByName(), tables.ownCompleteness ?? [])
  const { restorations, tightenings: applied, visits } = validated
  const draft = { restorations, tightenings: applied, visits }
  if (problems.stops) return Object.freeze({ problems: all, quality, draft })
  const records = recordSet(validated, sourceOf(source, files, tables.form), quality)
  return Object.freeze({ problems: all, quality, records })
}

/** The tables of the sheets; the sheets as text, which are as large, are left behind. */
async function sourceInTables(
  source: LocatedSource,
  columnMap: ColumnMap | undefined,
  allLocated: boolean,
  options: ReadingOptions,
  problems: ProblemList,
): Promise<{ readonly tables: SourceInTables | undefined; readonly files: SourceTables['files'] }> {
  const asFound = await readTables(source, problems, {
    headerOf: (file) => headerSettings(file, columnMap),
    ...(options.onProgress === undefined ? {} : { onProgress: options.onProgress }),
  })
  const complete = asFound.complete && allLocated
  const corrected = applyCorrections({ ...asFound, complete }, options.corrections ?? [], problems)
  const read = options.door?.through(corrected, columnMap) ?? corrected
  const tables = tablesOfSource(read, source, problems, {
    today: options.today,
    gate: checkGate,
    ...(columnMap === undefined ? {} : { columnMap }),
  })
  return { tables, files: read.files }
}

function noteMap(columnMap: ColumnMap, problems: ProblemList): void {
  problems.add(columnMap.confirmed ? mapUsed : mapUnconfirmed)
}

/** Without it nobody is known to have been tightened once or twice. */
const noTighteningColumn = {
  severity: 'warn',
  code: 'no-tightening-column',
  problem:
    'by the column map no column tells how often a screw was tightened: the tightening of every restoration is unknown, and single and repeated tightening cannot be compared.',
  expected:
    'a column of the number of tightenings at delivery, or of the way of tightening that was charted.',
  mend: 'add it to the file, in a copy, where it was recorded; how often screws loosen can be told without it.',
} as const

const mapUsed = {
  severity: 'note',
  code: 'column-map-used',
  problem: 'columns and words were read as the column map says.',
  expected: 'a map that the user has confirmed.',
  mend: 'nothing needs doing.',
} as const

const mapUnconfirmed = {
  severity: 'stop',
  code: 'map-not-confirmed',
  problem: 'the column map is a proposal that nobody has confirmed.',
  expected: 'a map in which "confirmed" is true.',
  mend: 'read the map, correct it where it is wrong, and write "confirmed": true.',
} as const

function headerSettings(file: string, columnMap: ColumnMap | undefined): HeaderSettings {
  const sheets = columnMap?.sheets ?? []
  const place = placeWithin(file)
  const isMeant = (name: string): boolean => name === file || (place !== '' && placeWithin(name) === place)
  const used = sheets.find((one) => isMeant(one.file) || one.alsoIn?.some(isMeant) === true)
  // A map of a whole folder knows its files by name; one of a single file is used for later exports of other names.
  const sheet = used ?? (sheets.length === 1 && place === '' ? sheets[0] : undefined)
  const chooses = sheets.some((one) => placeWithin(one.file) !== '' || one.ignored !== undefined)
  const { headerRow, headerRows, mergedCells, hiddenRows } = sheet ?? {}
  return {
    isHeader: isKnownHeader,
    ...(headerRow === undefined ? {} : { headerRow }),
    ...(headerRows === undefined ? {} : { headerRows }),
    ...(mergedCells === undefined ? {} : { mergedCells }),
    ...(hiddenRows === undefined ? {} : { hiddenRows }),
    ...(chooses && place !== '' ? { use: used !== undefined } : {}),
  }
}

function refused(problems: ProblemList): RecordCheck {
  const none = { read: 0, setAside: 0 }
  const rows = { restorations: none, tightenings: none, visits: none }
  const all = problems.all()
  return deepFreeze({ problems: all, quality: { problems: all, rows, completeness: [] } })
}

function qualityOf(
  validated: ValidatedTables,
  problems: readonly RecordProblem[],
  setAsideByName: readonly { readonly code: string; readonly count: number }[],
  ownOfSheet: readonly FieldCompleteness[],
): QualityReport {
  const named = setAsideByName.length === 0 ? {} : { setAsideByName }
  const { withdrawnRestorations } = validated
  const withdrawn = withdrawnRestorations === 0 ? {} : { withdrawnRestorations }
  const { completeness, ...byGroup } = validated.completeness
  return deepFreeze({
    problems,
    ...named,
    ...withdrawn,
    rows: validated.rows,
    completeness: [...completeness, ...ownOfSheet],
    ...byGroup,
  })
}

function recordSet(
  validated: ValidatedTables,
  source: RecordSource,
  quality: QualityReport,
): RecordSet<'local'> {
  const { restorations, tightenings, visits } = validated
  return Object.freeze({ state: 'local', source, restorations, tightenings, visits, quality })
}

function sourceOf(
  source: LocatedSource,
  files: SourceTables['files'],
  form: RecordSource['form'],
): RecordSource {
  return deepFreeze({
    title: source.title,
    form,
    files,
    sha256: sha256(files.map((file) => `${file.name} ${file.sha256}`).join('\n')),
    generated: source.dataPackage?.generated ?? false,
    cannotAnswer: form === 'one-sheet' ? oneSheetCannotAnswer : [],
  })
}
