import type { Command } from 'commander'
import { requireKey, requireOut, shareRecords } from '../shareRecords.js'
import { groupKeyVariable, readGroupKey, readNamed } from '../sharing.js'

/** Adds `holdfast share`: from a data set to the summary that may leave the practice. */
export function addShare(program: Command): void {
  program
    .command('share')
    .description(
      'write the summary of a practice for a study group: counts and sums, no rows; with a page that shows all that leaves',
    )
    .argument('<dataset>', 'folder, CSV file or workbook; with --sql a CSV or Parquet file of rows at risk')
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
    .option('--date <iso>', 'date of making to print, instead of today')
    .helpOption('--help', 'print this help')
    .addHelpText(
      'after',
      '\nExamples:\n  holdfast share my-practice --protocol group.json --out to-send\n  holdfast share my-practice --protocol group.json --out to-send --round request-1.json',
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
  readonly date?: string
}

async function share(dataset: string, options: ShareOptions): Promise<void> {
  const { readProtocol } = await import('../../pooling/protocol.js')
  const agreed = readProtocol(await readNamed(options.protocol, 'the protocol'))
  const key = await readGroupKey(options.groupKey)
  requireKey(agreed, key)
  await shareRecords(dataset, { ...options, agreed, groupKey: key, out: requireOut(options.out) })
}
