import { message } from '../../messages/message.js'
import { question } from '../question.js'
import { type IncidenceResult, incidence } from './answer.js'
import { incidenceBlocks } from './section.js'

/** How often does it happen? */
export const incidenceQuestion = question<'incidence', IncidenceResult>({
  kind: 'incidence',
  title: message('label.section.incidence'),
  first: true,
  answer: (cohort, settings) => incidence(cohort, settings),
  section: incidenceBlocks,
})
