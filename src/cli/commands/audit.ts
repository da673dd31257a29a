import { basename, extname, join, resolve } from 'node:path'
import type { Command } from 'commander'
import { version } from '../../notebook/version.js'
import { correctionsOf } from '../corrections.js'
import { planOf } from '../plan.js'
import { startProgress } from '../progress.js'
import { dayOfMaking } from '../today.js'

/** Adds `holdfast audit`: from a data set to a report. */
export function addAudit(program: Command): void {
  program
    .command('audit')
    .description('read a data set, compute incidence, retention and the comparison, and write the report')
    .argument('<dataset>', 'folder with the three tables, or the one-sheet CSV')
    .option('--out <dir>', 'folder for the report; default reports/ and the name of the data set')
    .option('--corrections <file>', 'CSV of corrections to apply: file, row, column, old, new, why')
    .option('--plan <file>', 'plan of the comparison, written before results (JSON, docs/plan.md)')
    .option('--date <iso>', 'date of making to print, instead of today')
    .helpOption('--help', 'print this help')
    .addHelpText(
      'after',
      '\nExamples:\n  holdfast audit data-demo\n  holdfast audit my-practice --out reports/2026\n  holdfast audit one-sheet.csv --date 2026-01-31',
    )
    .action(audit)
}

async function audit(
  dataset: string,
  options: { out?: string; corrections?: string; plan?: string; date?: string },
): Promise<void> {
  const [
    { readRecords },
    { buildCohort },
    { auditCohort },
    { plannedDefinition },
    { plannedSettings },
    { writeAuditReport, auditInThreeLines },
  ] = await Promise.all([
    import('../../records/readDataset.js'),
    import('../../cohort/cohort.js'),
    import('../../analysis/audit.js'),
    import('../../analysis/planFile.js'),
    import('../../analysis/settings.js'),
    import('../../report/writeReport.js'),
  ])
  const made = dayOfMaking(options.date)
  const plan = await planOf(options.plan)
  const progress = startProgress('reading')
  const corrections = await correctionsOf(options.corrections)
  const records = await readRecords(dataset, {
    today: made.day,
    corrections,
    onProgress: progress.update,
  }).finally(progress.stop)
  const cohort = buildCohort(records, plannedDefinition(plan))
  const result = auditCohort(cohort, { ...plannedSettings(plan), detail: 'full' })
  const outDir = options.out ?? join('reports', nameOf(dataset))
  const written = await writeAuditReport(result, { outDir, date: made.iso, version })
  process.stdout.write(`${auditInThreeLines(result).join('\n')}\nReport: ${written.htmlPath}\n`)
}

function nameOf(dataset: string): string {
  const name = basename(resolve(dataset))
  return name.slice(0, name.length - extname(name).length) || 'audit'
}
