import { question } from '../question.js'
import { type Quarters, quarters } from './answer.js'
import { quartersChart } from './chart.js'
import { quartersBlocks, quartersTable } from './section.js'

/** How many were found, quarter by quarter? */
export const quartersQuestion = question<'quarters', Quarters>({
  kind: 'quarters',
  answer: quarters,
  section: quartersBlocks,
  chart: quartersChart,
  table: quartersTable,
})
