/** Ways in which a report can be written down beside its page; a PDF is of A4 or of US Letter. */
export const reportFormats = ['markdown', 'word', 'pdf', 'pdf-letter'] as const

/** One way in which a report can be written down beside its page. */
export type ReportFormat = (typeof reportFormats)[number]

/** Those that are written where nothing else is asked for: they need nothing that the machine may lack. */
export const usualFormats: readonly ReportFormat[] = Object.freeze(['markdown', 'word'])

/** Whether any of the formats is made by a browser. */
export function needsBrowser(formats: readonly ReportFormat[] | undefined): boolean {
  return formats?.some((format) => format.startsWith('pdf')) ?? false
}

/** Documents of one audit: the same evidence at three lengths. */
export const documentLengths = ['summary', 'report', 'supplement'] as const

/** One length of the evidence. */
export type DocumentLength = (typeof documentLengths)[number]

/** Name of the page from which the others are reached. */
export const startName = 'index.html'

/** Name of a document of some length in some format. */
export function documentName(length: DocumentLength, format: keyof typeof reportNames): string {
  return reportNames[format].replace(/^report/, length)
}

/** Names of the report in each format inside its folder. */
export const reportNames = Object.freeze({
  html: 'report.html',
  markdown: 'report.md',
  word: 'report.docx',
  pdf: 'report.pdf',
  'pdf-letter': 'report-letter.pdf',
})
