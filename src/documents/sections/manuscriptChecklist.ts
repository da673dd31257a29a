import { message } from '../../messages/message.js'
import { speaker } from '../../messages/speaker.js'
import { phraseCell, textColumn, wordCell } from '../model/cells.js'
import { figuresOf, numbersOf } from '../model/contents.js'
import { type Cell, paragraph, type Section, type Table } from '../model/document.js'
import { frameWords } from '../model/frameWords.js'
import { type ChecklistItem, checklistItems } from '../wording/strobe.js'

const by = speaker()

/** The checklist with the place of each item; a table or figure that the draft does not hold is not pointed to. */
export function checklistSection(before: readonly Section[]): Section {
  const figures = new Set(figuresOf({ sections: before }).map(({ id }) => id))
  const table = checklistTable(numbersOf({ sections: before }), figures)
  return {
    id: 'checklist',
    title: by.text(message('manuscript.section.checklist')),
    blocks: [paragraph(by.phrase(message('manuscript.checklist-intro'))), table],
  }
}

function checklistTable(numbers: ReadonlyMap<string, string>, figures: ReadonlySet<string>): Table {
  return {
    kind: 'table',
    id: 'table-checklist',
    caption: by.text(message('manuscript.checklist-caption')),
    columns: [
      textColumn(by.text(message('manuscript.column.item'))),
      textColumn(by.text(message('manuscript.column.asks'))),
      textColumn(by.text(message('manuscript.column.place'))),
      textColumn(by.text(message('manuscript.column.state'))),
    ],
    rows: checklistItems.map((item) => [
      wordCell(item.item),
      wordCell(by.text(message(`manuscript.asks.${item.item}`))),
      placeCell(item, numbers, figures),
      wordCell(by.text(message(`manuscript.state.${item.state}`))),
    ]),
    notes: [],
  }
}

function placeCell(
  { place, block }: ChecklistItem,
  numbers: ReadonlyMap<string, string>,
  figures: ReadonlySet<string>,
): Cell {
  const title = by.text(message(`manuscript.section.${place}`))
  const number = block === undefined ? undefined : numbers.get(block)
  if (block === undefined || number === undefined) {
    return phraseCell([{ kind: 'pointer', target: place, text: title }], title)
  }
  const name = `${figures.has(block) ? frameWords().figure : frameWords().table} ${number}`
  return phraseCell([`${title}, `, { kind: 'pointer', target: block, text: name }], `${title}, ${name}`)
}
