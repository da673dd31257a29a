import { type Command, InvalidArgumentError } from 'commander'
import { startProgress } from '../progress.js'
import { setAsideOption } from '../setAside.js'
import { dayOfMaking } from '../today.js'

/** Adds `holdfast recall`: who is overdue for a check of the screw. */
export function addRecall(program: Command): void {
  program
    .command('recall')
    .description(
      'list restorations overdue for a check of the screw, longest first, by pseudonym; for inside the practice',
    )
    .argument('<dataset>', 'folder, CSV file or workbook')
    .option('--interval <days>', 'days after the last check on which the next is due; default 365', days)
    .option('--csv', 'print the list as CSV')
    .option(...setAsideOption)
    .option('--date <iso>', 'the day of the list, instead of today')
    .helpOption('--help', 'print this help')
    .addHelpText(
      'after',
      '\nExamples:\n  holdfast recall my-practice\n  holdfast recall my-practice --interval 180 --csv',
    )
    .action(recall)
}

async function recall(
  dataset: string,
  options: { interval?: number; csv?: boolean; setAside?: readonly string[]; date?: string },
): Promise<void> {
  const [{ readRecords }, { recallList }, { csvText }] = await Promise.all([
    import('../../records/read/readDataset.js'),
    import('../../records/desk/recallList.js'),
    import('../../records/identities/csvText.js'),
  ])
  const { day } = dayOfMaking(options.date)
  const progress = startProgress('reading')
  const records = await readRecords(dataset, {
    today: day,
    setAside: options.setAside ?? [],
    onProgress: progress.update,
  }).finally(progress.stop)
  const found = recallList(records, {
    today: day,
    ...(options.interval === undefined ? {} : { intervalDays: options.interval }),
  })
  const rows = found.overdue.map((one) => [
    one.restoration_id,
    one.patient_id,
    one.clinic_id,
    one.tooth_position,
    one.since,
    one.everChecked ? 'checked' : 'never checked',
    String(one.daysOverdue),
  ])
  const header = [
    'restoration_id',
    'patient_id',
    'clinic_id',
    'tooth_position',
    'since',
    'check',
    'days_overdue',
  ]
  if (options.csv === true) {
    process.stdout.write(csvText(header, rows))
    return
  }
  const { notYetDue, noScrew, patientGone, removedOrLost } = found.notListed
  process.stdout.write(
    `${rows.length} restorations are overdue for a check of the screw (more than ${found.intervalDays} days).\n` +
      aligned([header, ...rows]) +
      `Not listed: ${notYetDue} not yet due, ${removedOrLost} removed or lost, ${patientGone} of patients who died, moved or declined, ${noScrew} without a screw.\n`,
  )
}

function aligned(rows: readonly (readonly string[])[]): string {
  const widths = rows[0]!.map((_one, i) => Math.max(...rows.map((row) => row[i]!.length)))
  return rows
    .map(
      (row) =>
        `  ${row
          .map((cell, i) => cell.padEnd(widths[i]!))
          .join('  ')
          .trimEnd()}\n`,
    )
    .join('')
}

function days(text: string): number {
  if (!/^\d+$/.test(text) || Number(text) < 1)
    throw new InvalidArgumentError('Expected a number of days from 1 on.')
  return Number(text)
}
