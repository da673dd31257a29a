import { message } from '../../messages/message.js'
import { speaker } from '../../messages/speaker.js'
import {
  type Cell,
  paragraph,
  type Table,
  table,
  textColumn,
  wordCell,
} from '../../questions/words/blocks.js'
import { figuresOf, numbersOf } from '../model/contents.js'
import type { Section } from '../model/document.js'
import { frameWords } from '../model/frameWords.js'
import { wordedBlocks } from '../model/worded.js'

const by = speaker()

/** The checklist with the place of each item; a table or figure that the draft does not hold is not pointed to. */
export function checklistSection(before: readonly Section[]): Section {
  const figures = new Set(figuresOf({ sections: before }).map(({ id }) => id))
  const items = checklistTable(numbersOf({ sections: before }), figures)
  return {
    id: 'checklist',
    title: by.text(message('manuscript.section.checklist')),
    blocks: wordedBlocks([paragraph(message('manuscript.checklist-intro')), items], by, {
      generated: false,
      full: true,
    }),
  }
}

function checklistTable(numbers: ReadonlyMap<string, string>, figures: ReadonlySet<string>): Table {
  return table('checklist', message('manuscript.checklist-caption'), {
    columns: [
      textColumn(message('manuscript.column.item')),
      textColumn(message('manuscript.column.asks')),
      textColumn(message('manuscript.column.place')),
      textColumn(message('manuscript.column.state')),
    ],
    rows: checklistItems.map((item) => [
      wordCell(item.item),
      wordCell(message(`manuscript.asks.${item.item}`)),
      placeCell(item, numbers, figures),
      wordCell(message(`manuscript.state.${item.state}`)),
    ]),
  })
}

function placeCell(
  { place, block }: ChecklistItem,
  numbers: ReadonlyMap<string, string>,
  figures: ReadonlySet<string>,
): Cell {
  const title = by.text(message(`manuscript.section.${place}`))
  const number = block === undefined ? undefined : numbers.get(block)
  if (block === undefined || number === undefined) {
    return wordCell([{ kind: 'pointer', target: place, text: title }])
  }
  const name = `${figures.has(block) ? frameWords().figure : frameWords().table} ${number}`
  return wordCell([`${title}, `, { kind: 'pointer', target: block, text: name }])
}

/** Sections of the draft of a case series. */
export type ManuscriptSection =
  | 'abstract'
  | 'introduction'
  | 'methods'
  | 'results'
  | 'discussion'
  | 'declarations'
  | 'references'
  | 'checklist'
  | 'supplement'

type ChecklistCode =
  | '1a'
  | '1b'
  | '2'
  | '3'
  | '4'
  | '5'
  | '6'
  | '7'
  | '8'
  | '9'
  | '10'
  | '11'
  | '12a'
  | '12b'
  | '12c'
  | '12d'
  | '12e'
  | '13a'
  | '13b'
  | '13c'
  | '14a'
  | '14b'
  | '14c'
  | '15'
  | '16a'
  | '16b'
  | '16c'
  | '17'
  | '18'
  | '19'
  | '20'
  | '21'
  | '22'

/** One item of the checklist. */
export interface ChecklistItem {
  /** Number of the item; `manuscript.asks` says what it asks for. */
  readonly item: ChecklistCode
  /** Section in which it is answered. */
  readonly place: ManuscriptSection
  readonly state: 'here' | 'part' | 'author'
  /** Table or figure that answers it, by its identifier, where there is one. */
  readonly block?: string
}

/** Items of STROBE (von Elm and others 2007), cohort studies, in words of our own. */
export const checklistItems: readonly ChecklistItem[] = Object.freeze([
  { item: '1a', place: 'abstract', state: 'here' },
  { item: '1b', place: 'abstract', state: 'part' },
  { item: '2', place: 'introduction', state: 'author' },
  { item: '3', place: 'introduction', state: 'author' },
  { item: '4', place: 'methods', state: 'part' },
  { item: '5', place: 'methods', state: 'part' },
  { item: '6', place: 'methods', state: 'part' },
  { item: '7', place: 'methods', state: 'here' },
  { item: '8', place: 'methods', state: 'part' },
  { item: '9', place: 'methods', state: 'part' },
  { item: '10', place: 'methods', state: 'part' },
  { item: '11', place: 'methods', state: 'here' },
  { item: '12a', place: 'methods', state: 'here' },
  { item: '12b', place: 'methods', state: 'here' },
  { item: '12c', place: 'methods', state: 'here' },
  { item: '12d', place: 'methods', state: 'here' },
  { item: '12e', place: 'methods', state: 'here' },
  { item: '13a', place: 'results', state: 'here', block: 'table-attrition' },
  { item: '13b', place: 'results', state: 'here', block: 'table-attrition' },
  { item: '13c', place: 'results', state: 'here', block: 'figure-attrition' },
  {
    item: '14a',
    place: 'results',
    state: 'here',
    block: 'table-characteristics',
  },
  {
    item: '14b',
    place: 'results',
    state: 'here',
    block: 'table-characteristics',
  },
  { item: '14c', place: 'results', state: 'here', block: 'table-followed' },
  {
    item: '15',
    place: 'results',
    state: 'here',
    block: 'table-life-table',
  },
  {
    item: '16a',
    place: 'results',
    state: 'here',
    block: 'table-comparison-arms',
  },
  {
    item: '16b',
    place: 'results',
    state: 'here',
    block: 'table-characteristics',
  },
  {
    item: '16c',
    place: 'results',
    state: 'here',
    block: 'table-risks',
  },
  {
    item: '17',
    place: 'results',
    state: 'here',
    block: 'figure-comparison-forest',
  },
  { item: '18', place: 'discussion', state: 'part' },
  { item: '19', place: 'discussion', state: 'part' },
  { item: '20', place: 'discussion', state: 'author' },
  { item: '21', place: 'discussion', state: 'author' },
  { item: '22', place: 'declarations', state: 'author' },
])
