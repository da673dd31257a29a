import { type Block, foreign, type Phrase, paragraph, phrase, type Section } from '../document.js'
import { referencesId } from '../referenceList.js'
import {
  abstractParts,
  declarationTerms,
  discussionBlanks,
  ethicsParagraphs,
  followUpParagraphs,
  handlingParagraphs,
  introductionBlanks,
  keyResultsParagraphs,
  manuscriptLabels,
  outcomeParagraphs,
  participantsParagraphs,
  settingParagraphs,
  sizeParagraphs,
  softwareSentence,
  statisticsParagraphs,
} from '../wording.js'
import { limitationBlocks } from './limitationsSection.js'
import type { ManuscriptContext } from './manuscriptContext.js'

const { sections, headings } = manuscriptLabels

/** The structured abstract, and beside it what has to be done before the draft goes anywhere. */
export function abstractSection({ audit, cite }: ManuscriptContext): Section {
  const parts = abstractParts(audit, cite)
  const names = manuscriptLabels.abstract
  return {
    id: 'abstract',
    title: sections.abstract,
    blocks: [
      {
        kind: 'terms',
        entries: (Object.keys(names) as (keyof typeof names)[]).map((key) => ({
          term: names[key],
          meaning: parts[key],
        })),
      },
    ],
    aside: {
      title: manuscriptLabels.beforeSubmitting,
      blocks: [{ kind: 'list', items: [[manuscriptLabels.blanksLeft], [manuscriptLabels.readIt]] }],
    },
  }
}

/** The introduction is the author's. */
export function introductionSection(): Section {
  return {
    id: 'introduction',
    title: sections.introduction,
    blocks: introductionBlanks.map((content) => paragraph(content)),
  }
}

/** Methods from what was really done, with works cited. */
export function manuscriptMethodsSection(context: ManuscriptContext): Section {
  const { audit, cite, references, version } = context
  const part = (title: string, contents: readonly Phrase[]): readonly Block[] => [
    { kind: 'heading', text: title },
    ...contents.map((content) => paragraph(content)),
  ]
  return {
    id: 'methods',
    title: sections.methods,
    blocks: [
      ...part(headings.setting, settingParagraphs(audit, cite, references)),
      ...part(headings.participants, participantsParagraphs(audit)),
      ...part(headings.handling, handlingParagraphs(cite)),
      ...part(headings.outcome, outcomeParagraphs(audit, references)),
      ...part(headings.followUp, followUpParagraphs(audit, cite)),
      ...part(headings.size, sizeParagraphs(audit, cite, references)),
      ...part(headings.statistics, [
        ...statisticsParagraphs(audit, cite, references),
        softwareSentence(audit, cite, version),
      ]),
      ...part(headings.ethics, ethicsParagraphs),
    ],
  }
}

/** Discussion: key results and limitations from the data, the rest for the author. */
export function discussionSection(context: ManuscriptContext): Section {
  return {
    id: 'discussion',
    title: sections.discussion,
    blocks: [
      { kind: 'heading', text: headings.keyResults },
      ...keyResultsParagraphs(context.audit, context.cite).map((content) => paragraph(content)),
      { kind: 'heading', text: headings.limitations },
      ...limitationBlocks(context),
      paragraph(discussionBlanks.limitations),
      { kind: 'heading', text: headings.interpretation },
      paragraph(discussionBlanks.interpretation),
      { kind: 'heading', text: headings.reach },
      paragraph(discussionBlanks.reach),
    ],
  }
}

/** What only the author can declare. */
export function declarationsSection(): Section {
  return {
    id: 'declarations',
    title: sections.declarations,
    blocks: [{ kind: 'terms', entries: declarationTerms }],
  }
}

/** Works in the order of citing; made last, when the list is whole. */
export function referencesSection({ references }: Pick<ManuscriptContext, 'references'>): Section {
  return {
    id: referencesId,
    title: sections.references,
    blocks: [
      { kind: 'list', numbered: true, items: references.works().map((work) => phrase`${foreign(work)}`) },
      paragraph([manuscriptLabels.worksFromMemory], 'note'),
    ],
  }
}
