/**
 * Room that a text takes in the font of our figures, so that a chart can be laid out without drawing it. Advance
 * widths of DejaVu Sans Condensed 2.37 for U+0020 to U+007E in thousandths of the text size, read from the font;
 * tests/charts/textWidth.test.ts measures them again.
 */
const regularAdvances = advances(
  '286 360 414 754 572 855 702 247 351 351 450 754 286 325 286 303 572 572 572 572 572 572 572 572 572 572 303 303 ' +
    '754 754 754 478 900 615 617 628 693 568 518 697 677 265 265 590 501 776 673 708 542 708 625 571 549 659 615 ' +
    '890 616 549 616 351 303 351 754 450 450 551 571 495 571 554 316 571 570 250 250 521 250 876 570 550 571 571 ' +
    '370 469 353 570 532 736 532 532 472 572 303 572 754',
)

const boldAdvances = advances(
  '313 410 469 754 626 901 785 275 411 411 470 754 342 374 342 329 626 626 626 626 626 626 626 626 626 626 360 360 ' +
    '754 754 754 522 900 696 686 660 747 615 615 738 753 334 334 697 573 896 753 765 659 765 693 648 614 730 696 ' +
    '993 694 651 652 411 329 411 754 450 450 607 644 533 644 610 391 644 641 308 308 598 308 938 641 618 644 644 ' +
    '444 536 430 641 586 831 580 586 523 641 329 641 754',
)

/** Width of a text in pixels at a text size in pixels; letters beyond ASCII count as wide ones. */
export function textWidth(text: string, sizePx: number, weight: 'normal' | 'bold' = 'normal'): number {
  const table = weight === 'bold' ? boldAdvances : regularAdvances
  let thousandths = 0
  for (const letter of text) {
    const code = letter.codePointAt(0)!
    thousandths += table[code - 32] ?? widthBeyondAscii(code)
  }
  return (thousandths * sizePx) / 1000
}

/** Widest of several texts in pixels. */
export function widestText(
  texts: readonly string[],
  sizePx: number,
  weight: 'normal' | 'bold' = 'normal',
): number {
  return texts.reduce((widest, text) => Math.max(widest, textWidth(text, sizePx, weight)), 0)
}

/**
 * Breaks a text into lines no wider than a given room, between words where it can and inside a word where it must.
 * Spaces that do not break keep what they hold together. Text beyond the last allowed line is cut, and the cut is shown by an ellipsis.
 */
export function wrapText(
  text: string,
  roomPx: number,
  sizePx: number,
  options: { readonly weight?: 'normal' | 'bold'; readonly mostLines?: number } = {},
): string[] {
  const weight = options.weight ?? 'normal'
  const mostLines = options.mostLines ?? 99
  const fits = (line: string): boolean => textWidth(line, sizePx, weight) <= roomPx
  const lines: string[] = []
  let line = ''
  for (const word of text.split(/[ \t\n\r]+/).filter((part) => part !== '')) {
    if (fits(line === '' ? word : `${line} ${word}`)) {
      line = line === '' ? word : `${line} ${word}`
      continue
    }
    if (line !== '') lines.push(line)
    line = word
    while (!fits(line)) {
      const head = longestHead(line, fits)
      lines.push(head)
      line = line.slice(head.length)
    }
  }
  if (line !== '' || lines.length === 0) lines.push(line)
  if (lines.length <= mostLines) return lines
  const kept = lines.slice(0, mostLines)
  kept[mostLines - 1] = cutWithEllipsis(`${kept[mostLines - 1]}…`, fits)
  return kept
}

function cutWithEllipsis(line: string, fits: (line: string) => boolean): string {
  let letters = Array.from(line.slice(0, -1))
  while (letters.length > 1 && !fits(`${letters.join('')}…`)) letters = letters.slice(0, -1)
  return `${letters.join('').trimEnd()}…`
}

function longestHead(word: string, fits: (line: string) => boolean): string {
  const letters = Array.from(word)
  let count = 1
  while (count < letters.length && fits(letters.slice(0, count + 1).join(''))) count++
  return letters.slice(0, count).join('')
}

function widthBeyondAscii(code: number): number {
  if (code === 0x2013 || code === 0x00b7 || (code >= 0x2018 && code <= 0x201d)) return 600
  return code < 0x0590 ? 812 : 1000
}

function advances(list: string): readonly number[] {
  return Object.freeze(list.split(' ').map(Number))
}
