import type { Command } from 'commander'
import { UsageError } from '../../core/errors.js'
import { setAsideOption } from '../setAside.js'
import { requireKey, requireOut, shareRecords } from '../shareRecords.js'
import { groupKeyVariable, readGroupKey, readNamed } from '../sharing.js'

/** Adds `holdfast share`: from a data set to the summary that may leave the practice. */
export function addShare(program: Command): void {
  program
    .command('share')
    .description(
      'write the summary of a practice for a study group: counts and sums, no rows; with a page that shows all that leaves',
    )
    .argument('[dataset]', 'folder, CSV file or workbook; with --sql a CSV or Parquet file of rows at risk')
    .requiredOption('--protocol <file>', 'protocol file of the study group')
    .option('--out <dir>', 'folder for what is sent')
    .option('--round <file>', 'answer this request of the coordinator instead of making a summary')
    .option(
      '--group-key <file>',
      `file with the key of the group, by which summaries are sealed; else ${groupKeyVariable} of the environment`,
    )
    .option('--key <file>', 'key file of the practice for pseudonyms; default: beside the data set')
    .option(
      '--log <file>',
      'log of what was shared, which stays in the practice; default: beside the data set',
    )
    .option('--sql', 'count inside an embedded engine, for registries of millions of rows')
    .option('--print-sql', 'print the query for another engine that holds the rows, and stop')
    .option(...setAsideOption)
    .option('--date <iso>', 'date of making to print, instead of today')
    .helpOption('--help', 'print this help')
    .addHelpText(
      'after',
      '\nExamples:\n  holdfast share my-practice --protocol group.json --out to-send\n  holdfast share my-practice --protocol group.json --out to-send --round request-1.json\n  holdfast share registry.parquet --protocol group.json --out to-send --sql',
    )
    .action(share)
}

/** Options of the command. */
export interface ShareOptions {
  readonly protocol: string
  readonly out?: string
  readonly round?: string
  readonly groupKey?: string
  readonly key?: string
  readonly log?: string
  readonly sql?: boolean
  readonly printSql?: boolean
  readonly setAside?: readonly string[]
  readonly date?: string
}

async function share(dataset: string | undefined, options: ShareOptions): Promise<void> {
  const { readProtocol } = await import('../../pooling/protocol.js')
  const agreed = readProtocol(await readNamed(options.protocol, 'the protocol'))
  if (options.printSql === true) return (await import('../shareBySql.js')).printSql(agreed.protocol)
  if (dataset === undefined) throw noDataset()
  const key = await readGroupKey(options.groupKey)
  requireKey(agreed, key)
  const order = { ...options, agreed, groupKey: key, out: requireOut(options.out) }
  if (options.sql === true) await (await import('../shareBySql.js')).shareBySql(dataset, order)
  else await shareRecords(dataset, order)
}

function noDataset(): UsageError {
  return new UsageError({
    code: 'no-dataset',
    problem: 'no data set was named.',
    expected: 'the folder or file of the records.',
    mend: 'write holdfast share my-practice --protocol group.json --out to-send.',
  })
}
