import { stableJson } from '../core/plain.js'
import type { OwnResult } from '../questions/registry.js'

/** Marks results.json as ours and names its shape; only a folder that holds such a file is ever replaced. */
export const resultsFormat = 'holdfast-results-1'

/** Whether a mark is that of results of ours, of this shape or the one before it. */
export function isResultsFormat(format: unknown): boolean {
  return format === resultsFormat || format === 'holdfast-audit-1'
}

/** What a report is about. */
export type ReportKind =
  | 'audit'
  | 'case-series'
  | 'leaflet'
  | 'study-group'
  | 'two-reports'
  | 'protocol'
  | OwnResult['kind']

/** What a folder is of: results in full, what may leave of them, or what was chosen of several. */
export type FolderKind = ReportKind | 'outside' | 'chosen'

/** What every results.json says of itself, beside the results. */
export interface ResultsMark {
  readonly $schema: string
  readonly format: typeof resultsFormat
  readonly kind: ReportKind
  readonly version: string
}

/** Name of the JSON Schema inside the folder of a report, to which results.json points. */
export const schemaName = 'results.schema.json'

/** The results, unrounded, as every path in the report finds them. */
export function resultsJson(results: object, kind: ReportKind, version: string): string {
  const mark: ResultsMark = { $schema: schemaName, format: resultsFormat, kind, version }
  return stableJson({ ...results, ...mark }, 1)
}

/** What may leave a practice, as it stands in the folder of the outside edition; no schema, since it is not the results. */
export function outsideJson(released: object, version: string): string {
  return stableJson({ ...released, format: resultsFormat, version }, 1)
}
