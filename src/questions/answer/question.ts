import { message } from '../../messages/message.js'
import { answered } from '../answered.js'
import { comparisonQuestion } from '../comparison/question.js'
import { howOften } from '../howOften/answer.js'
import { incidence } from '../incidence/answer.js'
import { heldQuestion } from '../question.js'
import { type AnswerResult, answerResult } from './answer.js'
import { answerBlocks } from './section.js'

/** What does an audit answer? The numbers are those of the questions that it rests on. */
export const answerQuestion = heldQuestion<'answer', AnswerResult>({
  kind: 'answer',
  title: message('label.section.answer'),
  buildsOn: ['tightening'],
  held: { place: 'answer', of: answerResult },
  answer: (cohort, settings, before = {}) => {
    const rests = {
      summary: cohort.summary,
      howOften: before.howOften ?? howOften(cohort, settings),
      incidence: before.incidence ?? incidence(cohort, settings),
      tightening: 'tightening' in before ? before.tightening : comparisonQuestion.answer(cohort, settings),
    }
    return answered(cohort, settings, answerResult({ ...rests, definition: cohort.definition })!, rests)
  },
  section: answerBlocks,
})
