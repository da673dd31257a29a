import type { ModelTerm } from '../../analysis/description/adjustedModel.js'
import { upperFirst } from '../../charts/words.js'
import { isNumber } from '../../core/estimate.js'
import { estimateCell, estimateColumn, phraseCell, textColumn, wordCell } from '../cells.js'
import type { Citations } from '../citation.js'
import { type Cell, capitalised, foreign, type Phrase, plainText, type Table } from '../document.js'
import { groupInSentence, type Labels, labelsOf, levelName, modelNotes, traitName } from '../wording.js'
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
        rows: model.terms.map((term, index) => [
          index === 0
            ? nameCell(capitalised(groupInSentence(model.group, audit, cite)))
            : wordCell(upperFirst(termName(term, cite))),
          index === 0
            ? nameCell(groupInSentence(model.against, audit, cite))
            : wordCell(baselineName(term, cite) ?? unitOf(term.name, labels)),
          estimateCell(cite, `model.terms.${index}.hazardRatio`, 'ratio'),
        ]),
        notes: [
          ...modelNotes(audit, cite),
          ...warningNotes({ audit, cite }, [
            { group: columns.term, warnings: model.warnings },
            ...model.terms
              .filter(({ hazardRatio }) => !isNumber(hazardRatio.estimate))
              .map((term) => ({ group: termName(term, cite), warnings: term.hazardRatio.warnings })),
          ]),
        ],
      },
    ),
  ]
}

/** "region of the mouth: molar". */
function termName({ field = '', fieldLevel, words }: ModelTerm, cite: Citations): string {
  const trait = traitName({ field, words })
  if (fieldLevel === undefined) return cite.by.text(trait)
  return cite.text('described.level', { trait, level: foreign(levelName({ field }, fieldLevel, cite)) })
}

/** What a category is compared with. */
function baselineName({ field = '', baselineLevel }: ModelTerm, cite: Citations): string | undefined {
  return baselineLevel === undefined ? undefined : levelName({ field }, baselineLevel, cite)
}

/** The name of a group. */
function nameCell(name: Phrase): Cell {
  return phraseCell(name, plainText(name))
}

/** Numbers that are adjusted for are millimetres or years, as the name of the column says. */
function unitOf(name: string, { perMillimetre, perYear }: Labels): string {
  return name.endsWith('_mm') ? perMillimetre : perYear
}
