import { message } from '../../messages/message.js'
import type { SectionSetting } from '../question.js'
import {
  numberCell,
  numberColumn,
  quantityCell,
  type Table,
  table,
  textColumn,
  wordCell,
} from '../words/blocks.js'
import { groupTitle } from '../words/groups.js'
import { count, type Path } from '../words/place.js'
import type { LifeTableResult } from './answer.js'

/** Actuarial life table, group by group. */
export function lifeTableTable(
  { groups, lateEntry }: LifeTableResult,
  at: Path<LifeTableResult>,
  { definition }: SectionSetting,
): Table {
  return table('life-table', message('life-table.caption'), {
    columns: [
      textColumn(message('table.group')),
      textColumn(message('life-table.year')),
      numberColumn(message('life-table.at-start')),
      numberColumn(message('life-table.events')),
      numberColumn(message('life-table.competing')),
      numberColumn(message('life-table.withdrawn')),
      numberColumn(message('life-table.effective')),
      numberColumn(message('life-table.probability')),
      numberColumn(message('life-table.free')),
    ],
    rows: groups.flatMap(({ group, years }, index) =>
      years.map(({ fromYears, toYears }, year) => {
        const place = at.groups[index]!.years[year]!
        return [
          wordCell(groupTitle(group, definition)),
          wordCell(message('life-table.span', { from: String(fromYears), to: String(toYears) })),
          numberCell(place.atStart),
          numberCell(place.events),
          numberCell(place.competing),
          numberCell(place.withdrawn),
          numberCell(place.effective, 'measure'),
          quantityCell(place.probability, 'percent'),
          quantityCell(place.freeAtEnd, 'percent'),
        ]
      }),
    ),
    notes: [
      message('life-table.note'),
      ...(lateEntry === 0 ? [] : [message('life-table.late-entry', { restorations: count(at.lateEntry) })]),
    ],
  })
}
