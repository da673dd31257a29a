import { basename, extname, join, resolve } from 'node:path'
import type { Command } from 'commander'
import { exitCodes, UsageError } from '../../core/errors.js'
import { auditFormats, needsBrowser } from '../../documents/formats/formats.js'
import { type AuditKind, auditKindNames } from '../../documents/kinds/auditKindNames.js'
import { languageOf, leadingDocument } from '../../documents/model/documentLanguages.js'
import type { AuditOrder } from '../auditDataset.js'
import { formatsOf, paperOf, paperOption } from '../formats.js'
import { startProgress, startStages } from '../progress.js'
import { setAsideOption } from '../setAside.js'
import { dayOfMaking } from '../today.js'

interface AuditCommandOptions {
  readonly out?: string
  readonly corrections?: string
  readonly setAside?: readonly string[]
  readonly plan?: string
  readonly full?: boolean
  readonly outside?: boolean
  readonly comparison?: boolean
  readonly date?: string
  readonly formats?: string
  readonly paper?: string
  readonly language?: string
  readonly kind?: string
  readonly each?: boolean
}

/** Adds `holdfast audit`: from a data set to a report. */
export function addAudit(program: Command): void {
  program
    .command('audit')
    .description('read a data set, compute incidence, retention and the comparison, and write the report')
    .argument('<dataset...>', 'folder with the three tables, or the one-sheet CSV; several with --each')
    .option('--out <dir>', 'folder for the report; default reports/ and the name of the data set')
    .option(
      '--formats <names>',
      'formats beside the page: markdown,word,slides,pdf,png (figures); default markdown, with --kind also word. none: no page either, only answer.json and results.json, for machines',
    )
    .option(...paperOption)
    .option(
      '--language <code>',
      'language of the document: en (default); of summary, slides and leaflet also de, es, fr, of the report de; other documents of the folder stay in English',
    )
    .option('--kind <name>', 'what is made of it: audit (default), case-series or leaflet')
    .option('--each', 'audit several data sets, each by itself; --out is then the folder of their reports')
    .option('--corrections <file>', 'CSV of corrections to apply: file, row, column, old, new, why')
    .option(...setAsideOption)
    .option('--plan <file>', 'plan of the comparison, written before results (JSON, docs/plan.md)')
    .option(
      '--full',
      'also what takes long: penalised and frailty models, and the figures of the later sections',
    )
    .option(
      '--outside',
      'only what may leave the practice, as summary (and slides), or with --kind as leaflet or case series: no clinics, operators, rows of the records, files or counts below 5',
    )
    .option('--comparison', 'in a leaflet: also what was seen of single against repeated tightening')
    .option('--date <iso>', 'date of making to print, instead of today')
    .helpOption('--help', 'print this help')
    .addHelpText(
      'after',
      '\nExamples:\n  holdfast audit data-demo\n  holdfast audit my-practice --out reports/2026 --formats word,pdf\n  holdfast audit one-sheet.csv --date 2026-01-31\n  holdfast audit my-practice --kind case-series --out reports/draft\n  holdfast audit clinics/* --each --out reports/clinics',
    )
    .action(audit)
}

async function audit(datasets: readonly string[], options: AuditCommandOptions): Promise<void> {
  // A report is read as a page; what others edit, a manuscript or a leaflet, comes for Word too.
  const formats =
    formatsOf(options.formats, auditFormats) ??
    (options.kind === undefined ? ['markdown' as const] : undefined)
  if (needsBrowser(formats)) await (await import('../../documents/formats/pdf.js')).requireBrowser()
  const kind = kindOf(options.kind)
  if (options.comparison === true && kind !== 'leaflet') throw comparisonOfKind()
  if (formats?.includes('slides') && kind !== undefined && kind !== 'audit') throw slidesOfKind()
  const shared = {
    made: dayOfMaking(options.date),
    ...paperOf(options.paper),
    ...(options.language === undefined
      ? {}
      : {
          language: languageOf(
            options.language,
            options.outside === true && (kind ?? 'audit') === 'audit'
              ? 'outside'
              : leadingDocument(kind ?? 'audit'),
          ),
        }),
    ...(formats === undefined ? {} : { formats }),
    ...(kind === undefined ? {} : { kind }),
    ...(options.corrections === undefined ? {} : { corrections: options.corrections }),
    ...(options.setAside === undefined ? {} : { setAside: options.setAside }),
    ...(options.plan === undefined ? {} : { plan: options.plan }),
    ...(options.full === undefined ? {} : { full: options.full }),
    ...(options.outside === undefined ? {} : { outside: options.outside }),
    ...(options.comparison === undefined ? {} : { comparison: options.comparison }),
  }
  if (options.each === true) return each(datasets, options, shared)
  const [dataset, ...more] = datasets
  if (dataset === undefined || more.length > 0) throw severalDatasets()
  const [{ auditDataset }, { openPictureDrawer }] = await Promise.all([
    import('../auditDataset.js'),
    import('../../charts/pictureDrawer.js'),
  ])
  // What machines read has no pictures: nothing that draws is loaded.
  const picturesWanted = formats === undefined || formats.length > 0 || kind !== undefined || shared.outside
  const drawer = picturesWanted ? openPictureDrawer() : undefined
  const outDir = options.out ?? join('reports', nameOf(dataset))
  const progress = startStages()
  const { lines, path, made } = await auditDataset({ ...shared, dataset, outDir }, drawer, progress.update)
    .finally(progress.stop)
    .finally(() => drawer?.close())
  process.stdout.write(`${lines.join('\n')}\n${made}: ${path}\n`)
}

async function each(
  datasets: readonly string[],
  options: AuditCommandOptions,
  shared: Omit<AuditOrder, 'dataset' | 'outDir'>,
): Promise<void> {
  if (options.corrections !== undefined) throw correctionsForEach()
  const parent = options.out ?? 'reports'
  const orders = datasets.map((dataset) => ({ ...shared, dataset, outDir: join(parent, nameOf(dataset)) }))
  const twice = orders.find(({ outDir }, index) => orders.findIndex((one) => one.outDir === outDir) < index)
  if (twice !== undefined) throw sameName(nameOf(twice.dataset))
  const { auditEach } = await import('../auditEach.js')
  const progress = startProgress('auditing')
  const failed: string[] = []
  await auditEach(orders, ({ dataset }, { audited, failure }, done) => {
    progress.update(done / orders.length)
    if (audited !== undefined) {
      process.stdout.write(`${nameOf(dataset)}: ${audited.lines[0]}\n  ${audited.made}: ${audited.path}\n`)
    } else {
      failed.push(nameOf(dataset))
      process.stderr.write(`${nameOf(dataset)}: ${failure.text}\n`)
      process.exitCode = Math.max(Number(process.exitCode ?? exitCodes.ok), failure.exitCode)
    }
  }).finally(progress.stop)
  const well = orders.length - failed.length
  process.stdout.write(`${well} of ${orders.length} data sets audited.\n`)
}

function nameOf(dataset: string): string {
  const name = basename(resolve(dataset))
  return name.slice(0, name.length - extname(name).length) || 'audit'
}

function severalDatasets(): UsageError {
  return new UsageError({
    code: 'several-datasets',
    problem: 'more than one data set is named.',
    expected: 'one data set, or --each to audit several, each by itself.',
    mend: 'add --each; to audit them together, merge them first with holdfast merge.',
  })
}

function slidesOfKind(): UsageError {
  return new UsageError({
    code: 'slides-kind',
    problem: 'slides are made of an audit only.',
    expected: '--formats slides without --kind.',
    mend: 'leave --kind away, or slides.',
  })
}

function comparisonOfKind(): UsageError {
  return new UsageError({
    code: 'comparison-kind',
    problem: 'a comparison is asked for by itself in a leaflet only.',
    expected: '--comparison together with --kind leaflet.',
    mend: 'add --kind leaflet, or leave --comparison away: every other document compares.',
  })
}

function sameName(name: string): UsageError {
  return new UsageError({
    code: 'same-name',
    problem: `two of the data sets are named ${name}, and their reports would stand in one folder.`,
    expected: 'data sets whose folders or files have names of their own.',
    mend: 'rename one of them, or audit it by itself with --out.',
  })
}

function correctionsForEach(): UsageError {
  return new UsageError({
    code: 'corrections-for-each',
    problem: 'one file of corrections cannot belong to several data sets.',
    expected: '--each without --corrections.',
    mend: 'audit the data set that has corrections by itself.',
  })
}

/** Kind of document, as the option names it; undefined where there is no option. */
function kindOf(option: string | undefined): AuditKind | undefined {
  if (option === undefined) return undefined
  const named = auditKindNames.find((kind) => kind === option.trim().toLowerCase())
  if (named !== undefined) return named
  throw new UsageError({
    code: 'bad-kind',
    problem: '--kind names a kind of document that there is not.',
    expected: `one of ${auditKindNames.join(', ')}.`,
    mend: 'write --kind case-series.',
  })
}
