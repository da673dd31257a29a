import { fieldOf, type SheetName } from '../../vocabulary/fields.js'
import { headerWords } from './headerWords.js'
import { unitOf } from './numbers.js'
import { oneSheetHeaders } from './words/oneSheetHeaders.js'
import { restorationHeaders } from './words/restorationHeaders.js'
import { tighteningHeaders } from './words/tighteningHeaders.js'
import { visitHeaders } from './words/visitHeaders.js'

/** Languages of the lines of the word lists. */
export const headerLanguages = ['English', 'German', 'French', 'Spanish', 'Portuguese', 'Italian'] as const

/** What a header says by itself. */
export interface HeaderReading {
  readonly field: string
  /** The field name itself, or the language of the wording. */
  readonly by: 'field name' | (typeof headerLanguages)[number]
  /** Unit that the header states. */
  readonly unit?: string
}

type WordList = Readonly<Record<string, readonly string[]>>

const lists: Readonly<Record<SheetName, readonly WordList[]>> = {
  restorations: [restorationHeaders],
  tightenings: [{ restoration_id: restorationHeaders.restoration_id! }, tighteningHeaders],
  visits: [{ restoration_id: restorationHeaders.restoration_id! }, visitHeaders],
  one_sheet: [restorationHeaders, oneSheetHeaders],
}

const lookups = new Map<SheetName, ReadonlyMap<string, HeaderReading>>(
  Object.entries(lists).map(([sheet, words]) => [sheet as SheetName, lookupOf(words)]),
)

function lookupOf(wordLists: readonly WordList[]): ReadonlyMap<string, HeaderReading> {
  const lookup = new Map<string, HeaderReading>()
  for (const words of wordLists) {
    for (const [field, lines] of Object.entries(words)) {
      lines.forEach((line, language) => {
        for (const phrase of line.split('|')) {
          if (!lookup.has(phrase)) lookup.set(phrase, { field, by: headerLanguages[language]! })
        }
      })
    }
  }
  return lookup
}

/** The field that a header stands for in a sheet, with the unit it states; undefined where no list knows it. */
export function readHeader(sheet: SheetName, header: string): HeaderReading | undefined {
  const { base, unit } = withoutUnit(header)
  const stated = unit === undefined ? {} : { unit }
  const snake = headerWords(base).replaceAll(' ', '_')
  const full = headerWords(header).replaceAll(' ', '_')
  const own = fieldOf(sheet, full) ?? fieldOf(sheet, snake)
  if (own !== undefined) return { field: own.name, by: 'field name', ...stated }
  const lookup = lookups.get(sheet)!
  const found =
    lookup.get(headerWords(header)) ?? lookup.get(headerWords(base)) ?? torqueByUnit(sheet, header)
  return found === undefined ? undefined : { ...found, ...stated }
}

/** A header that is nothing but a unit of torque. */
function torqueByUnit(sheet: SheetName, header: string): HeaderReading | undefined {
  const unit = unitOf(header.trim())
  if (unit === undefined || !/^(?:N·|kgf·|in·)/.test(unit)) return undefined
  return fieldOf(sheet, 'target_torque_ncm') && { field: 'target_torque_ncm', by: 'English', unit }
}

/** A header without the unit in brackets or at its end. */
export function withoutUnit(header: string): { readonly base: string; readonly unit?: string } {
  const dated = /^(.*\S)[\s_,]+\(?(?:dd|tt|jj|gg|mm|yyyy|jjjj|aaaa)(?:[-./ ]?[dmyjtga]{1,4}){1,2}\)?$/i.exec(
    header,
  )
  if (dated !== null) return { base: dated[1]! }
  const bracketed = /^(.*?)\s*[([]\s*([^)\]]+?)\s*[)\]]\s*$/.exec(header)
  const last = /^(.*\S)[\s_,/]+(\S+)$/.exec(header)
  for (const match of [bracketed, last]) {
    const unit = match === null ? undefined : unitOf(match[2]!.replace(/\.$/, ''))
    if (unit !== undefined && unit !== 'years' && match![1] !== '') return { base: match![1]!, unit }
  }
  // Brackets that hold no unit explain the header and do not change its meaning.
  if (bracketed !== null && bracketed[1] !== '') return { base: bracketed[1]! }
  return { base: header }
}

/** Whether any sheet knows the header; by that a header row is told from the rows around it. */
export function isKnownHeader(header: string): boolean {
  if (header.length === 0 || header.length > 80) return false
  return [...lookups.keys()].some((sheet) => readHeader(sheet, header) !== undefined)
}
