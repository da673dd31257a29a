import type { Command } from 'commander'
import { practiceVariable } from '../namedFiles.js'
import type { SiteOptions } from '../siteSteps.js'

/** Adds `holdfast void`: a practice signs that it will not answer a list. */
export function addVoid(program: Command): void {
  program
    .command('void')
    .description('sign that this practice will not answer a list, so that the others may go on without it')
    .requiredOption('--list <file>', 'the list that will not be answered')
    .option('--out <dir>', 'folder for what is sent')
    .option(
      '--practice <dir>',
      `place of the practice's keys and ledger; else ${practiceVariable} of the environment`,
    )
    .option('--date <iso>', 'date of making, instead of today')
    .helpOption('--help', 'print this help')
    .addHelpText(
      'after',
      '\nExample:\n  holdfast void --list list-1.json --practice our-practice --out to-send',
    )
    .action(async (options: SiteOptions & { readonly list: string }) => {
      await (await import('../siteSteps.js')).voidStep(options.list, options)
    })
}
