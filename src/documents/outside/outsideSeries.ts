import { listOf, message, type Words } from '../../messages/message.js'
import { fieldName } from '../../messages/names.js'
import { speaker } from '../../messages/speaker.js'
import { yearsAt } from '../../questions/howOften/section.js'
import { restorationTypesInSentence, restorationTypesOpening } from '../../questions/restorationTypes.js'
import { type Block, heading, paragraph, sentences } from '../../questions/words/blocks.js'
import { count, number, pathsOf } from '../../questions/words/place.js'
import type { ReportDocument, Section } from '../model/document.js'
import { openReferenceList, type ReferenceList } from '../model/referenceList.js'
import { wordedBlocks } from '../model/worded.js'
import {
  declarationsSection,
  introductionSection,
  referencesSection,
} from '../sections/manuscriptSections.js'
import {
  comparedIn,
  type OutsideOptions,
  objectionsIn,
  type Parts,
  releasedTable,
  riskFigures,
  riskIn,
} from './outsideDocument.js'
import type { Released } from './released.js'

/**
 * Draft of a case series that may leave the practice, made from nothing but what is released: what would need smaller
 * counts (flow, characteristics, curves, single restorations) is named as left out, for the author to add where the
 * rules allow it.
 */
export function outsideSeries(released: Released, { date }: OutsideOptions): ReportDocument {
  const by = speaker()
  const { generated, definition } = released
  const parts = { released, at: pathsOf(released) }
  const references = openReferenceList()
  const section = (id: string, title: Words, blocks: readonly Block[]): Section => ({
    id,
    title: by.text(title),
    blocks: wordedBlocks(blocks, by, { generated, full: true }),
  })
  const text = [
    {
      ...section('abstract', message('manuscript.section.abstract'), abstractBlocks(parts)),
      aside: {
        title: by.text(message('manuscript.before-submitting')),
        blocks: wordedBlocks(
          [{ kind: 'list', items: [message('manuscript.blanks-left'), message('manuscript.read-it')] }],
          by,
          { generated, full: true },
        ),
      },
    },
    introductionSection(),
    section('methods', message('manuscript.section.methods'), methodsBlocks(parts, references)),
    section('results', message('manuscript.section.results'), resultsBlocks(parts)),
    section('discussion', message('manuscript.section.discussion'), [
      paragraph(message('manuscript.key-results-author')),
      paragraph(message('manuscript.discussion-limitations')),
      paragraph(message('manuscript.discussion-interpretation')),
      paragraph(message('manuscript.discussion-reach')),
    ]),
    declarationsSection(),
  ]
  return {
    layout: 'manuscript',
    title: by.phrase(
      message('manuscript.title', {
        endpoint: message(`endpoint.title.${released.endpoint}`),
        types: restorationTypesInSentence(definition.restorationTypes),
      }),
    ),
    kicker: by.text(message('outside.series-kicker')),
    summary: by.phrase(message('manuscript.summary')),
    generated,
    date,
    sections: [...text, referencesSection({ references })],
  }
}

function abstractBlocks(parts: Parts): readonly Block[] {
  const { definition, endpoint } = parts.released
  const methods = message('outside.series-methods', {
    types: restorationTypesOpening(definition.restorationTypes),
    endpoint: message(`endpoint.name.${endpoint}`),
  })
  return [
    {
      kind: 'terms',
      entries: [
        { term: message('manuscript.part.background'), meaning: message('manuscript.abstract-background') },
        { term: message('manuscript.part.methods'), meaning: methods },
        { term: message('manuscript.part.results'), meaning: sentences(...(said(parts) as never[])) },
        { term: message('manuscript.part.conclusions'), meaning: message('manuscript.abstract-conclusions') },
        { term: message('manuscript.part.keywords'), meaning: message('manuscript.abstract-keywords') },
      ],
    },
  ]
}

function said(parts: Parts): readonly Words[] {
  return [...sizeIn(parts), riskIn(parts), ...comparedIn(parts)]
}

function sizeIn({ released, at }: Parts): readonly Words[] {
  if (released.restorations === undefined) return []
  return [
    message('outside.series-size', { restorations: count(at.restorations), patients: count(at.patients) }),
  ]
}

function methodsBlocks({ released, at }: Parts, references: ReferenceList): readonly Block[] {
  const { endpoint, definition, comparison } = released
  const { from, to } = at.definition.waitWindowMinutes
  const estimated = comparison?.difference !== undefined
  return [
    heading(message('manuscript.heading.setting')),
    paragraph(message('outside.series-setting', { cited: references.cite('strobe') })),
    heading(message('manuscript.heading.participants')),
    paragraph(
      message('manuscript.participants', {
        types: restorationTypesInSentence(definition.restorationTypes),
        part: released.chosenPart ? 'yes' : 'other',
      }),
    ),
    heading(message('manuscript.heading.handling')),
    paragraph(message('manuscript.handling', { from: number(from, 'whole'), to: number(to, 'whole') })),
    heading(message('manuscript.heading.outcome')),
    paragraph(
      message('manuscript.outcome', {
        name: message(`endpoint.name.${endpoint}`),
        meaning: message(`endpoint.meaning.${endpoint}`),
      }),
    ),
    heading(message('manuscript.heading.follow-up')),
    paragraph(message('manuscript.follow-up', { days: count(at.definition.recallIntervalDays) })),
    heading(message('manuscript.heading.statistics')),
    ...(estimated
      ? [
          paragraph(
            message('manuscript.estimate', {
              endpoint: message(`endpoint.name.${endpoint}`),
              years: yearsAt(at.comparison.years),
              cited: references.citeMethods(['overlap-comparison']),
              allowed: listOf(comparison.allowedFor.map(fieldName)),
            }),
          ),
          paragraph(message('manuscript.estimate-interval')),
          paragraph(message('manuscript.challenges')),
        ]
      : []),
    paragraph(message('manuscript.unknown-followed')),
    heading(message('manuscript.heading.ethics')),
    paragraph(message('manuscript.ethics')),
  ]
}

function resultsBlocks(parts: Parts): readonly Block[] {
  const { released } = parts
  const objections = objectionsIn(released)
  return [
    ...said(parts).map((one) => paragraph(one)),
    ...(released.restorations === undefined ? [] : [...riskFigures(parts), releasedTable(parts)]),
    ...(objections.length === 0 ? [] : [{ kind: 'list', items: objections } as const]),
    paragraph(message('outside.series-left-out', { least: released.least })),
  ]
}
