import { rename, rm, writeFile } from 'node:fs/promises'
import { deepFreeze } from '../../src/core/plain.js'
import type { RecordProblem } from '../../src/records/dataset.js'
import { ProblemList, RecordsRefused } from '../../src/records/problems.js'
import { locateSource } from '../../src/records/read/locate.js'
import { readTables } from '../../src/records/read/readTables.js'
import { type ColumnMap, columnMapText, openDecisions } from '../../src/records/understand/columnMap.js'
import { columnMapPath } from '../../src/records/understand/findColumnMap.js'
import { isKnownHeader } from '../../src/records/understand/headerSynonyms.js'
import { likeliestSheet, proposeSheet } from '../../src/records/understand/proposeMap.js'

/** A proposed map with what was noticed while reading the files. */
export interface MapProposal {
  readonly map: ColumnMap
  readonly problems: readonly RecordProblem[]
  /** Places where only the user can decide. */
  readonly open: readonly { readonly file: string; readonly header: string; readonly what: string }[]
}

/**
 * Proposes a column map for a data set from its headers and values. The files are only read.
 *
 * @param path folder, CSV file or workbook
 * @throws RecordsRefused where a file cannot be read at all
 * @throws UsageError `no-such-path`
 */
export async function mapColumns(path: string): Promise<MapProposal> {
  const problems = new ProblemList()
  const source = await locateSource(path, problems)
  const read = await readTables(source, problems, { headerOf: () => ({ isHeader: isKnownHeader }) })
  const sheets = read.tables.filter((table) => !table.spare)
  if (sheets.length === 0) throw new RecordsRefused(problems.all())
  const map: ColumnMap = deepFreeze({
    holdfastColumnMap: 1,
    confirmed: false,
    sheets: sheets.map(({ sheet, text }) => proposeSheet(sheet ?? likeliestSheet(text), text)),
  })
  const open = map.sheets.flatMap((sheet) =>
    openDecisions(sheet).map((decision) => ({ file: sheet.file, ...decision })),
  )
  return deepFreeze({ map, problems: problems.all(), open })
}

/**
 * Saves a column map beside its data set, where reading finds it. Written to a temporary file and renamed.
 *
 * @param path the data set
 * @returns path of the map
 */
export async function saveColumnMap(path: string, map: ColumnMap): Promise<string> {
  const target = await columnMapPath(path)
  const temporary = `${target}.part`
  try {
    await writeFile(temporary, columnMapText(map))
    await rename(temporary, target)
  } catch (error) {
    await rm(temporary, { force: true })
    throw error
  }
  return target
}

/** The same map with the user's word that it is right. */
export function confirmColumnMap(map: ColumnMap): ColumnMap {
  return deepFreeze({ ...map, confirmed: true })
}
