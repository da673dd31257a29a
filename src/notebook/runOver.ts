import { createHash } from 'node:crypto'
import { existsSync, mkdirSync, readFileSync } from 'node:fs'
import { basename, dirname, extname, join, relative, resolve } from 'node:path'
import { buildCohort } from '../cohort/cohort.js'
import { isoFromDay } from '../core/calendar.js'
import { HoldfastError } from '../core/errors.js'
import { parseJson } from '../core/jsonText.js'
import { writeWhole } from '../core/wholeFiles.js'
import { message, speaker } from '../messages/index.js'
import { foreign } from '../messages/phrase.js'
import type { AnalysisPlan } from '../questions/plan/planFile.js'
import { plainInMarkdown } from './markdownHtml.js'
import { cellSource, type Notebook } from './notebookFile.js'
import { notebookHtml } from './notebookHtml.js'
import { openPlan } from './openPlan.js'
import { openRecords } from './openRecords.js'
import type { ParameterValues } from './parameters.js'
import { runNotebook, writeNotebook } from './run.js'
import { today } from './today.js'
import { version } from './version.js'

/** Settings of a run of notebooks over data sets. */
export interface RunOverOptions {
  /** Folder of the run; a folder for each data set is made in it. */
  readonly out: string
  readonly code: boolean
  readonly parameters: ParameterValues
  readonly cellSeconds: number
  readonly memoryMb: number
  /** Plan file of the comparison; default: that of the toolkit. */
  readonly plan?: string
  /** Days (ISO) up to which the records are taken, each a run of its own; default: all records once. */
  readonly until?: readonly string[]
  /** Whether the pages are to be handed on: cell tags say what they show. */
  readonly handOn?: boolean
  readonly onPage?: (page: number, pages: number, name: string) => void
}

/** What a run made. */
export interface RunOver {
  readonly pages: number
  readonly indexPath: string
  readonly failures: readonly { readonly name: string; readonly why: string }[]
}

interface Page {
  readonly set: string
  readonly notebook: string
  readonly path: string
  readonly state: string
  readonly sha256: string
}

/**
 * Runs every notebook on every data set. What one of them cannot do is said on the index page and in the answer, and the
 * rest goes on. Each page opens with what it was made from; the index says what changed since the last run.
 *
 * @throws UsageError where a file is no notebook
 */
export async function runOver(
  notebooks: readonly string[],
  data: readonly string[],
  options: RunOverOptions,
): Promise<RunOver> {
  mkdirSync(options.out, { recursive: true })
  const { until = [] } = options
  const periods: readonly (string | undefined)[] = until.length === 0 ? [undefined] : until
  const sets = uniqueNames(data).flatMap((folder, i) =>
    periods.map((day) => ({ path: data[i]!, day, folder: day === undefined ? folder : `${folder}/${day}` })),
  )
  const earlier = earlierPages(options.out)
  const pages: Page[] = []
  const failures: { name: string; why: string }[] = []
  let count = 0
  for (const { path, day, folder } of sets) {
    let head: readonly string[]
    try {
      const { parameters, plan } = options
      head = await provenanceHead(path, {
        parameters,
        ...(plan === undefined ? {} : { plan }),
        ...(day === undefined ? {} : { until: day }),
      })
    } catch (thrown) {
      failures.push({ name: folder, why: reasonOf(thrown) })
      count += notebooks.length
      continue
    }
    mkdirSync(join(options.out, folder), { recursive: true })
    for (const file of notebooks) {
      count += 1
      options.onPage?.(count, sets.length * notebooks.length, `${folder}/${basename(file)}`)
      const { page, why } = await onePage(file, { path, day, folder }, head, options, earlier)
      pages.push(page)
      if (why !== undefined) failures.push({ name: `${page.set}/${page.notebook}`, why })
    }
  }
  const indexPath = join(options.out, 'index.html')
  await writeWhole([
    { path: indexPath, content: indexHtml(pages, failures, { sets: data.length, periods: until.length }) },
    { path: join(options.out, 'run.json'), content: `${JSON.stringify({ pages }, null, 1)}\n` },
  ])
  return { pages: pages.length, indexPath, failures }
}

interface DataOfRun {
  readonly path: string
  readonly day: string | undefined
  readonly folder: string
}

/**
 * What the cells of a run find in their environment: where the records and the plan are, up to which day they go, and
 * where reports are written to, so that those of one data set do not take the place of those of another.
 */
function environmentOfRun(
  file: string,
  { path, day: until, folder }: DataOfRun,
  { plan, out }: RunOverOptions,
) {
  return {
    HOLDFAST_DATA: resolve(path),
    HOLDFAST_REPORTS: relative(dirname(resolve(file)), resolve(out, folder, 'reports')),
    ...(plan === undefined ? {} : { HOLDFAST_PLAN: resolve(plan) }),
    ...(until === undefined ? {} : { HOLDFAST_UNTIL: until }),
  }
}

async function onePage(
  file: string,
  of: DataOfRun,
  head: readonly string[],
  options: RunOverOptions,
  earlier: ReadonlyMap<string, string>,
): Promise<{ readonly page: Page; readonly why: string | undefined }> {
  const { notebook, failure } = await runNotebook(file, {
    environment: environmentOfRun(file, of, options),
    parameters: options.parameters,
    cellSeconds: options.cellSeconds,
    memoryMb: options.memoryMb,
    narrow: true,
  })
  const { folder } = of
  const own = namedAfter(notebook, folder.split('/')[0]!)
  const name = basename(file, '.ipynb')
  const path = `${folder}/${name}.html`
  await writeNotebook(join(options.out, folder, `${name}.ipynb`), own, {
    path: join(options.out, path),
    content: notebookHtml(own, { code: options.code, head, handOn: options.handOn === true }),
  })
  const outputs = own.cells.map((cell) => JSON.stringify(cell.outputs ?? []))
  const sha256 = createHash('sha256').update(outputs.join('\n')).digest('hex')
  const before = earlier.get(path)
  const state =
    failure !== undefined
      ? speaker().text(message('run.failed', { why: foreign(failure.detail) }))
      : speaker().text(
          message(before === undefined ? 'run.new' : before === sha256 ? 'run.same' : 'run.changed'),
        )
  return { page: { set: folder, notebook: name, path, state, sha256 }, why: failure?.detail }
}

/** The executed copy names the data set that was used where the notebook names the one that it falls back on. */
function namedAfter(notebook: Notebook, folder: string): Notebook {
  const cells = notebook.cells.map((cell) =>
    cell.metadata?.tags?.includes('parameters') === true
      ? { ...cell, source: cellSource(cell).replaceAll("'../data-demo'", JSON.stringify(folder)) }
      : cell,
  )
  return { ...notebook, cells }
}

/** Names of folders: those of the data sets, told apart by a number where two are alike. */
function uniqueNames(data: readonly string[]): readonly string[] {
  const names: string[] = []
  for (const path of data) {
    const name = basename(resolve(path), extname(path)) || 'data'
    let unique = name
    for (let i = 2; names.includes(unique); i++) unique = `${name}-${i}`
    names.push(unique)
  }
  return names
}

/** What a head tells beside the data set. */
export interface HeadOptions {
  readonly parameters: ParameterValues
  readonly plan?: string
  readonly until?: string
}

/**
 * What a page is made from, line by line.
 *
 * @throws RecordsRefused, CohortError where the data set cannot be used
 */
export async function provenanceHead(
  path: string,
  { parameters, plan, until }: HeadOptions,
): Promise<readonly string[]> {
  const records = await openRecords(path, { until: until ?? '' })
  const { source } = records
  const cohort = buildCohort(records)
  const { patients, deliveryYears } = cohort.summary
  const say = speaker()
  const planned = await openPlan(plan)
  const given = Object.entries(parameters).map(([name, value]) => `${name} = ${value}`)
  return [
    say.text(
      message('run.data', { title: foreign(source.title), generated: source.generated ? 'yes' : 'other' }),
    ),
    say.text(
      message('run.cohort', {
        restorations: cohort.n,
        patients,
        first: String(deliveryYears.first),
        last: String(deliveryYears.last),
      }),
    ),
    ...(until === undefined ? [] : [say.text(message('run.until', { day: until }))]),
    say.text(planLine(planned, plan)),
    ...(given.length === 0
      ? []
      : [say.text(message('run.parameters', { given: foreign(given.join(', ')) }))]),
    say.text(message('run.made', { date: isoFromDay(today()), version })),
  ]
}

function planLine({ source, written, sha256 }: AnalysisPlan, file = '') {
  if (source === 'default') return message('run.no-plan')
  const name = foreign(basename(file))
  return message('run.plan', { name, written: String(written), hash: sha256.slice(0, 12) })
}

/** Pages of the run before, by their paths, as run.json keeps them. */
function earlierPages(out: string): ReadonlyMap<string, string> {
  const file = join(out, 'run.json')
  if (!existsSync(file)) return new Map()
  try {
    const { pages } = parseJson(readFileSync(file, 'utf8')) as { pages: readonly Page[] }
    return new Map(pages.map(({ path, sha256 }) => [path, sha256]))
  } catch {
    return new Map()
  }
}

function reasonOf(thrown: unknown): string {
  if (thrown instanceof HoldfastError) return thrown.message
  throw thrown
}

function indexHtml(
  pages: readonly Page[],
  failures: RunOver['failures'],
  { sets, periods }: { readonly sets: number; readonly periods: number },
): string {
  const say = speaker()
  const lines = [
    `# ${say.text(message('run.title'))}`,
    say.text(message('run.whole', { pages: pages.length, sets, periods })),
    ...[...new Set(pages.map(({ set }) => set))].map((set) =>
      [
        `## ${plainInMarkdown(set)}`,
        ...pages
          .filter((page) => page.set === set)
          .map(
            ({ notebook, path, state }) =>
              `- [${plainInMarkdown(notebook)}](<${encodeURI(path)}>): ${plainInMarkdown(state)}`,
          ),
      ].join('\n\n'),
    ),
    ...failures.map(
      ({ name, why }) =>
        `- **${plainInMarkdown(name)}**: ${plainInMarkdown(say.text(message('run.failed', { why: foreign(why) })))}`,
    ),
  ]
  const cells = [{ cell_type: 'markdown', source: lines.join('\n\n'), metadata: {} }]
  return notebookHtml({ nbformat: 4, nbformat_minor: 5, metadata: {}, cells })
}
