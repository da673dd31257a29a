/** Words that stand for "not known" in any field; they are counted as unknown and never guessed. */
const unknownWords: ReadonlySet<string> = new Set([
  '',
  'unknown',
  'not known',
  'n/a',
  'na',
  'n.a.',
  'nk',
  '?',
  '-',
  '–',
  '—',
])

/** Whether a trimmed text says that a value is not known. */
export function saysUnknown(text: string): boolean {
  return text.length <= 9 && unknownWords.has(text.toLowerCase())
}
