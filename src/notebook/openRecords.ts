import { recordsUntil } from '../cohort/recordsUntil.js'
import { dayFromIso } from '../core/calendar.js'
import { UsageError } from '../core/errors.js'
import type { RecordSet } from '../records/dataset.js'
import { readRecords } from '../records/read/readDataset.js'
import { today } from './today.js'

/**
 * Opens a data set: reads it, checks it, and stops with the whole list where something must be mended first.
 *
 * @param path folder with the three tables, or the one-sheet file; relative to the folder of the notebook
 * @param options problems that stop and that are set aside by name, by their codes (default none); `until`, an ISO date:
 *   the records as they stood at the end of that day (default: what a run asks for, else all)
 * @throws RecordsRefused with every problem; UsageError where there is no such path, or no such problem, or no such day
 * @example (await openRecords('data-demo')).state // => "local"
 */
export async function openRecords(
  path: string,
  options: { readonly setAside?: readonly string[]; readonly until?: string } = {},
): Promise<RecordSet<'local'>> {
  const { setAside = [], until = process.env.HOLDFAST_UNTIL ?? '' } = options
  const lastDay = until === '' ? undefined : dayFromIso(until)
  if (until !== '' && lastDay === undefined) throw notADay()
  const records = await readRecords(path, { today: today(), setAside })
  return lastDay === undefined ? records : recordsUntil(records, lastDay)
}

function notADay(): UsageError {
  return new UsageError({
    code: 'bad-date',
    problem: 'the day up to which the records are taken is not a calendar date.',
    expected: 'an ISO date such as 2025-12-31.',
    mend: 'write such a date after until.',
  })
}
