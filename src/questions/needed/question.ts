import { message } from '../../messages/message.js'
import { question } from '../question.js'
import { type NeededResult, whatIsNeeded } from './answer.js'
import { neededChart } from './chart.js'
import { neededBlocks, neededTable } from './section.js'

/**
 * How many more restorations, and how long? Asked by itself (`holdfast needed`), not by every audit: it draws the practice
 * anew two hundred times.
 */
export const neededQuestion = question<'needed', NeededResult>({
  kind: 'needed',
  answer: whatIsNeeded,
  section: neededBlocks,
  chart: neededChart,
  table: neededTable,
  methods: (result) => [{ quantity: message('needed.method'), used: [result] }],
})
