import { join } from 'node:path'
import type { Command } from 'commander'
import { needsBrowser } from '../../documents/formats/formats.js'
import { formatsOf, paperOf, paperOption } from '../formats.js'
import { planOf } from '../plan.js'
import { announce } from '../progress.js'
import { setAsideOption } from '../setAside.js'
import { dayOfMaking } from '../today.js'

interface ChangesOptions {
  readonly setAside?: readonly string[]
  readonly out?: string
  readonly formats?: string
  readonly paper?: string
  readonly plan?: string
  readonly date?: string
}

/** Adds `holdfast changes`: what changed between two reports of one practice. */
export function addChanges(program: Command): void {
  program
    .command('changes')
    .description('say what changed between two reports of one practice, in the records and in the results')
    .argument('<then>', 'folder of the earlier report, or the earlier data set, which is then audited')
    .argument('<now>', 'folder of the later report, or the later data set')
    .option('--out <dir>', 'folder for the document; default reports/changes')
    .option(
      '--formats <names>',
      'formats beside the page: markdown,word,pdf,png or none; default markdown,word',
    )
    .option(...paperOption)
    .option('--plan <file>', 'plan by which data sets are audited (JSON, docs/plan.md)')
    .option(...setAsideOption)
    .option('--date <iso>', 'date of making to print, instead of today')
    .helpOption('--help', 'print this help')
    .addHelpText(
      'after',
      '\nExamples:\n  holdfast changes reports/2025 reports/2026\n  holdfast changes reports/2025 my-practice --out reports/changes-2026',
    )
    .action(changes)
}

async function changes(then: string, now: string, options: ChangesOptions): Promise<void> {
  const formats = formatsOf(options.formats)
  if (needsBrowser(formats)) await (await import('../../documents/formats/pdf.js')).requireBrowser()
  const made = dayOfMaking(options.date)
  const [before, after] = [await audited(then, made.day, options), await audited(now, made.day, options)]
  const [{ changeInLines, writeChangeReport }, { version }] = await Promise.all([
    import('../../documents/kinds/changeDocument.js'),
    import('../../notebook/version.js'),
  ])
  const { written, two } = await writeChangeReport(before, after, {
    outDir: options.out ?? join('reports', 'changes'),
    date: made.iso,
    version,
    ...paperOf(options.paper),
    ...(formats === undefined ? {} : { formats }),
  })
  process.stdout.write(`${changeInLines(two).join('\n')}\nReport: ${written.htmlPath}\n`)
}

/** The results of a folder, or those of a data set that is audited now. */
async function audited(path: string, today: number, options: ChangesOptions) {
  const { isReportFolder, readAuditResults } = await import('../../documents/readAuditResults.js')
  if (await isReportFolder(path)) return readAuditResults(path)
  const [
    { readRecords },
    { buildCohort },
    { auditCohort },
    { plannedDefinition },
    { plannedSettings },
    { version },
  ] = await Promise.all([
    import('../../records/read/readDataset.js'),
    import('../../cohort/cohort.js'),
    import('../../questions/audit.js'),
    import('../../questions/plan/planFile.js'),
    import('../../questions/plan/settings.js'),
    import('../../notebook/version.js'),
  ])
  const plan = await planOf(options.plan)
  const onProgress = (share: number): void => announce('reading', share)
  const records = await readRecords(path, { today, setAside: options.setAside ?? [], onProgress })
  announce('computing')
  return { audit: auditCohort(buildCohort(records, plannedDefinition(plan)), plannedSettings(plan)), version }
}
