import { phraseCell, textColumn, wordCell } from '../cells.js'
import { numbersOf } from '../contents.js'
import { type Cell, paragraph, type Section, type Table } from '../document.js'
import { type ChecklistItem, checklistItems, labels, manuscriptLabels } from '../wording.js'

/** The checklist with the place of each item; a table or figure that the draft does not hold is not pointed to. */
export function checklistSection(before: readonly Section[]): Section {
  const table = checklistTable(numbersOf({ sections: before }))
  return {
    id: 'checklist',
    title: manuscriptLabels.sections.checklist,
    blocks: [paragraph([manuscriptLabels.checklistIntro]), table],
  }
}

function checklistTable(numbers: ReadonlyMap<string, number>): Table {
  const { columns, states, checklistCaption } = manuscriptLabels
  return {
    kind: 'table',
    id: 'table-checklist',
    caption: checklistCaption,
    columns: [
      textColumn(columns.item),
      textColumn(columns.asks),
      textColumn(columns.place),
      textColumn(columns.state),
    ],
    rows: checklistItems.map((item) => [
      wordCell(item.item),
      wordCell(item.asks),
      placeCell(item, numbers),
      wordCell(states[item.state]),
    ]),
    notes: [],
  }
}

function placeCell({ place, block }: ChecklistItem, numbers: ReadonlyMap<string, number>): Cell {
  const title = manuscriptLabels.sections[place]
  const number = block === undefined ? undefined : numbers.get(block)
  if (block === undefined || number === undefined) {
    return phraseCell([{ kind: 'pointer', target: place, text: title }], title)
  }
  const name = `${block.startsWith('figure-') ? labels.figure : labels.table} ${number}`
  return phraseCell([`${title}, `, { kind: 'pointer', target: block, text: name }], `${title}, ${name}`)
}
