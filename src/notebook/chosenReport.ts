import { stringify } from 'csv-stringify/sync'
import { textAlternative } from '../charts/textAlternative.js'
import { isoFromDay } from '../core/calendar.js'
import { UsageError } from '../core/errors.js'
import { message, speaker } from '../messages/index.js'
import type { BundleFile } from '../report/bundle.js'
import { reportNames } from '../report/formats.js'
import { chosenFormat, replaceFolder } from '../report/replaceFolder.js'
import type { WrittenReport } from '../report/writeReport.js'
import { notAwaited } from './display.js'
import { drawnPng, drawnSvg } from './drawing.js'
import type { NotebookCell } from './notebookFile.js'
import { notebookHtml } from './notebookHtml.js'
import { today } from './today.js'
import { bundleOf, partsOf } from './valueDisplay.js'
import { isChart } from './valueKinds.js'
import type { ValueTable } from './valueTable.js'
import { version } from './version.js'

/** How a report of chosen results is made. */
export interface ChosenReportOptions {
  readonly title: string
  /** Folder to write to, relative to that of the notebook. */
  readonly to: string
  /** Date of making (ISO); default: that of the machine. */
  readonly date?: string
}

/**
 * Writes chosen results, one below the other, as one page that holds everything, with every table as CSV and every chart
 * as SVG, PNG (300 dots an inch) and specification beside it. An earlier report in the folder is replaced as a whole.
 *
 * @param chosen results, charts, frames and texts (Markdown), in their order
 * @param options title, folder, and date of making
 * @throws UsageError `cannot-show`, `await-forgotten`; `folder-in-use` where the folder holds anything but a report
 * @example (await report([incidence(cohort)], { title: 'How often', to: `${scratch}/chosen`, date: '2026-01-31' })).files[0] // => "report.html"
 */
export async function report(
  chosen: readonly (object | string)[],
  options: ChosenReportOptions,
): Promise<WrittenReport> {
  const { title, to, date = isoFromDay(today()) } = options
  const say = speaker()
  const files: BundleFile[] = []
  const cells: NotebookCell[] = [
    markdown(`# ${title}`),
    markdown(say.text(message('asked.made', { date, version }))),
  ]
  for (const one of chosen) cells.push(await cellOf(one, files))
  cells.push(markdown(say.text(message('asked.cautions'))))
  const notebook = { nbformat: 4, nbformat_minor: 5, metadata: {}, cells }
  const page = { path: reportNames.html, content: notebookHtml(notebook, { code: false }) }
  const provenance = {
    path: 'provenance.json',
    content: `${JSON.stringify({ format: chosenFormat, title, date, version }, undefined, 2)}\n`,
  }
  const folder = await replaceFolder(to, [page, provenance, ...files])
  return Object.freeze({
    htmlPath: `${folder}/${reportNames.html}`,
    files: Object.freeze([page, provenance, ...files].map(({ path }) => path)),
  })
}

async function cellOf(one: object | string, files: BundleFile[]): Promise<NotebookCell> {
  if (typeof one === 'string') return markdown(one)
  if (one instanceof Promise) throw notAwaited()
  const data = await bundleOf(one)
  if (data === undefined) throw notShown()
  const parts = await partsOf(one)
  for (const table of parts?.tables ?? []) files.push(csvFile(table, files))
  const chart = isChart(one) ? one : parts?.chart
  if (chart !== undefined) files.push(...(await chartFiles(chart, files)))
  return {
    cell_type: 'code',
    source: '',
    metadata: {},
    outputs: [{ output_type: 'display_data', data, metadata: {} }],
  }
}

function markdown(source: string): NotebookCell {
  return { cell_type: 'markdown', source, metadata: {} }
}

/** Number of the next file of a folder; figures have three files each. */
function next(files: readonly BundleFile[], ending: string): number {
  return files.filter(({ path }) => path.endsWith(ending)).length + 1
}

function csvFile({ columns, rows }: ValueTable, files: readonly BundleFile[]): BundleFile {
  const content = stringify([[...columns], ...rows.map((row) => [...row])])
  return { path: `tables/table-${next(files, '.csv')}.csv`, content }
}

async function chartFiles(chart: object, files: readonly BundleFile[]): Promise<readonly BundleFile[]> {
  const described = { ...chart, description: textAlternative(chart) }
  const name = `figures/figure-${next(files, '.svg')}`
  const [svg, png] = await Promise.all([drawnSvg(described), drawnPng(described)])
  return [
    { path: `${name}.svg`, content: svg },
    { path: `${name}.png`, content: png },
    { path: `${name}.vl.json`, content: `${JSON.stringify(described, null, 2)}\n` },
  ]
}

function notShown(): UsageError {
  return new UsageError({
    code: 'cannot-show',
    problem: 'one of the things chosen for the report cannot be shown.',
    expected: 'results, charts, frames and texts, as a list.',
    mend: 'pass such as [incidence(cohort), "a text"].',
  })
}
