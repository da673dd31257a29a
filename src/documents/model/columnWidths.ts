import { textWidth, widestText } from '../../charts/textWidth.js'
import { plainText, type Table } from './document.js'

/** A word longer than this many pixels is broken rather than given a column of its own width. */
const longestWordPx = 150
/** Text wider than this is wrapped before it takes room from other columns. */
const widestLinePx = 330
/** White space at both sides of a cell. */
const paddingPx = 18

/**
 * Widths of the columns of a table that together fill a given width: every column at least as wide as its longest
 * word, a column of numbers as its longest line, so that no interval is broken; the rest by what the texts want.
 *
 * @param table the table
 * @param total width to fill, in whole units of the format (twentieths of a point, or whatever it counts in)
 * @param totalPx the same width in pixels of the text, which is taken to be of size `sizePx`
 * @param sizePx size of the text of the table
 */
export function columnWidths(
  table: Table,
  total: number,
  totalPx: number,
  sizePx: number,
): readonly number[] {
  const texts = table.columns.map(({ title }, index) => ({ title, lines: linesOf(table, index) }))
  const least = texts.map(({ title, lines }, index) => {
    const whole = table.columns[index]!.align === 'end' ? lines : lines.flatMap(wordsOf)
    const words = [...wordsOf(title), ...whole]
    return paddingPx + Math.min(longestWordPx, widestText(words, sizePx, 'bold'))
  })
  const wished = texts.map(({ title, lines }, index) =>
    Math.max(
      least[index]!,
      paddingPx +
        Math.min(widestLinePx, Math.max(...[title, ...lines].map((text) => textWidth(text, sizePx)))),
    ),
  )
  return wholeShares(fitted(least, wished, totalPx), total)
}

/** Every line of the cells of a column. */
function linesOf(table: Table, index: number): readonly string[] {
  return table.rows.flatMap((row) => {
    const { content, under } = row[index]!
    return under === undefined ? [plainText(content)] : [plainText(content), plainText(under)]
  })
}

function wordsOf(text: string): readonly string[] {
  return text.split(/\s+/)
}

/** Widths between the least and the wished ones where these do not fit, and wider in proportion where they leave room. */
function fitted(least: readonly number[], wished: readonly number[], total: number): readonly number[] {
  const sum = (widths: readonly number[]): number => widths.reduce((all, width) => all + width, 0)
  const wanted = sum(wished)
  if (wanted <= total) return wished.map((width) => (width * total) / wanted)
  const needed = sum(least)
  if (needed >= total) return least.map((width) => (width * total) / needed)
  const share = (total - needed) / (wanted - needed)
  return least.map((width, index) => width + share * (wished[index]! - width))
}

/** Whole numbers in the proportions given that add up to the total exactly. */
function wholeShares(widths: readonly number[], total: number): readonly number[] {
  const sum = widths.reduce((all, width) => all + width, 0)
  let before = 0
  let exact = 0
  return widths.map((width) => {
    exact += (width / sum) * total
    const whole = Math.round(exact) - before
    before += whole
    return whole
  })
}
