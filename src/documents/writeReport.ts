import { openPictureDrawer, type PictureDrawer } from '../charts/pictureDrawer.js'
import type { AuditResult } from '../questions/audit.js'
import {
  type BundleFile,
  bundleFiles,
  contentsOf,
  machineFiles,
  provenanceFile,
  type Report,
} from './bundle.js'
import {
  auditFormats,
  type DocumentLength,
  documentName,
  type PaperName,
  type ReportFormat,
  slidesName,
  startName,
  usualFormats,
} from './formats/formats.js'
import { documentHtml } from './formats/html.js'
import { documentMarkdown } from './formats/markdown.js'
import { beginPictures, type PicturesUnderWay, pngsFor } from './formats/pictures.js'
import type { ReportOptions } from './kinds/auditDocument.js'
import type { AuditKind } from './kinds/auditKindNames.js'
import { companionsOf, documentOfKind } from './kinds/auditKinds.js'
import { slidesDocument } from './kinds/slides/slidesDocument.js'
import { citationsOf } from './model/citation.js'
import { figuresOf } from './model/contents.js'
import { plainText, type ReportDocument } from './model/document.js'
import { languageAmong, languageOf } from './model/documentLanguages.js'
import { outsideDocument } from './outside/outsideDocument.js'
import { outsideLeaflet } from './outside/outsideLeaflet.js'
import { outsideSeries } from './outside/outsideSeries.js'
import { outsideSlides } from './outside/outsideSlides.js'
import { releasedOf } from './outside/released.js'
import { replaceFolder } from './replaceFolder.js'
import { answerSentences } from './wording/index.js'

/** How and where a report is written. */
export interface WritingOptions {
  /** Folder of the report; made if need be, replaced as a whole if it holds an earlier report. */
  readonly outDir: string
  /** Formats beside the page; default Markdown and Word. PDF needs a Chromium. */
  readonly formats?: readonly ReportFormat[]
  /** Paper of the pages of Word and PDF; default A4. */
  readonly paper?: PaperName
  /** Drawer that is open already, and stays open; by default one is opened and closed. */
  readonly drawer?: PictureDrawer
}

/** What is made of an audit, and what it has to say besides the results. */
export interface AuditReportOptions extends ReportOptions {
  /** The audit report (default), the draft of a case series, or a leaflet for patients. */
  readonly kind?: AuditKind
  /** Whether only the edition is written that may leave the practice; default no. */
  readonly outside?: boolean
  /** Language of the document, which must be whole in it; of an audit, what is not whole in it is in English (documentLanguages). Default `en`. */
  readonly language?: string
  /** Whether a leaflet sets the two ways of tightening beside each other; default no. */
  readonly comparison?: boolean
  /** Formats beside the page, of which slides are a document of their own. */
  readonly formats?: readonly ReportFormat[]
}

const outsideDocuments = Object.freeze({
  audit: outsideDocument,
  'case-series': outsideSeries,
  leaflet: outsideLeaflet,
}) satisfies Readonly<Record<AuditKind, unknown>>

/** The edition that may leave the practice, of a summary or of another kind: made from what is released and nothing else. */
export function outsideReport(audit: AuditResult, options: AuditReportOptions): Report {
  const released = releasedOf(audit)
  const { kind = 'audit', formats = [], version } = options
  languageOf(options.language, kind === 'audit' ? 'outside' : kind)
  return {
    kind: 'outside',
    document: outsideDocuments[kind](released, options),
    ...(kind === 'audit' && formats.includes('slides') ? { slides: outsideSlides(released, options) } : {}),
    results: released,
    provenance: {},
    version,
  }
}

/** Options of a written audit report. */
export interface WriteReportOptions extends AuditReportOptions, WritingOptions {}

/** What was written. */
export interface WrittenReport {
  readonly htmlPath: string
  /** Paths of all files inside the folder. */
  readonly files: readonly string[]
}

/**
 * Writes the audit report: summary, report and supplement, each one self-contained HTML page, with a page from which they
 * are reached, the same texts as Markdown and for Word, and beside them the figures (SVG, PNG, specification), the tables (CSV), the results (JSON with its schema) and where they came from.
 * Everything is written to a temporary folder first, which then takes the place of an earlier report as a whole.
 *
 * @throws UsageError `folder-in-use` where the folder holds anything but an earlier report; `no-browser` where a PDF is
 *   asked for and there is no Chromium
 */
export async function writeAuditReport(
  audit: AuditResult,
  options: WriteReportOptions,
): Promise<WrittenReport> {
  const report = options.outside === true ? outsideReport(audit, options) : auditReport(audit, options)
  return writeReportFolder(report, options)
}

/** The audit report, or another kind of document made of an audit, with what it was read from. */
export function auditReport(audit: AuditResult, options: AuditReportOptions): Report {
  const { kind = 'audit', formats = [] } = options
  return {
    kind,
    document: documentOfKind(audit, kind, options),
    ...companionsOf(audit, kind, options),
    ...(formats.includes('slides')
      ? { slides: slidesDocument(audit, { ...options, language: languageAmong(options.language, 'slides') }) }
      : {}),
    results: audit,
    ...(audit.answer === undefined ? {} : { answer: audit.answer }),
    provenance: { source: audit.summary.source, definition: audit.definition, settings: audit.settings },
    version: options.version,
  }
}

/**
 * Writes only what machines read, results.json and answer.json: no document is made and nothing is drawn.
 *
 * @throws UsageError `folder-in-use` where the folder holds anything but an earlier report
 */
export async function writeMachineFiles(
  audit: AuditResult,
  { outDir, version }: { readonly outDir: string; readonly version: string },
): Promise<{ readonly answerPath: string; readonly files: readonly string[] }> {
  const files = machineFiles({
    results: audit,
    kind: 'audit',
    version,
    ...(audit.answer === undefined ? {} : { answer: audit.answer }),
  })
  const folder = await replaceFolder(outDir, files)
  return Object.freeze({
    answerPath: `${folder}/answer.json`,
    files: Object.freeze(files.map(({ path }) => path)),
  })
}

/** Writes any report to its folder. */
export async function writeReportFolder(report: Report, options: WritingOptions): Promise<WrittenReport> {
  const drawer = options.drawer ?? openPictureDrawer()
  const close = options.drawer === undefined ? drawer.close : async () => undefined
  const wish = pngsFor(options.formats ?? usualFormats, slideFigures(report))
  const pictures = beginPictures(contentsOf(report), drawer, wish)
  const files = await reportFiles(report, options, pictures).finally(close)
  const folder = await replaceFolder(options.outDir, files)
  return Object.freeze({
    htmlPath: `${folder}/${documentName(mainLength(report), 'html')}`,
    files: Object.freeze(files.map(({ path }) => path)),
  })
}

async function reportFiles(
  report: Report,
  options: WritingOptions,
  pictures: PicturesUnderWay,
): Promise<readonly BundleFile[]> {
  const { formats = usualFormats, paper = 'a4' } = options
  const documents = documentsOf(report)
  const page = async (path: string, document: ReportDocument): Promise<BundleFile> => ({
    path,
    content: documentHtml(document, await pictures.figures),
  })
  // All at once: what needs no picture is made while they are drawn.
  const [beside, ...texts] = await Promise.all([
    bundleFiles(report, pictures.files, formats.includes('png')),
    ...(report.companions === undefined ? [] : [page(startName, report.companions.start)]),
    ...documents.map(([length, document]) => page(documentName(length, 'html'), document)),
    ...documents.flatMap(([length, document]) =>
      auditFormats
        .filter((format) => formats.includes(format))
        .filter((format) => format !== 'png' && format !== 'slides')
        .map(async (format) => ({
          path: documentName(length, format),
          content: await written(format, document, pictures, paper),
        })),
    ),
    ...(report.slides === undefined ? [] : [slidesFile(report.slides, pictures)]),
  ])
  const files = [...texts, ...beside]
  return [...files, provenanceFile(report, files)]
}

/** The outside edition of an audit is a summary; all else that is one document is a report. */
function mainLength({ document }: Pick<Report, 'document'>): DocumentLength {
  return document.layout === 'summary' ? 'summary' : 'report'
}

function documentsOf({
  document,
  companions,
}: Report): readonly (readonly [DocumentLength, ReportDocument])[] {
  if (companions === undefined) return [[mainLength({ document }), document]]
  const { summary, supplement } = companions.lengths
  return [
    ['summary', summary],
    ['report', document],
    ['supplement', supplement],
  ]
}

async function slidesFile(slides: ReportDocument, pictures: PicturesUnderWay): Promise<BundleFile> {
  const { documentPptx } = await import('./formats/pptx.js')
  return { path: slidesName, content: await documentPptx(slides, await pictures.files.column) }
}

function slideFigures({ slides }: Report): readonly string[] {
  return slides === undefined ? [] : figuresOf(slides).map(({ id }) => id)
}

/** Word and PDF are loaded where they are asked for only: no notebook cell waits for them. */
async function written(
  format: 'markdown' | 'word' | 'pdf',
  document: ReportDocument,
  pictures: PicturesUnderWay,
  paper: PaperName,
): Promise<string | Uint8Array> {
  switch (format) {
    case 'markdown':
      return documentMarkdown(document)
    case 'word': {
      const { documentDocx } = await import('./formats/docx.js')
      return documentDocx(document, pictures, paper)
    }
    case 'pdf': {
      const { pdfOfHtml } = await import('./formats/pdf.js')
      const html = documentHtml(document, await pictures.figures, paper === 'a4' ? 'A4' : 'letter')
      return pdfOfHtml(html, { date: document.date })
    }
  }
}

/** The main result in three lines of plain words, for a terminal. */
export function auditInThreeLines(audit: AuditResult): readonly string[] {
  const cite = citationsOf(audit)
  return answerSentences(audit, cite).map(plainText)
}
