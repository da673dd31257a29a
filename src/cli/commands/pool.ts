import { join } from 'node:path'
import type { Command } from 'commander'
import { UsageError } from '../../core/errors.js'
import { stableJson } from '../../core/plain.js'
import { version } from '../../notebook/version.js'
import type { PooledResult } from '../../pooling/combine.js'
import type { AgreedProtocol } from '../../pooling/protocol.js'
import type { SiteSummary } from '../../pooling/summarySchema.js'
import { needsBrowser, type ReportFormat } from '../../report/formats.js'
import { formatsOf } from '../formats.js'
import { readReceived, roundsFolder, withoutClinics } from '../received.js'
import { requireKey } from '../shareRecords.js'
import {
  fileNameOf,
  groupKeyVariable,
  pagesIn,
  readGroupKey,
  readNamed,
  replacePages,
  type WholeFile,
  writeWhole,
} from '../sharing.js'
import { dayOfMaking } from '../today.js'

/** Adds `holdfast pool`: from the summaries of sites to the report of a study group. */
export function addPool(program: Command): void {
  program
    .command('pool')
    .description('check and pool the summaries of a study group, and write its report and the next request')
    .argument(
      '[paths...]',
      'folders or files that the sites sent; with --rows data sets in the shareable form',
    )
    .option('--protocol <file>', 'protocol file of the study group')
    .option('--out <dir>', 'folder for report/, rounds/ and for-sites/')
    .option('--example-protocol', 'print a protocol file to start from, and stop')
    .option('--rows', 'pool de-identified rows at exact times, where rules allow it')
    .option('--without <clinics>', 'clinics to leave out, with commas between them, as where one dropped out')
    .option(
      '--group-key <file>',
      `file with the key of the group, else ${groupKeyVariable} of the environment: files without its seal are refused`,
    )
    .option('--skip-refused', 'pool the others where some files are refused')
    .option(
      '--formats <names>',
      'formats beside the page: markdown,word,pdf,pdf-letter or none; default markdown,word',
    )
    .option('--date <iso>', 'date of making to print, instead of today')
    .helpOption('--help', 'print this help')
    .addHelpText(
      'after',
      '\nExamples:\n  holdfast pool --example-protocol > group.json\n  holdfast pool received --protocol group.json --out study\n  holdfast pool received --protocol group.json --out study --without clinic_C\n  holdfast pool shareable-1 shareable-2 --protocol group.json --out study --rows',
    )
    .action(pool)
}

interface Options {
  readonly protocol?: string
  readonly out?: string
  readonly exampleProtocol?: boolean
  readonly rows?: boolean
  readonly without?: string
  readonly groupKey?: string
  readonly skipRefused?: boolean
  readonly formats?: string
  readonly date?: string
}

/** What a run is about. */
interface Study {
  readonly agreed: AgreedProtocol
  readonly out: string
  readonly formats: readonly ReportFormat[] | undefined
  readonly made: ReturnType<typeof dayOfMaking>
}

async function pool(paths: readonly string[], options: Options): Promise<void> {
  const { exampleProtocol, readProtocol } = await import('../../pooling/protocol.js')
  if (options.exampleProtocol === true) {
    process.stdout.write(`${JSON.stringify(exampleProtocol, undefined, 2)}\n`)
    return
  }
  if (paths.length === 0) throw notNamed('what the sites sent', 'one folder at least', 'received')
  if (options.protocol === undefined)
    throw notNamed('the protocol', '--protocol and its file', '--protocol group.json')
  if (options.out === undefined) throw notNamed('where to write', '--out and a folder', '--out study')
  const formats = formatsOf(options.formats)
  if (needsBrowser(formats)) await (await import('../../report/pdf.js')).requireBrowser()
  const agreed = readProtocol(await readNamed(options.protocol, 'the protocol'))
  const study = { agreed, out: options.out, formats, made: dayOfMaking(options.date) }
  if (options.rows === true) await poolDatasets(paths, study, options.without)
  else await poolSummaries(paths, study, options)
}

async function poolSummaries(paths: readonly string[], study: Study, options: Options): Promise<void> {
  const { agreed, out } = study
  const key = await readGroupKey(options.groupKey)
  requireKey(agreed, key)
  const received = await readReceived(paths, roundsFolder(out), key)
  if (received.refused[0] !== undefined && options.skipRefused !== true) throw received.refused[0]
  const { combineSummaries } = await import('../../pooling/combine.js')
  const summaries = withoutClinics(received.summaries, options.without)
  const result = combineSummaries(summaries, agreed, { rounds: received.rounds, key })
  if (result.refused.length > 0 && options.skipRefused !== true) throw refusedAsWhole(result)
  for (const { message } of received.refused) process.stderr.write(`Not used: ${message}\n`)
  for (const { reason } of result.refused) process.stderr.write(`Not used: ${reason}\n`)
  const folder = join(out, 'for-sites')
  await pagesIn(folder)
  const pages = await sitePages(summaries, study)
  await writeStudy(result, study, false)
  await replacePages(folder, pages)
  process.stdout.write(`Confidential pages, one for each site: ${folder}\n`)
  await writeRequest(result, out)
}

function notNamed(what: string, expected: string, example: string): UsageError {
  return new UsageError({
    code: 'not-named',
    problem: `${what} was not named.`,
    expected: `${expected}.`,
    mend: `write ${example}; holdfast pool --help shows examples.`,
  })
}

function refusedAsWhole({ refused }: PooledResult): UsageError {
  return new UsageError({
    code: 'summaries-refused',
    problem: `${refused.length === 1 ? 'one summary' : `${refused.length} summaries`} cannot be used. ${refused.map(({ reason }) => reason).join(' ')}`,
    expected: 'summaries that all hold.',
    mend: 'take them out of the folders, or add --skip-refused to pool the others.',
  })
}

async function writeStudy(result: PooledResult, study: Study, rows: boolean): Promise<void> {
  const [{ pooledReport }, { writeReportFolder }] = await Promise.all([
    import('../../report/pooledDocument.js'),
    import('../../report/writeReport.js'),
  ])
  const { out, formats, made } = study
  const report = pooledReport(result, { date: made.iso, version, rows })
  const written = await writeReportFolder(report, {
    outDir: join(out, 'report'),
    ...(formats === undefined ? {} : { formats }),
  })
  process.stdout.write(`Study-group report: ${written.htmlPath}\n`)
}

async function sitePages(
  summaries: readonly SiteSummary[],
  { agreed, made }: Study,
): Promise<readonly WholeFile[]> {
  const [{ checkSummaries }, { siteComparisons }, { siteDocument }, { documentHtml }] = await Promise.all([
    import('../../pooling/checkSummaries.js'),
    import('../../pooling/siteComparison.js'),
    import('../../report/siteDocument.js'),
    import('../../report/html.js'),
  ])
  const { accepted } = checkSummaries(summaries, agreed)
  return siteComparisons(accepted, agreed.protocol).map((comparison) => ({
    path: `${fileNameOf(comparison.clinic)}.html`,
    content: documentHtml(siteDocument(comparison, { date: made.iso }), new Map()),
  }))
}

async function writeRequest({ model }: PooledResult, out: string): Promise<void> {
  if (model.state === 'waiting') {
    process.stdout.write(`Round ${model.round} of the model waits for: ${model.clinics.join(', ')}\n`)
  }
  if (model.state !== 'next-round') return
  const path = join(roundsFolder(out), `request-${model.request.round}.json`)
  await writeWhole([{ path, content: `${stableJson(model.request, 1)}\n` }])
  process.stdout.write(`Next request of the model, to send to the sites: ${path}\n`)
}

/** The records route: shareable rows, clinics as strata. */
async function poolDatasets(
  paths: readonly string[],
  study: Study,
  without: string | undefined,
): Promise<void> {
  const [{ buildCohort }, { protocolDefinition, siteRows }, { poolRows }, { readShareable }] =
    await Promise.all([
      import('../../cohort/cohort.js'),
      import('../../pooling/siteRows.js'),
      import('../../pooling/pooledRows.js'),
      import('../../records/read/readShareable.js'),
    ])
  const { agreed, made } = study
  const sets = []
  for (const path of paths) sets.push(await readShareable(path, { today: made.day }))
  const definition = protocolDefinition(agreed.protocol)
  const rows = sets.flatMap((records) => siteRows(buildCohort(records, definition), agreed.protocol))
  const generated = sets.some(({ source }) => source.generated)
  await writeStudy(poolRows(withoutClinics(rows, without), agreed, { generated }), study, true)
}
