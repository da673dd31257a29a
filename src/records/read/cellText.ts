/** Longest text that is kept of a cell; more than this is never a value of the records. */
export const keptCharacters = 4_096

const outerSpace = /^[\s\u200b\u200e\u200f\ufeff]+|[\s\u200b\u200e\u200f\ufeff]+$/gu
const typographicQuotes = /^[“”„«»‘’‚‹›](.*)[“”„«»‘’‚‹›]$/u
const textFormula = /^="((?:[^"]|"")*)"$/

/**
 * Text of a cell without white space at its ends (no-break and zero-width space too), without typographic quotation
 * marks around it, without the apostrophe or the ="…" by which spreadsheets keep text as text, in Unicode form C.
 */
export function cleaned(text: string): string {
  let value = text.replace(outerSpace, '')
  if (value.length > keptCharacters) value = Buffer.from(value.slice(0, keptCharacters)).toString()
  const formula = textFormula.exec(value)
  if (formula !== null) value = formula[1]!.replaceAll('""', '"')
  else if (value.startsWith("'") && !value.endsWith("'")) value = value.slice(1)
  const quoted = typographicQuotes.exec(value)
  if (quoted !== null) value = quoted[1]!
  return value.replace(outerSpace, '').normalize('NFC')
}

/** Whether every cell of a row is empty. */
export function isBlank(cells: readonly string[]): boolean {
  for (const cell of cells) if (cell !== '' && cleaned(cell) !== '') return false
  return true
}
