import { type Block, paragraph, type Section } from '../model/document.js'
import {
  baseSentence,
  comparisonBase,
  comparisonHeadline,
  comparisonObjections,
  fewEventsSentence,
  fewSentence,
  firstCautions,
  incidenceKeyFigures,
  incidenceSentence,
  labelsOf,
  mainComparisonSentence,
  rateSentence,
} from '../wording/index.js'
import type { SectionContext } from './context.js'

/** The answer in plain words, each number with its interval, and what has to be read beside it. */
export function answerSection({ audit, cite }: SectionContext): Section {
  const few = fewEventsSentence(audit, cite)
  const comparison = comparisonHeadline(audit, cite)
  const labels = labelsOf(cite.by)
  const basis = comparisonBase(audit, cite)
  const blocks: Block[] = [
    ...(few === undefined ? [] : [paragraph(few, 'lead')]),
    paragraph(incidenceSentence(audit, cite), 'lead'),
    paragraph(mainComparisonSentence(audit, cite), 'lead'),
    ...(basis.length === 0 ? [] : [paragraph(basis)]),
    ...comparisonObjections(audit, cite).map((one) => paragraph(one)),
    {
      kind: 'key-figures',
      figures: [...incidenceKeyFigures(audit, cite), ...(comparison === undefined ? [] : [comparison])],
    },
    ...(audit.howOften.few === undefined ? [] : [paragraph(fewSentence(audit, cite))]),
    paragraph([...baseSentence(audit, cite), ' ', ...rateSentence(audit, cite)]),
  ]
  return {
    id: 'answer',
    title: labels.sections.answer,
    blocks,
    aside: {
      title: labels.readWithCare,
      blocks: [{ kind: 'list', items: firstCautions(cite) }],
    },
  }
}
