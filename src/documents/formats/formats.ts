import { extname } from 'node:path'

/** Ways in which a report can be written down beside its page; `png` is of its figures. */
export const reportFormats = ['markdown', 'word', 'pdf', 'png'] as const

/** Of an audit there are slides besides. */
export const auditFormats = [...reportFormats, 'slides'] as const

/** One way in which a report can be written down beside its page. */
export type ReportFormat = (typeof auditFormats)[number]

/** Papers that pages of Word and PDF are made for. */
export const papers = ['a4', 'letter'] as const

/** A paper that pages are made for. */
export type PaperName = (typeof papers)[number]

/** Those that are written where nothing else is asked for: they need nothing that the machine may lack. */
export const usualFormats: readonly ReportFormat[] = Object.freeze(['markdown', 'word'])

/** Whether any of the formats is made by a browser. */
export function needsBrowser(formats: readonly ReportFormat[] | undefined): boolean {
  return formats?.includes('pdf') ?? false
}

/** Documents of one audit: the same evidence at three lengths. */
export const documentLengths = ['summary', 'report', 'supplement'] as const

/** One length of the evidence. */
export type DocumentLength = (typeof documentLengths)[number]

/** Name of the page from which the others are reached. */
export const startName = 'index.html'

/** Name of a document of some length in some format. */
export function documentName(length: DocumentLength, format: keyof typeof reportNames): string {
  return length + extname(reportNames[format])
}

/** Names of the report in each format inside its folder. */
export const reportNames = Object.freeze({
  html: 'report.html',
  markdown: 'report.md',
  word: 'report.docx',
  pdf: 'report.pdf',
})

/** Name of the slides; there is one deck, whatever the length of the other documents. */
export const slidesName = 'slides.pptx'
