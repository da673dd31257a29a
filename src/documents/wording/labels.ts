import { message } from '../../messages/message.js'
import type { Speaker } from '../../messages/speaker.js'
import type { Citations } from '../model/citation.js'

const sections = [
  'answer',
  'incidence',
  'retention',
  'comparison',
  'cohort',
  'quality',
  'definitions',
  'methods',
  'cautions',
  'provenance',
  'described',
  'limitations',
] as const

const columns = [
  'group',
  'restorations',
  'patients',
  'events',
  'competing',
  'restorationYears',
  'followUp',
  'share',
  'rate',
  'atRisk',
  'years',
  'afterLastLook',
  'midpoint',
  'found',
  'difference',
  'ratio',
  'allowsFor',
  'test',
  'statistic',
  'degrees',
  'pValue',
  'reason',
  'leftOut',
  'remaining',
  'step',
  'table',
  'read',
  'setAside',
  'problem',
  'place',
  'what',
  'rows',
  'count',
  'expected',
  'expectedAndMend',
  'mend',
  'field',
  'known',
  'unknown',
  'knownShare',
  'quantity',
  'method',
  'page',
  'setting',
  'value',
  'file',
  'checksum',
  'comparison',
  'lower',
  'upper',
  'trait',
  'standardisedDifference',
  'countOrMedian',
  'shareOrQuartiles',
  'term',
  'baseline',
] as const

const others = [
  'kicker',
  'readWithCare',
  'wholeFile',
  'allFiles',
  'noRows',
  'notKnown',
  'perMillimetre',
  'perYear',
] as const

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
export type TableName =
  | 'events'
  | 'followed'
  | 'risks'
  | 'placement'
  | 'retention'
  | 'at-risk'
  | 'differences'
  | 'hazard-ratios'
  | 'curve-test'
  | 'reasons'
  | 'attrition'
  | 'rows'
  | 'problems'
  | 'set-aside'
  | 'completeness'
  | 'unknown-by-clinic'
  | 'unknown-by-tightening'
  | 'methods'
  | 'settings'
  | 'files'
  | 'characteristics'
  | 'model'

/** Figures that are known by their caption. */
export type FigureName =
  | 'retention'
  | 'retention-other'
  | 'incidence'
  | 'differences'
  | 'hazard-ratios'
  | 'attrition'
  | 'completeness'

/** Caption of a table. */
export function tableCaption(name: TableName, { by }: Citations): string {
  return by.text(message(`caption.table.${name}`))
}

/** Caption of a figure. */
export function figureCaption(name: FigureName, { by }: Citations): string {
  return by.text(message(`caption.figure.${name}`))
}

/** "1 year", "3 years" over a column, where nothing is cited. */
export function yearsInWords(years: number, { by }: Citations): string {
  return by.text(message('label.years', { years }))
}
