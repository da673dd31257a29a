import { message } from '../../messages/message.js'
import { type AnsweredBefore, pageQuestion } from '../question.js'
import { count, years } from '../words/place.js'
import { type NeededOptions, type NeededResult, preparedNeed, whatIsNeeded } from './answer.js'
import { neededChart } from './chart.js'
import { neededParts, neededTable } from './section.js'

/** Restorations beyond which the resamples would take too much memory where it is not asked after all. */
const mostPrepared = 5_000

/**
 * How many more restorations, and how long? An audit asks it where the comparison claims nothing but could with more; by itself
 * (`holdfast needed`) it is always answered.
 */
export const neededQuestion = pageQuestion<'needed', NeededResult, NeededOptions>({
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
  chart: neededChart,
  table: neededTable,
  methods: (result) => [{ quantity: message('needed.method'), used: [result] }],
  page: {
    title: (records) => message('needed.title', { records }),
    kicker: message('needed.kicker'),
    summary: (_result, at) =>
      message('needed.summary', {
        restorations: count(at.restorations),
        events: count(at.events),
        horizon: years(at.horizonYears),
      }),
    parts: neededParts,
    command: {
      says: message('command.needed'),
      plan: message('command.plan-of-comparison'),
      options: [
        { name: 'within', gives: 'share', says: message('command.needed-within') },
        { name: 'difference', gives: 'share', says: message('command.needed-difference') },
        { name: 'power', gives: 'share', says: message('command.needed-power') },
        { name: 'practices', gives: 'number', says: message('command.needed-practices') },
      ],
      examples: [['--within', '0.03', '--difference', '0.05', '--practices', '4']],
    },
    answer: whatIsNeeded,
  },
})

function isAsked({ tightening }: AnsweredBefore): boolean {
  return tightening?.verdict === 'open' || tightening?.verdict === 'cannot-be-known'
}
