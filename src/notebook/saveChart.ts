import { mkdir, writeFile } from 'node:fs/promises'
import { dirname } from 'node:path'
import { stringify } from 'csv-stringify/sync'
import { renderPng, renderSvg } from '../charts/render.js'
import type { ChartLayer, ChartRow, ChartSpecification } from '../charts/specification.js'

/**
 * Writes a chart to files: as SVG, as PNG at 300 dots an inch, its data as CSV (one row for each mark, the layer that it
 * belongs to first), and its Vega-Lite specification.
 *
 * @param chart a chart of the toolkit
 * @param path path without an ending, such as `figures/retention`; relative to the folder of the notebook
 * @returns paths of the files
 */
export async function saveChart(chart: ChartSpecification, path: string): Promise<readonly string[]> {
  const [svg, png] = await Promise.all([renderSvg(chart), renderPng(chart)])
  const files: readonly (readonly [string, string | Uint8Array])[] = [
    [`${path}.svg`, svg],
    [`${path}.png`, png],
    [`${path}.csv`, chartCsv(chart)],
    [`${path}.vl.json`, `${JSON.stringify(chart, null, 2)}\n`],
  ]
  await mkdir(dirname(path), { recursive: true })
  await Promise.all(files.map(([file, content]) => writeFile(file, content)))
  return Object.freeze(files.map(([file]) => file))
}

/** Data of the marks that stand on an axis; what is laid out in pixels is no data. */
function chartCsv(chart: ChartSpecification): string {
  const rows = chart.layer.filter(showsData).flatMap(({ name = '', data }) => {
    const layer = name.replace(/_\d+$/, '')
    return data.values.map((row): ChartRow => ({ layer, ...row }))
  })
  const columns = [...new Set(rows.flatMap((row) => Object.keys(row)))]
  return stringify(rows, { header: true, columns })
}

const pixelFields: ReadonlySet<string> = new Set(['x', 'left'])

function showsData({ name, encoding }: ChartLayer): boolean {
  const field = encoding.x?.field
  return field !== undefined && !pixelFields.has(field) && name?.startsWith('frame') !== true
}
