import { isNumber } from '../../core/estimate.js'
import { listOf, type Message, message, opening, type Part } from '../../messages/message.js'
import { fieldName, levelName } from '../../messages/names.js'
import { fieldOf } from '../../vocabulary/fields.js'
import type { SectionSetting } from '../question.js'
import {
  estimateCell,
  estimateColumn,
  type Table,
  table,
  textColumn,
  warningNotes,
  wordCell,
} from '../words/blocks.js'
import { groupInSentence } from '../words/groups.js'
import { count, type Path } from '../words/place.js'
import type { AdjustedModel, ModelTerm } from './answer.js'

/** The adjusted model with every coefficient. */
export function modelTable(
  model: AdjustedModel,
  at: Path<AdjustedModel>,
  { definition }: SectionSetting,
): Table {
  const notEstimated = model.terms.flatMap((term, index) =>
    isNumber(term.hazardRatio.estimate)
      ? []
      : [{ group: termName(term), warnings: at.terms[index]!.hazardRatio.warnings }],
  )
  return table('model', message('caption.table.model'), {
    columns: [
      textColumn(message('label.column.term')),
      textColumn(message('label.column.baseline')),
      estimateColumn(message('label.column.ratio'), 'ratio'),
    ],
    rows: model.terms.map((term, index) => [
      wordCell(opening(index === 0 ? groupInSentence(model.group, definition) : termName(term))),
      wordCell(index === 0 ? groupInSentence(model.against, definition) : againstWhat(term)),
      estimateCell(at.terms[index]!.hazardRatio, 'ratio'),
    ]),
    notes: [
      ...modelNotes(model, at),
      ...warningNotes([{ group: message('label.column.term'), warnings: at.warnings }, ...notEstimated]),
    ],
  })
}

function modelNotes(model: AdjustedModel, at: Path<AdjustedModel>): readonly Message[] {
  return [
    message('described.model', {
      restorations: count(at.restorations),
      events: count(at.events),
      incomplete: count(at.incomplete),
    }),
    ...(model.strata.length === 0
      ? []
      : [message('described.strata', { strata: listOf(model.strata.map(fieldName)) })]),
  ]
}

/** "region of the mouth: molar". */
function termName({ key, level }: ModelTerm): Part {
  return level === undefined
    ? fieldName(key)
    : message('described.level', { trait: fieldName(key), level: levelName(key, level) })
}

/** The level that a category is compared with; numbers that are adjusted for are millimetres or years. */
function againstWhat({ key, baseline }: ModelTerm): Part {
  if (baseline !== undefined) return levelName(key, baseline)
  return message(fieldOf('restorations', key)?.unit === 'mm' ? 'label.perMillimetre' : 'label.perYear')
}
