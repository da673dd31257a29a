import { type Command, InvalidArgumentError } from 'commander'
import { whileAlone } from '../../core/alone.js'
import { writeWhole } from '../../core/wholeFiles.js'
import { startProgress } from '../progress.js'
import { setAsideOption } from '../setAside.js'
import { throughDoor } from '../throughDoor.js'
import { dayOfMaking } from '../today.js'

/** Adds `holdfast recall`: who is overdue for a check of the screw. */
export function addRecall(program: Command): void {
  program
    .command('recall')
    .description(
      'list patients whose screws are overdue for a check or soon will be, found loose first, by pseudonym; for inside the practice',
    )
    .argument('<dataset>', 'folder, CSV file or workbook')
    .option('--interval <days>', 'days after the last check on which the next is due; default 365', days)
    .option('--soon <days>', 'days ahead within which what falls due is listed too; default 60', days)
    .option('--csv', 'print the list as CSV')
    .option('--out <file>', 'write the list as a page to be printed (HTML)')
    .option(...setAsideOption)
    .option('--date <iso>', 'the day of the list, instead of today')
    .helpOption('--help', 'print this help')
    .addHelpText(
      'after',
      '\nExamples:\n  holdfast recall my-practice --out recall.html\n  holdfast recall my-practice --interval 180 --csv',
    )
    .action(recall)
}

interface Options {
  readonly interval?: number
  readonly soon?: number
  readonly csv?: boolean
  readonly out?: string
  readonly setAside?: readonly string[]
  readonly date?: string
}

async function recall(dataset: string, options: Options): Promise<void> {
  const [
    { readRecords },
    { recallList },
    { recallHeader, recallInWords, recallPage, recallRows },
    { csvText },
  ] = await Promise.all([
    import('../../records/read/readDataset.js'),
    import('../../records/desk/recallList.js'),
    import('../../records/desk/recallPage.js'),
    import('../../records/identities/csvText.js'),
  ])
  const { day, iso } = dayOfMaking(options.date)
  const progress = startProgress('reading')
  const records = await throughDoor(dataset, (door) =>
    readRecords(dataset, { today: day, setAside: options.setAside ?? [], door, onProgress: progress.update }),
  ).finally(progress.stop)
  const found = recallList(records, {
    today: day,
    ...(options.interval === undefined ? {} : { intervalDays: options.interval }),
    ...(options.soon === undefined ? {} : { soonDays: options.soon }),
  })
  const { out } = options
  if (out !== undefined)
    await whileAlone(out, () => writeWhole([{ path: out, content: recallPage(found, iso) }]))
  const rows = recallRows(found)
  if (options.csv === true) {
    process.stdout.write(csvText(recallHeader, rows))
    return
  }
  const [counts, others] = recallInWords(found)
  const page = options.out === undefined ? '' : `Page: ${options.out}\n`
  process.stdout.write(`${counts}\n${aligned([[...recallHeader], ...rows])}${others}\n${page}`)
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
