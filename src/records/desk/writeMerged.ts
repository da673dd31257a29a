import { resolve } from 'node:path'
import { RecordError } from '../../core/errors.js'
import { tableNames } from '../../vocabulary/fields.js'
import { csvText } from '../identities/csvText.js'
import { type FileWriter, writeFolder } from '../identities/writeFolder.js'
import { RecordsRefused } from '../problems.js'
import { type ReadingOptions, readRecords } from '../read/readDataset.js'
import { readShareable } from '../read/readShareable.js'
import { dataPackageText } from './dataPackageText.js'
import type { MergedVersions, VersionChange } from './mergeVersions.js'

/** How merged records are written and read back. */
export interface WriteMergedOptions extends ReadingOptions {
  readonly title?: string
  /** Whether the records are generated (demo); every page made from them says so. Default false. */
  readonly generated?: boolean
  /** Writer of files; only tests give one. */
  readonly writer?: FileWriter
}

/**
 * Writes merged records to a folder of their own, with the list of what was added, changed, retracted and gone. They are
 * read back first, from a temporary folder: nothing is written that a check would stop or that lost a row.
 *
 * @returns full path of the folder
 * @throws UsageError `folder-not-ours`, `cannot-write`
 * @throws RecordError `merged-not-sound`
 */
export async function writeMerged(
  merged: MergedVersions,
  state: 'local' | 'shareable',
  directory: string,
  options: WriteMergedOptions,
): Promise<string> {
  const packageState = state === 'shareable' ? 'shareable' : 'local-merged'
  const heading = {
    name: 'holdfast-merged',
    title: options.title ?? 'Restoration records, joined versions',
    state: packageState,
    ...(options.generated === true ? { generated: true } : {}),
  }
  const packaged = tableNames.map((sheet) => ({
    sheet,
    path: `${sheet}.csv`,
    columns: merged.tables[sheet].header,
  }))
  const files = new Map<string, string>(
    tableNames.map((name) => [`${name}.csv`, csvText(merged.tables[name].header, merged.tables[name].rows)]),
  )
  files.set('datapackage.json', dataPackageText(heading, packaged))
  files.set('changes.csv', changesText(merged.changes))
  const verify = (made: string): Promise<void> => readBack(made, merged, state, options)
  const writer = options.writer === undefined ? {} : { writer: options.writer }
  await writeFolder({ directory, state: packageState, files, verify, ...writer })
  return resolve(directory)
}

async function readBack(
  folder: string,
  { tables }: MergedVersions,
  state: 'local' | 'shareable',
  options: WriteMergedOptions,
): Promise<void> {
  const { today, setAside = [], setAsideLimit = 1 } = options
  const reading = { today, setAside, setAsideLimit }
  const read = state === 'shareable' ? readShareable(folder, reading) : readRecords(folder, reading)
  const records = await read.catch((error: unknown) => {
    if (!(error instanceof RecordsRefused)) throw error
    const stops = error.problems.filter((one) => one.severity === 'stop')
    throw notSound(`${stops.map((one) => `${one.place.file ?? 'the records'}: ${one.problem}`).join(' ')}`)
  })
  for (const name of tableNames) {
    const { read: found, setAside: left } = records.quality.rows[name]
    if (found !== tables[name].rows.length) throw notSound(`rows of ${name} were lost.`)
    if (left > 0) throw notSound(`${left} ${left === 1 ? 'row' : 'rows'} of ${name} would be set aside.`)
  }
}

function notSound(what: string): RecordError {
  return new RecordError({
    code: 'merged-not-sound',
    problem: `the two versions do not go together, and nothing was written: ${what}`,
    expected: 'joined records that pass the check as each version does.',
    mend: 'check both exports with holdfast check; where the later one holds only what is new, give --keep both.',
  })
}

/** Every difference between the two versions, as CSV. */
function changesText(changes: readonly VersionChange[]): string {
  const columns = ['restoration_id', 'what', 'of', 'day', 'field', 'earlier', 'later', 'stands'] as const
  return csvText(
    columns,
    changes.map((change) => columns.map((column) => change[column])),
  )
}
