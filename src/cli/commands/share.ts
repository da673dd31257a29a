import type { Command } from 'commander'
import { UsageError } from '../../core/errors.js'
import { practiceVariable, readNamed } from '../namedFiles.js'
import { setAsideOption } from '../setAside.js'
import type { SiteOptions } from '../siteSteps.js'

/** Options of the command. */
interface ShareOptions extends SiteOptions {
  readonly protocol?: string
  readonly list?: string
  readonly round?: string
  readonly totals?: string
  readonly counts?: readonly string[]
  readonly sql?: boolean
  readonly printSql?: boolean
}

/** Adds `holdfast share`: the steps of a practice in a study group. */
export function addShare(program: Command): void {
  program
    .command('share')
    .description(
      'take part in a study group: first a ready note, then the answer to the list; only sums over all practices can be read',
    )
    .argument('[dataset]', 'folder, CSV file or workbook; with --sql a CSV or Parquet file of rows at risk')
    .option('--protocol <file>', 'protocol file of the group: fixes the numbers and makes the ready note')
    .option('--list <file>', "answer the coordinator's list")
    .option('--round <file>', "answer the coordinator's request for a round of the model")
    .option('--totals <file>', 'check the totals of the group, and make the page of this practice')
    .option('--out <dir>', 'folder for what is sent')
    .option(
      '--practice <dir>',
      `place of the practice's keys and ledger, always the same; else ${practiceVariable} of the environment`,
    )
    .option('--name <name>', 'name by which the others know the practice; the first time')
    .option(
      '--floor <patients>',
      'fewest patients that the practice asks for behind a printed number; default 5',
    )
    .option('--open', 'let the size, events and hazard ratio of this practice be shown by name')
    .option('--anew', 'fix the numbers anew, where they were not sent yet')
    .option('--restart-after <list>', 'begin anew after a lost ledger, at the cut-off day of the last list')
    .option(
      '--counts <files...>',
      'take the answers of the queries that --print-sql prints, instead of records',
    )
    .option('--sql', 'count a file of rows at risk inside the embedded engine')
    .option('--print-sql', 'print the queries for an engine that holds the rows, and stop')
    .option(...setAsideOption)
    .option('--date <iso>', 'date of making, instead of today')
    .helpOption('--help', 'print this help')
    .addHelpText(
      'after',
      '\nExamples:\n  holdfast share our-records --protocol group.json --practice our-practice --name "Practice at the bridge" --out to-send\n  holdfast share --list list-1.json --practice our-practice --out to-send\n  holdfast share --totals totals.json --practice our-practice --out to-send',
    )
    .action(share)
}

async function share(dataset: string | undefined, options: ShareOptions): Promise<void> {
  const given = (['list', 'round', 'totals'] as const).filter((step) => options[step] !== undefined)
  const steps = await import('../siteSteps.js')
  if (given.length === 0) return makeReady(dataset, options)
  if (given.length > 1 || options.protocol !== undefined) throw oneStep()
  const [step] = given
  await steps.laterStep(step!, options[step!]!, options)
}

async function makeReady(dataset: string | undefined, options: ShareOptions): Promise<void> {
  if (options.protocol === undefined) throw oneStep()
  const { readProtocol } = await import('../../pooling/protocol/protocol.js')
  const agreed = readProtocol(await readNamed(options.protocol, 'the protocol'))
  const counting = await import('../countedSite.js')
  if (options.printSql === true) return counting.printSql(agreed, options)
  if (options.counts !== undefined) return counting.readyFromCounts(options.counts, agreed, options)
  if (dataset === undefined) throw noDataset()
  if (options.sql === true) return counting.readyFromFile(dataset, agreed, options)
  await (await import('../siteSteps.js')).readyFromRecords(dataset, agreed, options)
}

function oneStep(): UsageError {
  return new UsageError({
    code: 'which-step',
    problem: 'it is not clear which step is meant.',
    expected: 'records with --protocol for the ready note, or one of --list, --round and --totals.',
    mend: 'holdfast share --help shows the steps.',
  })
}

function noDataset(): UsageError {
  return new UsageError({
    code: 'no-dataset',
    problem: 'no data set was named.',
    expected: 'the folder or file of the records.',
    mend: 'write holdfast share our-records --protocol group.json --practice our-practice --out to-send.',
  })
}
