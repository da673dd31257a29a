import { isoFromDay } from '../../core/calendar.js'
import { sheetFields } from '../../vocabulary/fields.js'
import { missingDay } from '../columns.js'
import type { RecordSet, RecordTable } from '../dataset.js'
import { dataPackageText } from '../desk/dataPackageText.js'
import { csvOfTable } from '../identities/csvText.js'
import { plainColumn, rowsOf, type WrittenColumn } from '../identities/sharedRows.js'
import { refuseSourceFolder, writeFolder } from '../identities/writeFolder.js'

type Tables = Pick<RecordSet, 'restorations' | 'tightenings' | 'visits'>

/**
 * Writes what was read as the three tables of the data dictionary, so that every cell can be looked at. They are local
 * records with dates, for use inside the practice.
 *
 * @returns names of the files
 * @throws UsageError `out-is-source`, `folder-not-ours`, `cannot-write`
 */
export async function writeReadTables(
  tables: Tables,
  directory: string,
  source: string,
): Promise<readonly string[]> {
  await refuseSourceFolder(source, directory)
  const delivery = tables.restorations.day('delivery_date')
  const made = (['restorations', 'tightenings', 'visits'] as const).map((name) => {
    const table = tables[name]
    const originOf =
      'restoration' in table
        ? (row: number) => delivery[table.restoration[row]!]!
        : (row: number) => delivery[row]!
    const columns = columnsOf(table, originOf)
    return rowsOf(
      name,
      columns,
      Array.from({ length: table.rowCount }, (_, row) => row),
    )
  })
  const heading = { name: 'records-as-read', title: 'Records as they were read', state: 'as-read' }
  const packaged = made.map(({ name, header }) => ({ sheet: name, path: `${name}.csv`, columns: header }))
  const files = new Map(made.map((table) => [`${table.name}.csv`, csvOfTable(table)]))
  files.set('datapackage.json', dataPackageText(heading, packaged))
  await writeFolder({ directory, state: 'as-read', files })
  return [...files.keys()]
}

/** Columns of a table, dates as dates: inside, all but the delivery are days since it. */
function columnsOf(table: RecordTable, originOf: (row: number) => number): readonly WrittenColumn[] {
  return sheetFields[table.name]
    .filter(({ name, kind, twin, shareableOnly }) => {
      if (shareableOnly === true || (kind === 'day' && twin !== undefined && twin !== 'tightening_date'))
        return false
      return name === 'restoration_id' || table.has(name)
    })
    .map((field) => {
      if (field.kind !== 'date') return plainColumn(table, field)
      const days = table.day(field.name)
      const dayOf = (row: number): number => {
        if (days[row] === missingDay || field.name === 'delivery_date') return days[row]!
        return originOf(row) === missingDay ? missingDay : originOf(row) + days[row]!
      }
      const textOf = (row: number): string => (dayOf(row) === missingDay ? '' : isoFromDay(dayOf(row)))
      return { name: field.name, textOf }
    })
}
