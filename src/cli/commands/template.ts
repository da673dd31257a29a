import type { Command } from 'commander'

/** Adds `holdfast template`: empty tables with which a practice can start today. */
export function addTemplate(program: Command): void {
  program
    .command('template')
    .description(
      'write empty tables to fill in, as CSV and as a workbook with drop-down lists, and the data dictionary',
    )
    .argument('<dir>', 'new or empty folder')
    .option('--three-tables', 'the three linked tables instead of one sheet')
    .helpOption('--help', 'print this help')
    .addHelpText(
      'after',
      '\nExamples:\n  holdfast template records\n  holdfast template records --three-tables',
    )
    .action(template)
}

async function template(directory: string, options: { threeTables?: boolean }): Promise<void> {
  const { writeTemplate } = await import('../../records/desk/writeTemplate.js')
  const written = await writeTemplate(directory, {
    form: options.threeTables === true ? 'three-tables' : 'one-sheet',
  })
  process.stdout.write(`Empty tables in ${directory}: ${written.files.join(', ')}\n`)
}
