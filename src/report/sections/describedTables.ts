import { upperFirst } from '../../charts/words.js'
import { isNumber } from '../../core/estimate.js'
import { estimateCell, estimateColumn, foreignCell, phraseCell, textColumn } from '../cells.js'
import { type Cell, capitalised, type Phrase, plainText, type Table } from '../document.js'
import { groupInSentence, type Labels, labelsOf, modelNotes } from '../wording.js'
import { type SectionContext, table } from './context.js'
import { warningNotes } from './warningNotes.js'

/** The adjusted model with every coefficient; none where it could not be estimated. */
export function modelBlocks({ audit, cite }: SectionContext): readonly Table[] {
  const { model } = audit
  if (model === undefined) return []
  const labels = labelsOf(cite.by)
  const { columns } = labels
  return [
    table(
      'model',
      { cite },
      {
        columns: [
          textColumn(columns.term),
          textColumn(columns.baseline),
          estimateColumn(cite, columns.ratio, 'ratio'),
        ],
        rows: model.terms.map(({ name, words, baseline }, index) => [
          index === 0
            ? nameCell(capitalised(groupInSentence(model.group, audit, cite)))
            : foreignCell(upperFirst(words)),
          index === 0
            ? nameCell(groupInSentence(model.against, audit, cite))
            : foreignCell(baseline ?? unitOf(name, labels)),
          estimateCell(cite, `model.terms.${index}.hazardRatio`, 'ratio'),
        ]),
        notes: [
          ...modelNotes(audit, cite),
          ...warningNotes({ audit, cite }, [
            { group: columns.term, warnings: model.warnings },
            ...model.terms
              .filter(({ hazardRatio }) => !isNumber(hazardRatio.estimate))
              .map(({ words, hazardRatio }) => ({ group: words, warnings: hazardRatio.warnings })),
          ]),
        ],
      },
    ),
  ]
}

/** The name of a group. */
function nameCell(name: Phrase): Cell {
  return phraseCell(name, plainText(name))
}

/** Numbers that are adjusted for are millimetres or years, as the name of the column says. */
function unitOf(name: string, { perMillimetre, perYear }: Labels): string {
  return name.endsWith('_mm') ? perMillimetre : perYear
}
