import { type Message, message, type Words } from '../../messages/message.js'
import { speaker } from '../../messages/speaker.js'
import { type Block, foreign, paragraph, type Section } from '../model/document.js'
import { referencesId } from '../model/referenceList.js'
import { statisticsParagraphs } from '../wording/manuscriptMethods.js'
import {
  abstractParts,
  declarationTerms,
  followUpParagraphs,
  handlingParagraphs,
  introductionBlanks,
  keyResults,
  outcomeParagraphs,
  participantsParagraphs,
  settingParagraphs,
  sizeParagraphs,
  softwareSentence,
} from '../wording/manuscriptWords.js'
import type { ManuscriptContext } from './manuscriptContext.js'
import { limitationBlocks } from './methodSections.js'

const by = speaker()

function said(words: Words): Block {
  return paragraph(by.phrase(words))
}

function headed(title: Message): Block {
  return { kind: 'heading', text: by.text(title) }
}

/** The structured abstract, and beside it what has to be done before the draft goes anywhere. */
export function abstractSection({ audit, cite }: ManuscriptContext): Section {
  const cautions = [message('manuscript.blanks-left'), message('manuscript.read-it')]
  return {
    id: 'abstract',
    title: by.text(message('manuscript.section.abstract')),
    blocks: [
      {
        kind: 'terms',
        entries: abstractParts(audit, cite).map(({ term, meaning }) => ({
          term: by.text(term),
          meaning: by.phrase(meaning),
        })),
      },
    ],
    aside: {
      title: by.text(message('manuscript.before-submitting')),
      blocks: [{ kind: 'list', items: cautions.map(by.phrase) }],
    },
  }
}

/** The introduction is the author's. */
export function introductionSection(): Section {
  return {
    id: 'introduction',
    title: by.text(message('manuscript.section.introduction')),
    blocks: introductionBlanks.map(said),
  }
}

/** Methods from what was really done, with works cited. */
export function manuscriptMethodsSection(context: ManuscriptContext): Section {
  const { audit, references, version } = context
  const part = (title: Message, contents: readonly Words[]): readonly Block[] => [
    headed(title),
    ...contents.map(said),
  ]
  return {
    id: 'methods',
    title: by.text(message('manuscript.section.methods')),
    blocks: [
      ...part(message('manuscript.heading.setting'), settingParagraphs(audit, references)),
      ...part(message('manuscript.heading.participants'), participantsParagraphs(audit)),
      ...part(message('manuscript.heading.handling'), handlingParagraphs(audit)),
      ...part(message('manuscript.heading.outcome'), outcomeParagraphs(audit)),
      ...part(message('manuscript.heading.follow-up'), followUpParagraphs(audit)),
      ...part(message('manuscript.heading.size'), sizeParagraphs(audit, references)),
      ...part(message('manuscript.heading.statistics'), [
        ...statisticsParagraphs(audit, references),
        softwareSentence(audit, version),
      ]),
      ...part(message('manuscript.heading.ethics'), [message('manuscript.ethics')]),
    ],
  }
}

/** Discussion: key results and limitations from the data, the rest for the author. */
export function discussionSection(context: ManuscriptContext): Section {
  return {
    id: 'discussion',
    title: by.text(message('manuscript.section.discussion')),
    blocks: [
      headed(message('manuscript.heading.key-results')),
      said(keyResults(context.audit, context.cite)),
      headed(message('manuscript.heading.limitations')),
      ...limitationBlocks(context),
      said(message('manuscript.discussion-limitations')),
      headed(message('manuscript.heading.interpretation')),
      said(message('manuscript.discussion-interpretation')),
      headed(message('manuscript.heading.reach')),
      said(message('manuscript.discussion-reach')),
    ],
  }
}

/** What only the author can declare. */
export function declarationsSection(): Section {
  return {
    id: 'declarations',
    title: by.text(message('manuscript.section.declarations')),
    blocks: [
      {
        kind: 'terms',
        entries: declarationTerms.map(({ term, meaning }) => ({
          term: by.text(term),
          meaning: by.phrase(meaning),
        })),
      },
    ],
  }
}

/** Works in the order of citing; made last, when the list is whole. */
export function referencesSection({ references }: Pick<ManuscriptContext, 'references'>): Section {
  return {
    id: referencesId,
    title: by.text(message('manuscript.section.references')),
    blocks: [
      { kind: 'list', numbered: true, items: references.works().map((work) => [foreign(work)]) },
      paragraph(by.phrase(message('manuscript.works-checked')), 'note'),
    ],
  }
}
