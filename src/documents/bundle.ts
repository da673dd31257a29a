import { readFile } from 'node:fs/promises'
import { stringify } from 'csv-stringify/sync'
import { sha256, stableJson } from '../core/plain.js'
import type { Answer } from '../questions/answer/shape.js'
import type { DocumentLength } from './formats/formats.js'
import { type PicturesUnderWay, picturePath } from './formats/pictures.js'
import { bundleName, figuresOf, tablesOf } from './model/contents.js'
import type { CsvValue, ReportDocument, Table } from './model/document.js'
import { type FolderKind, outsideJson, type ReportKind, resultsJson, schemaName } from './results.js'

/** A file of the bundle: its path inside the folder of the report, and what it holds. */
export interface BundleFile {
  readonly path: string
  readonly content: string | Uint8Array
}

/** Where results came from, as far as a kind of report can say. */
export interface Provenance {
  /** Marks a folder of chosen results, which has no results.json to be known by. */
  readonly format?: string
  readonly source?: object
  readonly definition?: object
  readonly settings?: object
}

/** A report before it is written down. */
export interface Report {
  readonly kind: FolderKind
  readonly document: ReportDocument
  /** The same evidence at other lengths, and the page from which all are reached; none where there is one document. */
  readonly companions?: {
    readonly start: ReportDocument
    readonly lengths: Readonly<Record<Exclude<DocumentLength, 'report'>, ReportDocument>>
  }
  /** The same evidence as slides, where they are asked for. */
  readonly slides?: ReportDocument
  /** What the numbers of the document were read from. */
  readonly results: object
  readonly provenance: Provenance
  /** What it answers, for machines; absent where it asks no question of records. */
  readonly answer?: Answer
  readonly version: string
}

/**
 * What goes beside the page: figures as SVG and specification at 190 mm and 90 mm, and as PNG (300 dots an inch) where
 * asked; every table as CSV, and the results as JSON with their schema.
 */
export async function bundleFiles(
  report: Report,
  pictures: PicturesUnderWay['files'],
  pngs: boolean,
): Promise<readonly BundleFile[]> {
  const contents = contentsOf(report)
  const schema = await readFile(schemaPath, 'utf8')
  const withoutPictures = [
    ...figuresOf(contents).flatMap((figure) =>
      (['page', 'column'] as const).map((size) => ({
        path: `${picturePath(figure.id, size)}.vl.json`,
        content: `${JSON.stringify(figure[size])}\n`,
      })),
    ),
    ...tablesOf(contents).map((table) => ({
      path: `tables/${bundleName(table.id)}.csv`,
      content: tableCsv(table),
    })),
    ...resultFiles(report, schema),
  ]
  const drawn = (await Promise.all([pictures.page, pictures.column])).flat()
  return [
    ...drawn.map(({ path, chart }) => ({ path: `${path}.svg`, content: `${chart.svg}\n` })),
    ...(pngs
      ? drawn.flatMap(({ path, png }) => (png === undefined ? [] : [{ path: `${path}.png`, content: png }]))
      : []),
    ...withoutPictures,
  ]
}

/** What machines read of a report; chosen results have no form of their own besides their tables. */
function resultFiles(report: Report, schema: string): readonly BundleFile[] {
  const { kind } = report
  if (kind === 'chosen') return []
  return kind === 'outside'
    ? [{ path: 'results.json', content: `${outsideJson(report.results, report.version)}\n` }]
    : [...machineFiles({ ...report, kind }), { path: schemaName, content: schema }]
}

/** Every table and figure of all documents of a report, each once. */
export function contentsOf({ document, companions, slides }: Report): Pick<ReportDocument, 'sections'> {
  if (companions === undefined && slides === undefined) return document
  const lengths = companions === undefined ? [] : Object.values(companions.lengths)
  const known = new Set<string>()
  const blocks = [document, ...lengths, ...(slides === undefined ? [] : [slides])]
    .flatMap(({ sections }) => sections.flatMap((section) => section.blocks))
    .filter((block) => {
      if (!('id' in block) || known.has(block.id)) return false
      known.add(block.id)
      return true
    })
  return { sections: [{ id: 'all', title: '', blocks }] }
}

/** What machines read: the results, and the answer where there is one. */
export function machineFiles({
  results,
  kind,
  version,
  answer,
}: Pick<Report, 'results' | 'version' | 'answer'> & { readonly kind: ReportKind }): readonly BundleFile[] {
  return [
    { path: 'results.json', content: `${resultsJson(results, kind, version)}\n` },
    ...(answer === undefined ? [] : [{ path: 'answer.json', content: `${stableJson(answer, 1)}\n` }]),
  ]
}

/** The published schema, at the same place below the project from the sources and from what is built of them. */
const schemaPath = new URL(`../../docs/schema/${schemaName}`, import.meta.url)

/** What was made when, from what and with which settings, with a checksum of every file of the report. */
export function provenanceFile(report: Report, files: readonly BundleFile[]): BundleFile {
  const { document, kind, version, provenance } = report
  const content = {
    made: document.date,
    kind,
    software: { name: 'holdfast', version },
    generated: document.generated,
    ...provenance,
    files: files.map(({ path, content }) => ({ path, sha256: sha256(content) })),
  }
  return { path: 'provenance.json', content: `${stableJson(content, 1)}\n` }
}

/**
 * A table as CSV (RFC 4180, UTF-8): numbers rounded as in the report but without units, estimates in three columns.
 * Text that a spreadsheet would take for a formula gets an apostrophe in front.
 */
export function tableCsv(table: Table): string {
  const head = table.columns.flatMap((column) => column.csvTitles).map(spreadsheetText)
  const rows = table.rows.map((row) => row.flatMap((cell) => cell.csv.map(csvText)))
  return stringify([head, ...rows], { record_delimiter: 'windows' })
}

function csvText(value: CsvValue): string {
  return 'number' in value ? value.number : spreadsheetText(value.text)
}

/** Text that no spreadsheet runs: see OWASP, CSV Injection. */
export function spreadsheetText(text: string): string {
  return /^\s*[=+\-@|%]|^[\t\r\n]/.test(text) ? `'${text}` : text
}
