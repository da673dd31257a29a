import { message } from '../../messages/message.js'
import { question } from '../question.js'
import { type NeededResult, whatIsNeeded } from './answer.js'
import { neededChart } from './chart.js'
import { neededBlocks, neededTable } from './section.js'

/**
 * How many more restorations, and how long? An audit asks it where the comparison claims nothing but could with more; by itself
 * (`holdfast needed`) it is always answered.
 */
export const neededQuestion = question<'needed', NeededResult>({
  kind: 'needed',
  title: message('needed.section-answer'),
  buildsOn: ['tightening'],
  answer: (cohort, settings, before) => {
    if (before === undefined) return whatIsNeeded(cohort, settings)
    const { tightening } = before
    const asked = tightening?.verdict === 'open' || tightening?.verdict === 'cannot-be-known'
    return asked ? whatIsNeeded(cohort, settings, {}, tightening) : undefined
  },
  section: neededBlocks,
  chart: neededChart,
  table: neededTable,
  methods: (result) => [{ quantity: message('needed.method'), used: [result] }],
})
