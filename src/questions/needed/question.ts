import { message } from '../../messages/message.js'
import { type AnsweredBefore, question } from '../question.js'
import { type NeededResult, preparedNeed, whatIsNeeded } from './answer.js'
import { neededChart } from './chart.js'
import { neededBlocks, neededTable } from './section.js'

/** Restorations beyond which the resamples would take too much memory where it is not asked after all. */
const mostPrepared = 5_000

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
    return isAsked(before) ? whatIsNeeded(cohort, settings, {}, before.tightening) : undefined
  },
  prepare: (cohort, settings) => {
    if (cohort.n > mostPrepared)
      return (before) => (isAsked(before) ? whatIsNeeded(cohort, settings, {}, before.tightening) : undefined)
    const answered = preparedNeed(cohort, settings)
    return (before) => (isAsked(before) ? answered(before.tightening) : undefined)
  },
  section: neededBlocks,
  chart: neededChart,
  table: neededTable,
  methods: (result) => [{ quantity: message('needed.method'), used: [result] }],
})

function isAsked({ tightening }: AnsweredBefore): boolean {
  return tightening?.verdict === 'open' || tightening?.verdict === 'cannot-be-known'
}
