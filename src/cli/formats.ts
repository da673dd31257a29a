import { UsageError } from '../core/errors.js'
import { type ReportFormat, reportFormats } from '../report/formats.js'

/** Formats beside the page, as the option gives them: "word,pdf", or "none"; undefined where there is no option. */
export function formatsOf(option: string | undefined): readonly ReportFormat[] | undefined {
  if (option === undefined) return undefined
  const named = option
    .split(',')
    .map((name) => name.trim().toLowerCase())
    .filter((name) => name !== '')
  if (named.length === 1 && named[0] === 'none') return []
  if (named.length === 0 || !named.every(isFormat)) {
    throw new UsageError({
      code: 'bad-formats',
      problem: '--formats names a format that there is not.',
      expected: `some of ${reportFormats.join(', ')} with commas between them, or none.`,
      mend: 'write --formats word,pdf.',
    })
  }
  return named.filter(isFormat)
}

function isFormat(name: string): name is ReportFormat {
  return (reportFormats as readonly string[]).includes(name)
}
