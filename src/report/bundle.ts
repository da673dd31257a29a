import type { AuditResult } from '../analysis/audit.js'
import { pngFromSvg } from '../charts/render.js'
import { figureWidthsMm } from '../charts/theme.js'
import { stableJson } from '../core/plain.js'
import { tableCsv, tablesOf } from './csvTables.js'
import type { ReportDocument } from './document.js'
import type { DrawnFigure } from './htmlBlocks.js'

/** A file of the bundle: its path inside the folder of the report, and what it holds. */
export interface BundleFile {
  readonly path: string
  readonly content: string | Uint8Array
}

/** Marks results.json as ours, so that only a folder that we wrote is ever replaced. */
export const bundleFormat = 'holdfast-audit-1'

/** Figures as SVG and PNG (300 dots an inch) at 190 mm and 90 mm, every table as CSV, and the results as JSON. */
export async function bundleFiles(
  audit: AuditResult,
  document: ReportDocument,
  pictures: ReadonlyMap<string, DrawnFigure>,
  version: string,
): Promise<readonly BundleFile[]> {
  const drawn = [...pictures].flatMap(([id, picture]) =>
    (['page', 'column'] as const).map((size) => ({
      name: `figures/${id.replace(/^figure-/, '')}-${figureWidthsMm[size]}mm`,
      svg: picture[size],
      widthMm: figureWidthsMm[size],
    })),
  )
  const pngs = await Promise.all(drawn.map(({ svg, widthMm }) => pngFromSvg(svg, { widthMm })))
  return [
    ...drawn.map(({ name, svg }) => ({ path: `${name}.svg`, content: `${svg}\n` })),
    ...drawn.map(({ name }, index) => ({ path: `${name}.png`, content: pngs[index]! })),
    ...tablesOf(document).map((table) => ({
      path: `tables/${table.id.replace(/^table-/, '')}.csv`,
      content: tableCsv(table),
    })),
    { path: 'results.json', content: `${resultsJson(audit, version)}\n` },
  ]
}

/** The results, unrounded, as every path in the report finds them. */
export function resultsJson(audit: AuditResult, version: string): string {
  return stableJson({ ...audit, format: bundleFormat, version }, 1)
}
