import { message } from '../../messages/message.js'
import type { Speaker } from '../../messages/speaker.js'
import type { Citations } from '../model/citation.js'

const sections = ['definitions', 'methods', 'cautions', 'provenance', 'limitations'] as const

const columns = [
  'group',
  'restorations',
  'patients',
  'events',
  'competing',
  'restorationYears',
  'rate',
  'atRisk',
  'ratio',
  'problem',
  'quantity',
  'method',
  'page',
  'setting',
  'value',
  'file',
  'checksum',
  'lower',
  'upper',
] as const

const others = ['kicker', 'readWithCare', 'allFiles'] as const

type Texts<Keys extends readonly string[]> = { readonly [Key in Keys[number]]: string }

/** Headings, heads of columns and other short labels. */
export interface Labels extends Texts<typeof others> {
  readonly sections: Texts<typeof sections>
  readonly columns: Texts<typeof columns>
}

const known = new Map<string, Labels>()

/** The short labels in the language of a speaker. */
export function labelsOf(by: Speaker): Labels {
  const before = known.get(by.language)
  if (before !== undefined) return before
  const labels: Labels = Object.freeze({
    ...texts(others, (key) => by.text(message(`label.${key}`))),
    sections: texts(sections, (key) => by.text(message(`label.section.${key}`))),
    columns: texts(columns, (key) => by.text(message(`label.column.${key}`))),
  })
  known.set(by.language, labels)
  return labels
}

function texts<Keys extends readonly string[]>(keys: Keys, text: (key: Keys[number]) => string): Texts<Keys> {
  return Object.freeze(Object.fromEntries(keys.map((key) => [key, text(key)]))) as Texts<Keys>
}

/** Tables that are known by their caption. */
export type TableName = 'methods' | 'settings' | 'files'

/** Caption of a table. */
export function tableCaption(name: TableName, { by }: Citations): string {
  return by.text(message(`caption.table.${name}`))
}

/** "1 year", "3 years" over a column, where nothing is cited. */
export function yearsInWords(years: number, { by }: Citations): string {
  return by.text(message('label.years', { years }))
}
