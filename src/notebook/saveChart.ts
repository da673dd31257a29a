import { stringify } from 'csv-stringify/sync'

import type { ChartLayer, ChartRow, ChartSpecification } from '../charts/specification.js'
import { textAlternative } from '../charts/textAlternative.js'
import { writeWhole } from '../core/wholeFiles.js'
import { drawnPng, drawnSvg } from './drawing.js'

/**
 * Writes a chart to files: as SVG, as PNG at 300 dots an inch, its data as CSV (one row for each mark, the layer that it
 * belongs to first), and its Vega-Lite specification.
 *
 * @param specification a chart of the toolkit, or any Vega-Lite specification
 * @param path path without an ending, such as `figures/retention`; relative to the folder of the notebook
 * @returns paths of the files
 * @example (await saveChart(retentionChart(retention(cohort)), `${scratch}/retention`)).length // => 4
 */
export async function saveChart(
  specification: ChartSpecification | object,
  path: string,
): Promise<readonly string[]> {
  const chart = { ...specification, description: textAlternative(specification) }
  const [svg, png] = await Promise.all([drawnSvg(chart), drawnPng(chart)])
  const files: readonly (readonly [string, string | Uint8Array])[] = [
    [`${path}.svg`, svg],
    [`${path}.png`, png],
    [`${path}.csv`, chartCsv(chart)],
    [`${path}.vl.json`, `${JSON.stringify(chart, null, 2)}\n`],
  ]
  await writeWhole(files.map(([file, content]) => ({ path: file, content })))
  return Object.freeze(files.map(([file]) => file))
}

/** Data of the marks that stand on an axis; what is laid out in pixels is no data. */
function chartCsv(chart: object): string {
  if (!isOurs(chart)) return ownCsv(chart)
  const rows = chart.layer.filter(showsData).flatMap(({ name = '', data }) => {
    const layer = name.replace(/_\d+$/, '')
    return data.values.map((row): ChartRow => ({ layer, ...row }))
  })
  const columns = [...new Set(rows.flatMap((row) => Object.keys(row)))]
  return stringify(rows, { header: true, columns })
}

/** Charts of the toolkit carry the data of each layer by its name. */
function isOurs(chart: object): chart is ChartSpecification {
  return 'autosize' in chart && chart.autosize === 'none' && 'layer' in chart
}

/** The rows that stand in a specification of the user's own. */
function ownCsv(chart: object): string {
  const { data } = chart as { readonly data?: { readonly values?: unknown } }
  const rows = Array.isArray(data?.values) ? (data.values as Readonly<Record<string, unknown>>[]) : []
  return stringify(rows, { header: true, columns: [...new Set(rows.flatMap((row) => Object.keys(row)))] })
}

const pixelFields: ReadonlySet<string> = new Set(['x', 'left'])

function showsData({ name, encoding }: ChartLayer): boolean {
  const field = encoding.x?.field
  return field !== undefined && !pixelFields.has(field) && name?.startsWith('frame') !== true
}
