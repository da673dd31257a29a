import type { Readable } from 'node:stream'
import { StringDecoder } from 'node:string_decoder'

/** How the rows of a text without quotation marks are found. */
export interface PlainLayout {
  readonly separator: string
  /** Longest row that is read, in characters. */
  readonly longest: number
}

/**
 * Takes the rows of a text in which no quotation mark stands: a row then ends where its line does, a value at the next separator, and
 * nothing has to be looked at sign by sign, which for such texts was most of the time of reading. Answers as the parser of
 * quoted texts would (tests/records/plainRows.test.ts).
 *
 * @param content bytes in UTF-8
 * @param takeRow takes the values of a row, trimmed; they share the memory of a longer text, of which who keeps them makes copies
 * @returns whether all rows were taken: a row longer than the longest ends the reading
 */
export async function takePlainRows(
  content: Readable,
  { separator, longest }: PlainLayout,
  takeRow: (cells: readonly string[]) => void,
): Promise<boolean> {
  const decoder = new StringDecoder('utf8')
  let begun: string | undefined
  const takeLines = (lines: readonly string[]): boolean => {
    for (const line of lines) {
      if (line.length > longest) return false
      takeRow(cellsOf(line, separator))
    }
    return true
  }
  for await (const chunk of content) {
    const piece = decoder.write(chunk as Buffer)
    if (piece === '') continue
    const text = begun === undefined ? piece.replace(/^\ufeff/, '') : begun + piece
    // A return at the end may belong to a line feed that follows.
    const whole = text.endsWith('\r') ? text.length - 1 : text.length
    const lines = linesOf(text.slice(0, whole))
    begun = lines.pop()! + text.slice(whole)
    if (!takeLines(lines) || begun.length > longest) return false
  }
  const lines = linesOf((begun ?? '') + decoder.end())
  // What is left behind the last end of a line is no row where it is blank.
  if (cellsOf(lines.at(-1)!, separator).join(separator) === '') lines.pop()
  return takeLines(lines)
}

function linesOf(text: string): string[] {
  return text.includes('\r') ? text.split(/\r\n|\n|\r/) : text.split('\n')
}

function cellsOf(line: string, separator: string): readonly string[] {
  const cells = line.split(separator)
  for (let i = 0; i < cells.length; i++) if (mayHaveSpace(cells[i]!)) cells[i] = cells[i]!.trim()
  return cells
}

/** Whether the first or the last sign of a value may be white space. */
function mayHaveSpace(cell: string): boolean {
  return cell !== '' && (isNoMark(cell.charCodeAt(0)) || isNoMark(cell.charCodeAt(cell.length - 1)))
}

/** Whether a sign is none of the letters, figures and marks of ASCII, none of which is white space. */
function isNoMark(code: number): boolean {
  return code <= 0x20 || code > 0x7e
}
