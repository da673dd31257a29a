import { type Block, paragraph, type Section } from '../document.js'
import {
  baseSentence,
  comparisonClaims,
  comparisonKeyFigure,
  fewEventsSentence,
  firstCautions,
  incidenceKeyFigures,
  incidenceSentence,
  labels,
  leadKeyFigure,
  mainComparisonSentence,
  rateSentence,
  ratioSentence,
} from '../wording.js'
import type { SectionContext } from './context.js'

/** The answer in plain words, each number with its interval, and what has to be read beside it. */
export function answerSection({ audit, cite }: SectionContext): Section {
  const few = fewEventsSentence(audit, cite)
  const comparison = audit.fair === undefined ? comparisonKeyFigure(audit, cite) : leadKeyFigure(audit, cite)
  const ratio = comparisonClaims(audit) ? ratioSentence(audit, cite) : []
  const blocks: Block[] = [
    ...(few === undefined ? [] : [paragraph(few, 'lead')]),
    paragraph(incidenceSentence(audit, cite), 'lead'),
    paragraph(mainComparisonSentence(audit, cite), 'lead'),
    {
      kind: 'key-figures',
      figures: [...incidenceKeyFigures(audit, cite), ...(comparison === undefined ? [] : [comparison])],
    },
    paragraph([
      ...baseSentence(audit, cite),
      ' ',
      ...rateSentence(audit, cite),
      ...(ratio.length > 0 ? [' ', ...ratio] : []),
    ]),
  ]
  return {
    id: 'answer',
    title: labels.sections.answer,
    blocks,
    aside: {
      title: labels.readWithCare,
      blocks: [{ kind: 'list', items: firstCautions.map((caution) => [caution]) }],
    },
  }
}
