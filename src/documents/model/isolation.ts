/** Letters that run from right to left: the blocks of Hebrew, Arabic, Syriac, Thaana, N'Ko and their kin. */
const rightToLeft = /[\u0590-\u08ff\ufb1d-\ufdff\ufe70-\ufeff]|[\u{10800}-\u{10fff}\u{1e800}-\u{1efff}]/u

/** Whether a text holds letters that could turn the direction of what stands beside it. */
export function turnsDirection(text: string): boolean {
  return rightToLeft.test(text)
}

/** A text in an isolate of its own direction (Unicode 6.3, FSI and PDI), where it needs one. */
export function isolated(text: string): string {
  return turnsDirection(text) ? `\u2068${text}\u2069` : text
}

/** A text between marks of our own direction, for writers whose readers know no isolates. */
export function markedLeftToRight(text: string): string {
  return turnsDirection(text) ? `\u200e${text}\u200e` : text
}
