import { UsageError } from '../core/errors.js'
import { type PaperName, papers, type ReportFormat, reportFormats } from '../documents/formats/formats.js'

/**
 * Formats beside the page, as the option gives them: "word,pdf", or "none"; undefined where there is no option.
 *
 * @param allowed formats that there are of the document; default those that every document has
 */
export function formatsOf(
  option: string | undefined,
  allowed: readonly ReportFormat[] = reportFormats,
): readonly ReportFormat[] | undefined {
  if (option === undefined) return undefined
  const named = option
    .split(',')
    .map((name) => name.trim().toLowerCase())
    .filter((name) => name !== '')
  if (named.length === 1 && named[0] === 'none') return []
  const known = named.filter((name): name is ReportFormat => (allowed as readonly string[]).includes(name))
  if (named.length === 0 || known.length < named.length) {
    throw new UsageError({
      code: 'bad-formats',
      problem: '--formats names a format that there is not.',
      expected: `some of ${allowed.join(', ')} with commas between them, or none.`,
      mend: 'write --formats word,pdf.',
    })
  }
  return known
}

/** The option for the paper of printed pages, the same for every command that writes a document. */
export const paperOption = ['--paper <name>', 'paper of Word and PDF: a4 (default) or letter'] as const

/** Paper, as the option names it; nothing where there is no option. */
export function paperOf(option: string | undefined): { readonly paper?: PaperName } {
  if (option === undefined) return {}
  const paper = papers.find((name) => name === option.trim().toLowerCase())
  if (paper !== undefined) return { paper }
  throw new UsageError({
    code: 'bad-paper',
    problem: '--paper names a paper that there is not.',
    expected: `one of ${papers.join(', ')}.`,
    mend: 'write --paper letter.',
  })
}
