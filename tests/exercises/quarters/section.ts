import { message } from '../../messages/message.js'
import {
  type Block,
  figure,
  foreignCell,
  numberCell,
  numberColumn,
  paragraph,
  type Table,
  table,
  textColumn,
} from '../words/blocks.js'
import { count, type Path } from '../words/place.js'
import type { Quarters } from './answer.js'
import { quartersChart } from './chart.js'

/** A sentence, a table and a figure. */
export function quartersBlocks(result: Quarters, at: Path<Quarters>): readonly Block[] {
  return [
    paragraph(message('quarters.found', { events: count(at.events), quarters: count(at.counts.length) })),
    quartersTable(result, at),
    figure('quarters', message('quarters.title'), (options) => quartersChart(result, options)),
  ]
}

/** Events of each clinic in each quarter. */
export function quartersTable({ counts }: Quarters, at: Path<Quarters>): Table {
  return table('quarters', message('quarters.title'), {
    columns: [
      textColumn(message('table.clinic')),
      numberColumn(message('quarters.from')),
      numberColumn(message('table.events')),
    ],
    rows: counts.map(({ clinic }, row) => [
      foreignCell(clinic),
      numberCell(at.counts[row]!.from, 'whole'),
      numberCell(at.counts[row]!.events),
    ]),
  })
}
