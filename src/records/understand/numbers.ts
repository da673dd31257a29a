/** Character that sets the decimals apart in a column. */
export type DecimalMark = '.' | ','

/** What all values of a column together say about its decimal mark. */
export type DecimalVerdict =
  | { readonly state: 'decided'; readonly mark: DecimalMark }
  | { readonly state: 'undecidable'; readonly ambiguous: number }
  | { readonly state: 'contradictory' }

const plainNumber = /^[+-]?\d+$/
/** One mark with exactly three digits after it and one to three before: decimals or thousands, by the text alone. */
const threeAfterMark = /^[+-]?[1-9]\d{0,2}([.,])\d{3}$/
const decimalPoint = /^[+-]?(?:\d+|\d{1,3}(?:[,'’\s]\d{3})+)?\.\d+(?:e[+-]?\d+)?$/i
const decimalComma = /^[+-]?(?:\d+|\d{1,3}(?:[.'’\s]\d{3})+)?,\d+$/

/**
 * Decides the decimal mark of a column once, from all its values. A value such as 1.250 or 1,250 fits both readings and
 * decides nothing by itself; the range of the field decides where only one reading of every such value lies in it.
 */
export function decimalMarkOf(
  values: readonly string[],
  counts: ArrayLike<number>,
  fits: (value: number) => boolean,
): DecimalVerdict {
  let points = 0
  let commas = 0
  const doubtful: string[] = []
  let ambiguous = 0
  for (let code = 0; code < values.length; code++) {
    const value = values[code]!
    if (counts[code] === 0 || plainNumber.test(value)) continue
    if (threeAfterMark.test(value)) {
      doubtful.push(value)
      ambiguous += counts[code]!
    } else if (decimalPoint.test(value)) points += counts[code]!
    else if (decimalComma.test(value)) commas += counts[code]!
  }
  if (points > 0 && commas > 0) return { state: 'contradictory' }
  if (points > 0) return { state: 'decided', mark: '.' }
  if (commas > 0) return { state: 'decided', mark: ',' }
  if (doubtful.length === 0) return { state: 'decided', mark: '.' }
  const byPoint = doubtful.every((value) => fits(numberOfText(value, '.') ?? Number.NaN))
  const byComma = doubtful.every((value) => fits(numberOfText(value, ',') ?? Number.NaN))
  if (byPoint !== byComma) return { state: 'decided', mark: byPoint ? '.' : ',' }
  return { state: 'undecidable', ambiguous }
}

/** Number of a text by the decimal mark of its column; undefined where it is none. Thousands may be set apart. */
export function numberOfText(text: string, mark: DecimalMark): number | undefined {
  if (plainNumber.test(text)) return Number(text)
  const point = mark === '.'
  const grouped = point
    ? /^[+-]?\d{1,3}(?:[,'’\s]\d{3})+(?:\.\d+)?$/
    : /^[+-]?\d{1,3}(?:[.'’\s]\d{3})+(?:,\d+)?$/
  const simple = point ? /^[+-]?(?:\d+\.?\d*|\.\d+)(?:e[+-]?\d{1,3})?$/i : /^[+-]?(?:\d+,?\d*|,\d+)$/
  if (!simple.test(text) && !grouped.test(text)) return undefined
  const bare = point ? text.replace(/[,'’\s]/g, '') : text.replace(/[.'’\s]/g, '').replace(',', '.')
  const value = Number(bare)
  return Number.isFinite(value) ? value : undefined
}

const unitWords: readonly (readonly [unit: string, words: RegExp])[] = [
  ['N·cm', /^(?:n\s?[·.*x⋅×∙•‐‑–−-]?\s?cm)$/i],
  ['N·m', /^(?:n\s?[·.*x⋅×∙•‐‑–−-]?\s?m)$/i],
  ['N·mm', /^(?:n\s?[·.*x⋅×∙•‐‑–−-]?\s?mm)$/i],
  [
    'in·lbf',
    /^(?:in\.?\s?[·.*x⋅×∙•‐‑–−-]?\s?lbs?(?:[·.-]?f)?\.?|lb(?:s|f)?\.?\s?[·.*x⋅×∙•‐‑–−-]?\s?in\.?)$/i,
  ],
  ['kgf·cm', /^(?:kgf?\s?[·.*x⋅×∙•‐‑–−-]?\s?cm)$/i],
  ['mm', /^mm$/i],
  ['cm', /^cm$/i],
  ['min', /^(?:min|mins|minutes?|minuten?|minutos?|minuti|')$/i],
  ['s', /^(?:s|sec|secs|seconds?|sek|sekunden?|secondes?|segundos?|secondi)$/i],
  ['h', /^(?:h|hours?|std|stunden?|heures?|horas?|ore)$/i],
  ['d', /^(?:d|days?|tage?|jours?|d[ií]as?|dias?|giorni)$/i],
  ['°', /^(?:°|deg|degrees?|grad|degr[eé]s?|grados?|graus?|gradi)$/i],
  ['years', /^(?:y|yr|yrs|years?|jahre?|ans?|a[nñ]os?|anos?|anni)$/i],
]

/** A number with a unit written behind it, taken apart; undefined where there is no known unit. */
export function withUnit(text: string): { readonly number: string; readonly unit: string } | undefined {
  const match = /^([+-]?[\d.,]+)\s?([^\d\s].*)$/.exec(text)
  if (match === null) return undefined
  const unit = unitOf(match[2]!.trim())
  return unit === undefined ? undefined : { number: match[1]!, unit }
}

/** The unit that a word stands for. */
export function unitOf(word: string): string | undefined {
  return unitWords.find(([, words]) => words.test(word))?.[0]
}
