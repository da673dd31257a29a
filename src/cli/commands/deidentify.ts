import { type Command, InvalidArgumentError, Option } from 'commander'
import { dayFromIso } from '../../core/calendar.js'
import type { DeliveryPeriod } from '../../records/identities/shareableTables.js'
import { announce } from '../progress.js'
import { setAsideOption } from '../setAside.js'
import { dayOfMaking } from '../today.js'

/** Adds `holdfast deidentify`: makes the form of the records that may leave the practice where your rules allow it. */
export function addDeidentify(program: Command): void {
  program
    .command('deidentify')
    .description(
      'write the shareable form of a data set: random pseudonyms, days since delivery, bands; with a report',
    )
    .argument('<dataset>', 'folder, CSV file or workbook; never written to')
    .requiredOption('--out <dir>', 'folder for the shareable form, apart from the source')
    .option('--key <file>', 'key file of the practice; default: beside the data set, made where missing')
    .addOption(
      new Option(
        '--dates <rule>',
        'days since delivery, or dates moved by days of each patient (no Safe Harbor)',
      )
        .choices(['days', 'shifted'])
        .default('days'),
    )
    .addOption(
      new Option('--positions <rule>', 'tooth positions as they are, or jaw and region only')
        .choices(['exact', 'region'])
        .default('exact'),
    )
    .option(
      '--period <day=label>',
      'label of the calendar period that begins with this day, as 2023-07-01=after change; may be repeated',
      period,
      [],
    )
    .option('--leave-out <fields>', 'optional fields to leave out, with commas between them', list)
    .addOption(
      new Option('--days <rule>', 'days since delivery as they are, or rounded')
        .choices(['exact', 'weeks', 'months', 'quarters', 'years'])
        .default('exact'),
    )
    .option(
      '--k <number>',
      'smallest group of alike restorations that is not too small; default 5',
      atLeastTwo,
    )
    .option(
      '--accept-small-groups <number>',
      'smallest group that you accept by name where k is not reached; the report says so',
      atLeastOne,
    )
    .option(...setAsideOption)
    .option('--date <iso>', 'the day after which dates lie in the future, instead of today')
    .helpOption('--help', 'print this help')
    .addHelpText(
      'after',
      '\nExamples:\n  holdfast deidentify my-practice --out shareable --days months --positions region\n  holdfast deidentify my-practice --out shareable --leave-out sex,operator_id --accept-small-groups 1\n\nThe key file leads back to your patients: it stays in the practice.',
    )
    .action(makeShareable)
}

interface Options {
  readonly out: string
  readonly key?: string
  readonly dates: 'days' | 'shifted'
  readonly positions: 'exact' | 'region'
  readonly period: readonly DeliveryPeriod[]
  readonly leaveOut?: readonly string[]
  readonly days: 'exact' | 'weeks' | 'months' | 'quarters' | 'years'
  readonly k?: number
  readonly acceptSmallGroups?: number
  readonly setAside?: readonly string[]
  readonly date?: string
}

async function makeShareable(dataset: string, options: Options): Promise<void> {
  const { deidentify } = await import('../../records/identities/deidentify.js')
  const { key, k, leaveOut, dates, days, positions, out, acceptSmallGroups } = options
  const made = await deidentify(dataset, out, {
    today: dayOfMaking(options.date).day,
    onProgress: (share) => announce('reading', share),
    dates,
    days,
    positions,
    periods: options.period,
    ...(key === undefined ? {} : { keyFile: key }),
    setAside: options.setAside ?? [],
    ...(k === undefined ? {} : { k }),
    ...(acceptSmallGroups === undefined ? {} : { acceptSmallGroups }),
    ...(leaveOut === undefined ? {} : { leaveOut }),
  })
  process.stderr.write(made.atTheDoor)
  const { rowsBelow, rows, smallestGroup } = made.anonymity
  process.stdout.write(
    `Shareable form: ${made.directory} (${made.files.join(', ')})\n` +
      `Key file, which stays in the practice: ${made.keyFile}\n` +
      `${rowsBelow} of ${rows} restorations stand in groups of fewer than ${made.anonymity.k} that are alike; the smallest group has ${smallestGroup}.\n`,
  )
}

/** One more period of the option; they are put in the order of the calendar by what uses them. */
function period(text: string, before: readonly DeliveryPeriod[]): readonly DeliveryPeriod[] {
  const [, day, label] = /^(\d{4}-\d{2}-\d{2})=(.*\S.*)$/.exec(text) ?? []
  const from = day === undefined ? undefined : dayFromIso(day)
  if (from === undefined || label === undefined)
    throw new InvalidArgumentError('Expected a day and a label, such as 2023-07-01=after change.')
  return [...before, { from, label: label.trim() }]
}

function list(text: string): readonly string[] {
  return text.split(',').map((one) => one.trim())
}

function atLeastOne(text: string): number {
  if (!/^[1-9]\d*$/.test(text)) throw new InvalidArgumentError('Expected a whole number from 1 on.')
  return Number(text)
}

function atLeastTwo(text: string): number {
  if (!/^\d+$/.test(text) || Number(text) < 2)
    throw new InvalidArgumentError('Expected a whole number from 2 on.')
  return Number(text)
}
