import { join } from 'node:path'
import { type Command, InvalidArgumentError } from 'commander'
import { dayFromIso } from '../../core/calendar.js'
import { needsBrowser } from '../../documents/formats/formats.js'
import { formatsOf, paperOf, paperOption } from '../formats.js'
import { ownRecords } from '../ownRecords.js'
import { setAsideOption } from '../setAside.js'
import { dayOfMaking } from '../today.js'

interface WatchCommandOptions {
  readonly out?: string
  readonly formats?: string
  readonly paper?: string
  readonly plan?: string
  readonly since?: number
  readonly setAside?: readonly string[]
  readonly date?: string
}

/** Adds `holdfast watch`: the practice over time, for inside. */
export function addWatch(program: Command): void {
  program
    .command('watch')
    .description(
      'set the last years against those before, look for torque devices that drift, and say what was not looked at; for inside the practice',
    )
    .argument('<dataset>', 'folder, CSV file or workbook')
    .option(
      '--since <iso>',
      'day from which is watched; default three years before the end of the records',
      isoDay,
    )
    .option('--plan <file>', 'plan that names endpoint and types of restoration (JSON, docs/plan.md)')
    .option('--out <dir>', 'folder for the page; default reports/watch')
    .option('--formats <names>', 'formats beside the page: markdown,word,pdf,png or none; default markdown')
    .option(...paperOption)
    .option(...setAsideOption)
    .option('--date <iso>', 'date of making to print, instead of today')
    .helpOption('--help', 'print this help')
    .addHelpText(
      'after',
      '\nExamples:\n  holdfast watch my-practice\n  holdfast watch my-practice --since 2024-01-01 --out reports/watch-2026',
    )
    .action(watch)
}

async function watch(dataset: string, options: WatchCommandOptions): Promise<void> {
  const formats = formatsOf(options.formats) ?? ['markdown' as const]
  if (needsBrowser(formats)) await (await import('../../documents/formats/pdf.js')).requireBrowser()
  const made = dayOfMaking(options.date)
  const [{ watchPractice }, { watchInLines, writeWatchReport }, { version }] = await Promise.all([
    import('../../questions/watching/answer.js'),
    import('../../documents/kinds/watchReport.js'),
    import('../../notebook/version.js'),
  ])
  const { plan, setAside, since } = options
  const { cohort, settings } = await ownRecords(dataset, {
    today: made.day,
    ...(plan === undefined ? {} : { plan }),
    ...(setAside === undefined ? {} : { setAside }),
  })
  const result = watchPractice(cohort, settings, since === undefined ? {} : { since })
  const { htmlPath } = await writeWatchReport(result, {
    outDir: options.out ?? join('reports', 'watch'),
    formats,
    date: made.iso,
    version,
    ...paperOf(options.paper),
    source: cohort.summary.source,
    definition: cohort.definition,
    settings,
  })
  process.stdout.write(`${watchInLines(result).join('\n')}\nReport: ${htmlPath}\n`)
}

function isoDay(text: string): number {
  const day = dayFromIso(text)
  if (day === undefined) throw new InvalidArgumentError('Expected a day as YYYY-MM-DD.')
  return day
}
