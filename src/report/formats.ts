/** Ways in which a report can be written down beside its page. */
export const reportFormats = ['markdown', 'word', 'pdf'] as const

/** One way in which a report can be written down beside its page. */
export type ReportFormat = (typeof reportFormats)[number]

/** Those that are written where nothing else is asked for: they need nothing that the machine may lack. */
export const usualFormats: readonly ReportFormat[] = Object.freeze(['markdown', 'word'])

/** Names of the report in each format inside its folder. */
export const reportNames = Object.freeze({
  html: 'report.html',
  markdown: 'report.md',
  word: 'report.docx',
  pdf: 'report.pdf',
})
