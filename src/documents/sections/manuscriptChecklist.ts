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
import { type ChecklistItem, checklistItems } from '../wording/strobe.js'

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
