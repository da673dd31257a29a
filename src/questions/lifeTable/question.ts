import { message } from '../../messages/message.js'
import { question } from '../question.js'
import { type LifeTableResult, lifeTableByYear } from './answer.js'
import { lifeTableTable } from './section.js'

/** How many were left at the start of each year, and what happened in it? */
export const lifeTableQuestion = question<'lifeTable', LifeTableResult>({
  kind: 'lifeTable',
  title: message('life-table.caption'),
  answer: lifeTableByYear,
  section: (result, at, setting) => (result.groups.length === 0 ? [] : [lifeTableTable(result, at, setting)]),
  table: lifeTableTable,
})
