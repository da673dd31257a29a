import { message } from '../../messages/message.js'
import type { Section } from '../model/document.js'
import { firstCautions, labelsOf } from '../wording/index.js'
import type { SectionContext } from './context.js'
import { questionSection } from './questionSection.js'

const answer = questionSection('answer', message('label.section.answer'), ['answer'])

/** The answer in plain words, each number with its interval, and what has to be read beside it. */
export function answerSection(context: SectionContext): Section {
  const { cite } = context
  return {
    ...answer(context),
    aside: {
      title: labelsOf(cite.by).readWithCare,
      blocks: [{ kind: 'list', items: firstCautions(cite) }],
    },
  }
}
