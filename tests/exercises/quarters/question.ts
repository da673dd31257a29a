import { message } from '../../messages/message.js'
import { question } from '../question.js'
import { type Quarters, quarters } from './answer.js'
import { quartersChart } from './chart.js'
import { quartersBlocks, quartersTable } from './section.js'

/** How many were found, quarter by quarter? */
export const quartersQuestion = question<'quarters', Quarters>({
  kind: 'quarters',
  title: message('quarters.title'),
  answer: quarters,
  section: quartersBlocks,
  chart: quartersChart,
  table: quartersTable,
})
