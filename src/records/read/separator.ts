const candidates = [',', ';', '\t', '|'] as const

/** A character that sets values apart. */
export type Separator = (typeof candidates)[number]

/** How the rows of a text are laid out. */
export interface TextLayout {
  readonly separator: Separator
  /** First line says which separator is used ("sep=;") and is no row of the table. */
  readonly statedInFirstLine: boolean
}

/**
 * Finds the separator from the beginning of a text: as the first line states it, else the one that occurs most often
 * outside quotation marks in the first line that has any, and of equals the one that the next lines have as often.
 */
export function layoutOf(beginning: string): TextLayout {
  const text = beginning.replace(/^\ufeff/, '')
  const stated = /^sep=(.)\r?\n/.exec(text)
  if (stated !== null && candidates.includes(stated[1] as Separator)) {
    return { separator: stated[1] as Separator, statedInFirstLine: true }
  }
  const lines = linesOutsideQuotes(text, 21)
  const header = lines.find((line) => candidates.some((one) => countOf(line, one) > 0)) ?? ''
  const following = lines.slice(lines.indexOf(header) + 1)
  const scores = candidates.map((separator) => {
    const inHeader = countOf(header, separator)
    const agreeing = following.filter((line) => countOf(line, separator) === inHeader).length
    return { separator, inHeader, agreeing }
  })
  const best = scores
    .filter((score) => score.inHeader > 0)
    .sort((left, right) => right.inHeader - left.inHeader || right.agreeing - left.agreeing)[0]
  return { separator: best?.separator ?? ',', statedInFirstLine: false }
}

/** Lines with what stands between quotation marks taken out. */
function linesOutsideQuotes(text: string, count: number): readonly string[] {
  return text
    .replace(/"(?:[^"]|"")*"/g, '""')
    .split(/\r\n|\n|\r/)
    .filter((line) => line.trim() !== '')
    .slice(0, count)
}

function countOf(line: string, separator: string): number {
  return line.split(separator).length - 1
}
