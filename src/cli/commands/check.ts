import type { Command } from 'commander'
import { exitCodes } from '../../core/errors.js'
import { formatPercent } from '../../core/format.js'
import type { QualityReport } from '../../records/dataset.js'
import { correctionsOf } from '../corrections.js'
import { startProgress } from '../progress.js'
import { setAsideOption } from '../setAside.js'
import { throughDoor } from '../throughDoor.js'
import { dayOfMaking } from '../today.js'

/** Adds `holdfast check`: says what is wrong with a data set and what an audit would do with it; writes nothing. */
export function addCheck(program: Command): void {
  program
    .command('check')
    .description(
      'say what is wrong with a data set, row by row, with the mend; writes nothing but the key file where names are keys',
    )
    .argument('<dataset>', 'folder with the three tables, or the one-sheet CSV')
    .option('--corrections <file>', 'CSV of corrections to apply: file, row, column, old, new, why')
    .option(...setAsideOption)
    .option('--csv', 'print the problems as CSV')
    .option('--date <iso>', 'the day after which dates lie in the future, instead of today')
    .helpOption('--help', 'print this help')
    .addHelpText(
      'after',
      '\nExamples:\n  holdfast check data-demo\n  holdfast check one-sheet.csv --csv > problems.csv',
    )
    .action(check)
}

interface Options {
  readonly corrections?: string
  readonly setAside?: readonly string[]
  readonly csv?: boolean
  readonly date?: string
}

async function check(dataset: string, options: Options): Promise<void> {
  const { checkRecords } = await import('../../records/read/readDataset.js')
  const { problemCsv, problemList } = await import('../problemList.js')
  const corrections = await correctionsOf(options.corrections)
  const progress = startProgress('reading')
  const { problems, quality, records } = await throughDoor(dataset, (door) =>
    checkRecords(dataset, {
      today: dayOfMaking(options.date).day,
      corrections,
      setAside: options.setAside ?? [],
      door,
      onProgress: progress.update,
    }),
  ).finally(progress.stop)
  process.stdout.write(
    options.csv === true ? problemCsv(problems) : `${problemList(problems)}\n${completenessList(quality)}`,
  )
  if (records === undefined) process.exitCode = exitCodes.data
}

const fieldsShown = 10

/** How complete the fields are, the least complete first; by clinic and tightening group for these fields. */
function completenessList(quality: QualityReport): string {
  const { completeness, completenessByClinic = [], completenessByTighteningGroup = [] } = quality
  if (completeness.length === 0) return ''
  const share = ({ known, unknown }: { known: number; unknown: number }): number =>
    known / Math.max(1, known + unknown)
  const incomplete = completeness
    .filter((one) => one.unknown > 0)
    .sort((left, right) => share(left) - share(right))
  const groupsOf = (table: string, field: string): string =>
    [...completenessByClinic, ...completenessByTighteningGroup]
      .filter((one) => one.table === table && one.field === field && one.known + one.unknown > 0)
      .map((one) => `${one.group} ${formatPercent(share(one))}`)
      .join(', ')
  const lines = incomplete.slice(0, fieldsShown).flatMap((one) => {
    const groups = groupsOf(one.table, one.field)
    return [
      `  ${one.table}, ${one.field}: known in ${one.known} of ${one.known + one.unknown} rows (${formatPercent(share(one))})`,
      ...(groups === '' ? [] : [`    ${groups}`]),
    ]
  })
  const complete = completeness.length - incomplete.length
  const more = incomplete.length - fieldsShown
  return [
    `Completeness: ${complete} of ${completeness.length} fields are known in every row`,
    ...lines,
    ...(more > 0 ? [`  and ${more} more; the report lists every field`] : []),
    '',
  ].join('\n')
}
