import { join } from 'node:path'
import { type Command, InvalidArgumentError } from 'commander'
import { dayFromIso } from '../../core/calendar.js'
import { needsBrowser } from '../../documents/formats/formats.js'
import { speaker } from '../../messages/speaker.js'
import type { OwnQuestion } from '../../questions/registry.js'
import { formatsOf, paperOf, paperOption } from '../formats.js'
import { ownRecords } from '../ownRecords.js'
import { setAsideOption } from '../setAside.js'
import { dayOfMaking } from '../today.js'

interface OwnPageCommandOptions {
  readonly out?: string
  readonly formats?: string
  readonly paper?: string
  readonly plan?: string
  readonly setAside?: readonly string[]
  readonly date?: string
}

/** Adds the command of a question that has a page of its own: `holdfast needed`, `holdfast watch`. */
export function addOwnPage(program: Command, question: OwnQuestion): void {
  const { kind, page } = question
  const { says, plan, options, examples } = page.command
  const { text } = speaker()
  const command = program
    .command(kind)
    .description(text(says))
    .argument('<dataset>', 'folder, CSV file or workbook')
  for (const { name, gives, says: meaning } of options) {
    command.option(`--${name} <${gives}>`, text(meaning), gives === 'iso' ? isoDay : number)
  }
  const called = `  holdfast ${kind} my-practice`
  command
    .option('--plan <file>', text(plan))
    .option('--out <dir>', `folder for the page; default reports/${kind}`)
    .option('--formats <names>', 'formats beside the page: markdown,word,pdf,png or none; default markdown')
    .option(...paperOption)
    .option(...setAsideOption)
    .option('--date <iso>', 'date of making to print, instead of today')
    .helpOption('--help', 'print this help')
    .addHelpText(
      'after',
      ['\nExamples:', called, ...examples.map((words) => [called, ...words].join(' '))].join('\n'),
    )
    .action((dataset: string, given: OwnPageCommandOptions) => writePage(question, dataset, given))
}

async function writePage(
  { kind, page }: OwnQuestion,
  dataset: string,
  options: OwnPageCommandOptions,
): Promise<void> {
  const formats = formatsOf(options.formats) ?? ['markdown' as const]
  if (needsBrowser(formats)) await (await import('../../documents/formats/pdf.js')).requireBrowser()
  const made = dayOfMaking(options.date)
  const [{ inLines, writeOwnPage }, { version }] = await Promise.all([
    import('../../documents/kinds/ownPage.js'),
    import('../../notebook/version.js'),
  ])
  const { plan, setAside } = options
  const { cohort, settings } = await ownRecords(dataset, {
    today: made.day,
    ...(plan === undefined ? {} : { plan }),
    ...(setAside === undefined ? {} : { setAside }),
  })
  const asked = page.command.options.map(({ name }) => name)
  const given = Object.entries(options).filter(([name]) => asked.includes(name))
  const result = page.answer(cohort, settings, Object.fromEntries(given))
  const { htmlPath } = await writeOwnPage(result, {
    outDir: options.out ?? join('reports', kind),
    formats,
    date: made.iso,
    version,
    ...paperOf(options.paper),
    source: cohort.summary.source,
    definition: cohort.definition,
    settings,
  })
  process.stdout.write(`${inLines(result).join('\n')}\nReport: ${htmlPath}\n`)
}

function number(text: string): number {
  const value = Number(text)
  if (text.trim() === '' || !Number.isFinite(value)) throw new InvalidArgumentError('It has to be a number.')
  return value
}

function isoDay(text: string): number {
  const day = dayFromIso(text)
  if (day === undefined) throw new InvalidArgumentError('Expected a day as YYYY-MM-DD.')
  return day
}
