import { message } from '../../messages/message.js'
import { speaker } from '../../messages/speaker.js'
import type { QuestionKind } from '../../questions/registry.js'
import type { Block, Section } from '../model/document.js'
import { paragraph } from '../model/document.js'
import {
  characteristicsSentence,
  comparisonForPaper,
  comparisonObjections,
  horizonsSentence,
  rateSentence,
  retentionSentence,
  riskForPaper,
} from '../wording/index.js'
import { type ManuscriptContext, takenFrom } from './manuscriptContext.js'
import { questionBlocks, questionSection } from './questionSection.js'

const by = speaker()

const tighteningSection = questionSection('fair', message('comparison.title'), ['tightening'])

/** Results: who, how often, compared, and every other way, with the tables and figures of the report. */
export function manuscriptResultsSection(context: ManuscriptContext): Section {
  return {
    id: 'results',
    title: by.text(message('manuscript.section.results')),
    blocks: [
      { kind: 'heading', text: by.text(message('manuscript.heading.who')) },
      ...whoBlocks(context),
      { kind: 'heading', text: by.text(message('manuscript.heading.often')) },
      ...oftenBlocks(context),
      ...seriesBlocks(context),
      ...comparisonBlocks(context),
      ...otherBlocks(context),
    ],
  }
}

/** What is said of the answer to a question, as a section of the report has it. */
function answered(kind: QuestionKind, context: ManuscriptContext): Pick<Section, 'blocks'> {
  return { blocks: questionBlocks([kind], context) }
}

function whoBlocks(context: ManuscriptContext): readonly Block[] {
  const { audit, cite } = context
  return [
    ...questionBlocks(['attrition'], context),
    ...(audit.characteristics === undefined ? [] : [paragraph(characteristicsSentence(audit, cite))]),
    ...takenFrom(answered('characteristics', context), ['table-characteristics']),
    ...takenFrom(answered('incidence', context), ['table-followed']),
  ]
}

function oftenBlocks(context: ManuscriptContext): readonly Block[] {
  const { audit, cite } = context
  return [
    paragraph(by.phrase(riskForPaper(audit))),
    ...(audit.incidence.overall.events === 0
      ? []
      : [paragraph([...horizonsSentence(audit, cite), ' ', ...rateSentence(audit, cite)])]),
    ...takenFrom(answered('incidence', context), ['figure-incidence', 'table-risks', 'table-events']),
    paragraph(retentionSentence(audit, cite)),
    ...takenFrom(answered('retention', context), ['figure-retention', 'table-retention', 'table-life-table']),
  ]
}

function seriesBlocks(context: ManuscriptContext): readonly Block[] {
  const section = questionSection('series', message('series.title'), ['series'])(context)
  return section.blocks.length === 0
    ? []
    : [{ kind: 'heading', text: by.text(message('manuscript.heading.single')) }, ...section.blocks]
}

function comparisonBlocks(context: ManuscriptContext): readonly Block[] {
  const { audit, cite } = context
  if (audit.tightening === undefined) return []
  const section = tighteningSection(context)
  return [
    { kind: 'heading', text: by.text(message('manuscript.heading.comparison')) },
    paragraph(comparisonForPaper(audit, cite)),
    ...takenFrom(section, ['table-comparison-arms', 'figure-comparison-curves']),
    ...takenFrom(answered('model', context), ['table-model']),
  ]
}

function otherBlocks(context: ManuscriptContext): readonly Block[] {
  const { audit } = context
  if (audit.tightening === undefined) return []
  return [
    { kind: 'heading', text: by.text(message('manuscript.heading.sensitivity')) },
    ...comparisonObjections(audit, context.cite).map((one) => paragraph(one)),
    ...takenFrom(tighteningSection(context), ['figure-comparison-forest', 'table-comparison-challenges']),
  ]
}
