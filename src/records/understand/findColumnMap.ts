import { readFile, stat } from 'node:fs/promises'
import { basename, join, resolve } from 'node:path'
import { UsageError } from '../../core/errors.js'
import { type ColumnMap, parseColumnMap } from './columnMap.js'

/** Where the column map of a data set is kept: beside the file, or in the folder. */
export async function columnMapPath(path: string): Promise<string> {
  const absolute = resolve(path)
  const isFolder = await stat(absolute).then(
    (found) => found.isDirectory(),
    () => false,
  )
  return isFolder ? join(absolute, 'columns.map.json') : `${absolute}.map.json`
}

/**
 * Reads a column map from disk.
 *
 * @throws UsageError `no-such-map` where there is no such file
 * @throws RecordError `bad-column-map` where it is not as described in docs/records-map.md
 */
export async function readColumnMap(path: string): Promise<ColumnMap> {
  let text: string
  try {
    text = await readFile(path, 'utf8')
  } catch {
    throw new UsageError({
      code: 'no-such-map',
      problem: `there is no column map at ${path}, or it may not be read.`,
      expected: 'a JSON file as holdfast map writes it.',
      mend: 'check the spelling of the path, or make the map with holdfast map.',
    })
  }
  return parseColumnMap(text, basename(path))
}

/** The column map that lies beside a data set, or undefined where there is none. */
export async function columnMapBeside(path: string): Promise<ColumnMap | undefined> {
  const beside = await columnMapPath(path)
  const found = await stat(beside).catch(() => undefined)
  return found?.isFile() ? readColumnMap(beside) : undefined
}
