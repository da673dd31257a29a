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

/** Of those the words that do not also stand for "nothing of the kind", as a dash or "not applicable" do. */
const doubtWords: ReadonlySet<string> = new Set(['unknown', 'not known', 'nk', '?'])

/** Whether a trimmed text says that something is not known, and cannot be meant as "nothing of the kind". */
export function saysDoubt(text: string): boolean {
  return text.length <= 9 && doubtWords.has(text.toLowerCase())
}
