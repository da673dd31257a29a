import { join } from 'node:path'
import { type Command, InvalidArgumentError } from 'commander'
import { needsBrowser } from '../../documents/formats/formats.js'
import { formatsOf, paperOf, paperOption } from '../formats.js'
import { ownRecords } from '../ownRecords.js'
import { planOf } from '../plan.js'
import { dayOfMaking } from '../today.js'

interface ProposeOptions {
  readonly out?: string
  readonly records?: string
  readonly formats?: string
  readonly paper?: string
  readonly date?: string
  readonly perPatient?: number
  readonly correlation?: number
  readonly lost?: number
  readonly power?: number
}

/** Adds `holdfast propose`: from a plan to the draft of a study protocol. */
export function addPropose(program: Command): void {
  program
    .command('propose')
    .description(
      'draft a study protocol from a plan, with data management, protection of people and ethics questions',
    )
    .argument('[plan]', 'plan of the comparison (JSON, docs/plan.md); the default plan where there is none')
    .option(
      '--records <dataset>',
      'take restorations per patient, likeness and loss from the practice’s own records',
    )
    .option('--out <dir>', 'folder for the draft; default reports/protocol')
    .option(
      '--formats <names>',
      'formats beside the page: markdown,word,pdf,png or none; default markdown,word',
    )
    .option(...paperOption)
    .option('--per-patient <number>', 'restorations of one patient, on average; default 1.5', number)
    .option('--correlation <number>', 'correlation within a patient; default 0.1', number)
    .option('--lost <share>', 'share not followed to the horizon; default 0.2', number)
    .option('--power <share>', 'power of the comparison; default 0.8', number)
    .option('--date <iso>', 'date of making to print, instead of today')
    .helpOption('--help', 'print this help')
    .addHelpText(
      'after',
      '\nExamples:\n  holdfast propose plan.json\n  holdfast propose plan.json --per-patient 1.2 --lost 0.1 --formats word\n  holdfast propose plan.json --records my-practice',
    )
    .action(propose)
}

async function propose(path: string | undefined, options: ProposeOptions): Promise<void> {
  const formats = formatsOf(options.formats)
  if (needsBrowser(formats)) await (await import('../../documents/formats/pdf.js')).requireBrowser()
  const made = dayOfMaking(options.date)
  const [{ plannedStudy }, { writeProposal }, { dictionaryFields }, { version }] = await Promise.all([
    import('../../questions/plan/plannedStudy.js'),
    import('../../documents/kinds/proposalDocument.js'),
    import('../../notebook/dictionary.js'),
    import('../../notebook/version.js'),
  ])
  const { perPatient, correlation, lost, power } = options
  const study = plannedStudy(await planOf(path), {
    ...(options.records === undefined ? {} : await ownAssumptions(options.records, path, made.day)),
    ...(perPatient === undefined ? {} : { restorationsPerPatient: perPatient }),
    ...(correlation === undefined ? {} : { correlation }),
    ...(lost === undefined ? {} : { lostShare: lost }),
    ...(power === undefined ? {} : { power }),
  })
  const { htmlPath } = await writeProposal(study, {
    outDir: options.out ?? join('reports', 'protocol'),
    date: made.iso,
    version,
    ...paperOf(options.paper),
    fields: dictionaryFields(),
    ...(formats === undefined ? {} : { formats }),
  })
  process.stdout.write(`A draft: every place in square brackets is for the author.\nReport: ${htmlPath}\n`)
}

/** What the practice's own records say of what is assumed. */
async function ownAssumptions(dataset: string, plan: string | undefined, today: number) {
  const { whatIsNeeded } = await import('../../questions/needed/answer.js')
  const { cohort, settings } = await ownRecords(dataset, { today, ...(plan === undefined ? {} : { plan }) })
  const { perPatient, ratio, ratioOwn, followedShare } = whatIsNeeded(cohort, settings, {
    resamples: 1,
  }).assumptions
  return {
    restorationsPerPatient: perPatient,
    lostShare: Math.min(0.95, Math.max(0, 1 - followedShare)),
    // Kish's design effect turned round; where too few events were seen, the correlation is assumed.
    ...(ratioOwn && perPatient > 1
      ? { correlation: Math.min(1, Math.max(0, (ratio - 1) / (perPatient - 1))) }
      : {}),
  }
}

function number(text: string): number {
  const value = Number(text)
  if (text.trim() === '' || !Number.isFinite(value)) throw new InvalidArgumentError('It has to be a number.')
  return value
}
