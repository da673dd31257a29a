import { message } from '../../messages/message.js'
import { question } from '../question.js'
import { type AdjustedModel, adjustedModel } from './answer.js'
import { modelTable } from './section.js'

/** What else is in the model of the hazard, coefficient by coefficient? */
export const modelQuestion = question<'model', AdjustedModel>({
  kind: 'model',
  title: message('caption.table.model'),
  answer: adjustedModel,
  section: (result, at, setting) => [modelTable(result, at, setting)],
  table: modelTable,
})
