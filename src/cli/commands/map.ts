import type { Command } from 'commander'
import { exitCodes } from '../../core/errors.js'
import type { MapProposal } from '../../records/understand/mapColumns.js'

/** Adds `holdfast map`: proposes what the columns of a practice's own file mean. */
export function addMap(program: Command): void {
  program
    .command('map')
    .description('propose what the columns of your file mean, with the evidence, and save it beside the file')
    .argument('<dataset>', 'folder, CSV file or workbook')
    .option('--print', 'print the map and save nothing')
    .option('--confirm', 'save it as confirmed, where nothing is left to decide')
    .helpOption('--help', 'print this help')
    .addHelpText(
      'after',
      '\nExamples:\n  holdfast map export.xlsx\n  holdfast map my-practice --print\n\nEdit the saved map in a text editor where it says "?", then run holdfast check.',
    )
    .action(map)
}

async function map(dataset: string, options: { print?: boolean; confirm?: boolean }): Promise<void> {
  const { confirmColumnMap, mapColumns, saveColumnMap } = await import(
    '../../records/understand/mapColumns.js'
  )
  const proposal = await mapColumns(dataset)
  process.stdout.write(columnList(proposal))
  const decided = proposal.open.length === 0
  if (options.print !== true) {
    const confirmed = options.confirm === true && decided
    const path = await saveColumnMap(dataset, confirmed ? confirmColumnMap(proposal.map) : proposal.map)
    process.stdout.write(`Map: ${path}\n`)
  }
  if (!decided) process.exitCode = exitCodes.data
}

/** Each column with the field it is taken for and why, then what is left to decide. */
function columnList({ map: { sheets }, open }: MapProposal): string {
  const lines = sheets.flatMap((sheet) => [
    `${sheet.file} is read as ${sheet.sheet}`,
    ...sheet.columns.flatMap(({ header, field, evidence = [] }) => [
      `  ${header} → ${field ?? 'not used'}`,
      ...evidence.map((one) => `      ${one}`),
    ]),
  ])
  const decisions = open.map(({ file, header, what }) => `  ${file}, column ${header}: ${what}`)
  const left = open.length === 0 ? [] : [`Left for you to decide: ${open.length}`, ...decisions]
  return `${[...lines, ...left].join('\n')}\n`
}
