import { existsSync, mkdirSync } from 'node:fs'
import { basename, join, resolve } from 'node:path'
import { type Command, InvalidArgumentError } from 'commander'
import { dayFromIso } from '../../core/calendar.js'
import { exitCodes, UsageError } from '../../core/errors.js'
import { stopwatch } from '../../core/stopwatch.js'
import type { NotebookRun } from '../../notebook/run.js'
import { startStages } from '../progress.js'

interface Options {
  readonly out: string
  readonly data?: readonly string[]
  readonly html?: boolean
  readonly code: boolean
  readonly param: Readonly<Record<string, string>>
  readonly cellSeconds: number
  readonly memory: number
  readonly plan?: string
  readonly until?: readonly string[]
  readonly handOn?: boolean
}

/** Adds `holdfast notebook`: executes notebooks through the kernel and writes them, with their outputs, elsewhere. */
export function addNotebook(program: Command): void {
  program
    .command('notebook')
    .description('run notebooks from top to bottom and write them, with their results, to a folder')
    .argument('<file...>', 'notebooks (.ipynb); they are not changed')
    .option('--out <dir>', 'folder for the executed notebooks', join('reports', 'notebooks'))
    .option(
      '--data <dataset...>',
      'data set for the notebooks (HOLDFAST_DATA); of several each gets a folder, and all an index page',
    )
    .option('--html', 'also write each as one page to read and print')
    .option('--plan <file>', 'plan of the comparison, written before results (HOLDFAST_PLAN; docs/plan.md)')
    .option(
      '--until <day...>',
      'take the records as they stood at the end of a day (HOLDFAST_UNTIL); of several days each gets a run',
    )
    .option(
      '--hand-on',
      'write pages to hand on: no code, no cells tagged "hide", those tagged "appendix" last',
    )
    .option('--no-code', 'with --html: leave the code out of the page')
    .option(
      '--param <name=value>',
      'set a value of the cell tagged "parameters"; repeat as needed',
      gather,
      {},
    )
    .option('--cell-seconds <n>', 'seconds that one cell may take', positive, 120)
    .option('--memory <megabytes>', 'memory that the cells may take', positive, 2048)
    .helpOption('--help', 'print this help')
    .addHelpText(
      'after',
      '\nExamples:\n  holdfast notebook notebooks/01-your-records.ipynb --html\n  holdfast notebook notebooks/*.ipynb --data my-practice --out reports/2026 --html --no-code\n  holdfast notebook notebooks/*.ipynb --data north south --out runs/2026-Q4',
    )
    .action(runNotebooks)
}

async function runNotebooks(files: readonly string[], options: Options): Promise<void> {
  for (const day of options.until ?? []) dayOfUntil(day)
  const { data = [], until = [] } = options
  if (data.length > 1 || until.length > 1) return runOverDataSets(files, options)
  const { runNotebook, writeNotebook } = await import('../../notebook/run.js')
  const { notebookHtml } = await import('../../notebook/notebookHtml.js')
  const targets = targetsOf(files, options.out)
  const environment = environmentOf(options)
  const html = options.html === true || options.handOn === true
  for (const signal of ['SIGINT', 'SIGTERM'] as const) process.once(signal, () => process.exit(130))
  mkdirSync(options.out, { recursive: true })
  const head = options.data === undefined ? [] : await pageHead(options.data[0]!, options)
  const progress = startStages()
  for (const [index, file] of files.entries()) {
    const started = stopwatch()
    const run = await runNotebook(file, {
      environment,
      parameters: options.param,
      cellSeconds: options.cellSeconds,
      memoryMb: options.memory,
      narrow: html,
      onCell: (cell, cells) =>
        progress.update(`${basename(file)}: cell ${cell} of ${cells}`, (cell - 1) / cells),
    })
    const target = targets[index]!
    progress.stop()
    await writeNotebook(
      target,
      run.notebook,
      html
        ? {
            path: target.replace(/(\.ipynb)?$/, '.html'),
            content: notebookHtml(run.notebook, {
              code: options.code,
              head,
              handOn: options.handOn === true,
            }),
          }
        : undefined,
    )
    report(file, target, run, started())
  }
}

/** Notebooks × data sets: a page for each, a folder for each data set, and one index. */
async function runOverDataSets(files: readonly string[], options: Options): Promise<void> {
  const { runOver } = await import('../../notebook/runOver.js')
  const { data = [], out, code, param, cellSeconds, memory, plan, until = [], handOn = false } = options
  for (const signal of ['SIGINT', 'SIGTERM'] as const) process.once(signal, () => process.exit(130))
  const progress = startStages()
  const done = await runOver(files, data, {
    out,
    code,
    parameters: param,
    cellSeconds,
    memoryMb: memory,
    until,
    handOn,
    ...(plan === undefined ? {} : { plan }),
    onPage: (page, pages, name) => progress.update(`${page} of ${pages}: ${name}`, (page - 1) / pages),
  }).finally(progress.stop)
  for (const { name, why } of done.failures) process.stderr.write(`${name}: ${why}\n`)
  process.stdout.write(`${done.pages} pages written; open ${done.indexPath}\n`)
  if (done.failures.length > 0) process.exitCode = exitCodes.data
}

/** What a page says of its data set; a data set that cannot be read is told by the notebook itself. */
async function pageHead(data: string, { param, plan, until }: Options): Promise<readonly string[]> {
  const { provenanceHead } = await import('../../notebook/runOver.js')
  try {
    return await provenanceHead(data, {
      parameters: param,
      ...(plan === undefined ? {} : { plan }),
      ...(until?.[0] === undefined ? {} : { until: until[0] }),
    })
  } catch {
    return []
  }
}

function report(file: string, target: string, { failure }: NotebookRun, milliseconds: number): void {
  const seconds = (milliseconds / 1000).toFixed(1)
  if (failure === undefined) {
    process.stdout.write(`${basename(file)}: ran in ${seconds} s; written to ${target}\n`)
    return
  }
  process.exitCode = exitCodes.data
  process.stderr.write(
    `${basename(file)}, cell ${failure.cell}: ${failure.detail}\nWhat came before is kept in ${target}; ${basename(file)} itself is unchanged.\n`,
  )
}

/** Where each notebook goes: never onto itself, and no two onto one. */
function targetsOf(files: readonly string[], out: string): readonly string[] {
  const targets = files.map((file) => join(out, basename(file)))
  const clash = targets.some(
    (target, i) => files.some((file) => resolve(file) === resolve(target)) || targets.indexOf(target) !== i,
  )
  if (!clash) return targets
  throw new UsageError({
    code: 'notebook-overwritten',
    problem: 'the executed notebooks would be written over a notebook given, or over one another.',
    expected: 'another folder, and files of different names.',
    mend: 'choose the folder with --out, or run them one by one.',
  })
}

/** The data set and the plan by their full paths, for the cells run in the folder of the notebook. */
function environmentOf({ data, plan, until }: Options): Readonly<Record<string, string>> {
  const found: Record<string, string> = {}
  if (data?.[0] !== undefined)
    found.HOLDFAST_DATA = existing(
      data[0],
      '--data',
      'a folder with the three tables, or the one-sheet file.',
    )
  if (plan !== undefined)
    found.HOLDFAST_PLAN = existing(plan, '--plan', 'a file of JSON, as docs/plan.md describes it.')
  if (until?.[0] !== undefined) found.HOLDFAST_UNTIL = until[0]
  return found
}

function existing(given: string, option: string, expected: string): string {
  const path = resolve(given)
  if (existsSync(path)) return path
  throw new UsageError({
    code: 'no-such-path',
    problem: `there is no ${given}.`,
    expected,
    mend: `correct the path after ${option}.`,
  })
}

function dayOfUntil(day: string): void {
  if (dayFromIso(day) !== undefined) return
  throw new UsageError({
    code: 'bad-date',
    problem: '--until is not a calendar date.',
    expected: 'ISO dates such as 2024-12-31 2025-12-31.',
    mend: 'write --until 2025-12-31.',
  })
}

function gather(text: string, gathered: Readonly<Record<string, string>>): Readonly<Record<string, string>> {
  const at = text.indexOf('=')
  if (at < 1) throw new InvalidArgumentError('Write it as name=value.')
  return { ...gathered, [text.slice(0, at)]: text.slice(at + 1) }
}

function positive(text: string): number {
  const value = Number(text)
  if (!(value > 0 && Number.isFinite(value))) throw new InvalidArgumentError('Give a number above 0.')
  return value
}
