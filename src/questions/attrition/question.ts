import { attritionDiagram } from '../../charts/attritionDiagram.js'
import { message } from '../../messages/message.js'
import { answered } from '../answered.js'
import { heldQuestion } from '../question.js'
import { type AttritionResult, attrition } from './answer.js'
import { attritionBlocks, attritionTable } from './section.js'

/** Whom are the answers about, and who was left out? */
export const attritionQuestion = heldQuestion<'attrition', AttritionResult>({
  kind: 'attrition',
  title: message('label.section.cohort'),
  held: { place: 'summary', of: attrition },
  answer: (cohort, settings) => answered(cohort, settings, attrition(cohort)),
  section: attritionBlocks,
  chart: attritionDiagram,
  table: attritionTable,
})
