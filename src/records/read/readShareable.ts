import { DisclosureError } from '../../core/errors.js'
import { fieldOf } from '../../vocabulary/fields.js'
import type { RecordSet } from '../dataset.js'
import { ProblemList, RecordsRefused } from '../problems.js'
import { headerWord } from '../understand/matchColumns.js'
import { locateSource } from './locate.js'
import { checkRecords, type ReadingOptions } from './readDataset.js'
import { readTables } from './readTables.js'

/**
 * Reads a data set that `deidentify` has written, as shareable records. That it is what it says is checked, not believed:
 * no dates, no ages, no lots or free text, nothing that the gate so much as suspects.
 *
 * @param path folder with the shareable form
 * @throws DisclosureError `not-shareable` where it holds anything that a shareable form does not have
 * @throws RecordsRefused where something stops
 * @throws UsageError `no-such-path`
 */
export async function readShareable(path: string, options: ReadingOptions): Promise<RecordSet<'shareable'>> {
  await checkHeaders(path)
  const { problems, records } = await checkRecords(path, options)
  if (records === undefined) throw new RecordsRefused(problems)
  const suspected = problems.find(
    (one) =>
      one.code.startsWith('possible-identifier') || ['long-text', 'columns-not-used'].includes(one.code),
  )
  if (suspected !== undefined) throw notShareable(suspected.problem.replace(/\.$/, ''))
  return Object.freeze({ ...records, state: 'shareable' })
}

/** Looks at the columns of the files themselves, since the records name dates and days since delivery alike. */
async function checkHeaders(path: string): Promise<void> {
  const problems = new ProblemList()
  const source = await locateSource(path, problems)
  if (source.dataPackage?.state !== 'shareable') {
    throw notShareable('its data package does not say that it is in the shareable form')
  }
  const { tables } = await readTables(source, problems)
  for (const { sheet, text } of tables) {
    if (sheet === undefined || sheet === 'one_sheet')
      throw notShareable('it is not in the form of three tables')
    const local = text.columns
      .map((column) => fieldOf(sheet, headerWord(column.header)))
      .find((field) => field !== undefined && (field.localOnly || field.name === 'age_at_delivery_years'))
    if (local !== undefined)
      throw notShareable(`${sheet} has the field ${local.name}, which stays in the practice`)
  }
}

function notShareable(what: string): DisclosureError {
  return new DisclosureError({
    code: 'not-shareable',
    problem: `the data set cannot be taken as shareable: ${what}.`,
    expected: 'a folder that holdfast deidentify has written, unchanged.',
    mend: 'make it again from the local records with holdfast deidentify.',
  })
}
