import { join } from 'node:path'
import { type Command, InvalidArgumentError } from 'commander'
import { needsBrowser } from '../../documents/formats/formats.js'
import { formatsOf, paperOf, paperOption } from '../formats.js'
import { ownRecords } from '../ownRecords.js'
import { setAsideOption } from '../setAside.js'
import { dayOfMaking } from '../today.js'

interface NeededCommandOptions {
  readonly out?: string
  readonly formats?: string
  readonly paper?: string
  readonly plan?: string
  readonly within?: number
  readonly difference?: number
  readonly power?: number
  readonly practices?: number
  readonly setAside?: readonly string[]
  readonly date?: string
}

/** Adds `holdfast needed`: how many more restorations, and how long, from the practice's own records. */
export function addNeeded(program: Command): void {
  program
    .command('needed')
    .description(
      'say how many more restorations, and years, it takes to know the risk and the comparison, from the practice’s own records',
    )
    .argument('<dataset>', 'folder, CSV file or workbook')
    .option('--within <share>', 'half width that the interval of the risk should have; default 0.02', number)
    .option(
      '--difference <share>',
      'difference of risks not to be missed; default the smallest that matters by the plan',
      number,
    )
    .option('--power <share>', 'chance of not missing it; default 0.8', number)
    .option('--practices <number>', 'practices like this one that a study group would have', number)
    .option('--plan <file>', 'plan of the comparison (JSON, docs/plan.md)')
    .option('--out <dir>', 'folder for the page; default reports/needed')
    .option('--formats <names>', 'formats beside the page: markdown,word,pdf,png or none; default markdown')
    .option(...paperOption)
    .option(...setAsideOption)
    .option('--date <iso>', 'date of making to print, instead of today')
    .helpOption('--help', 'print this help')
    .addHelpText(
      'after',
      '\nExamples:\n  holdfast needed my-practice\n  holdfast needed my-practice --within 0.03 --difference 0.05 --practices 4',
    )
    .action(needed)
}

async function needed(dataset: string, options: NeededCommandOptions): Promise<void> {
  const formats = formatsOf(options.formats) ?? ['markdown' as const]
  if (needsBrowser(formats)) await (await import('../../documents/formats/pdf.js')).requireBrowser()
  const made = dayOfMaking(options.date)
  const [{ whatIsNeeded }, { neededInLines, writeNeededReport }, { version }] = await Promise.all([
    import('../../questions/needed/answer.js'),
    import('../../documents/kinds/neededReport.js'),
    import('../../notebook/version.js'),
  ])
  const { plan, setAside, within, difference, power, practices } = options
  const { cohort, settings } = await ownRecords(dataset, {
    today: made.day,
    ...(plan === undefined ? {} : { plan }),
    ...(setAside === undefined ? {} : { setAside }),
  })
  const result = whatIsNeeded(cohort, settings, {
    ...(within === undefined ? {} : { within }),
    ...(difference === undefined ? {} : { difference }),
    ...(power === undefined ? {} : { power }),
    ...(practices === undefined ? {} : { practices }),
  })
  const { htmlPath } = await writeNeededReport(result, {
    outDir: options.out ?? join('reports', 'needed'),
    formats,
    date: made.iso,
    version,
    ...paperOf(options.paper),
    source: cohort.summary.source,
    definition: cohort.definition,
    settings,
  })
  process.stdout.write(`${neededInLines(result).join('\n')}\nReport: ${htmlPath}\n`)
}

function number(text: string): number {
  const value = Number(text)
  if (text.trim() === '' || !Number.isFinite(value)) throw new InvalidArgumentError('It has to be a number.')
  return value
}
