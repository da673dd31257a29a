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
  methods: ({ overall, byGroup }) => {
    const groups = [overall, ...byGroup]
    return [
      {
        quantity: message('label.quantity.risk'),
        used: groups.flatMap(({ horizons }) => horizons.map(({ risk }) => risk)),
      },
      { quantity: message('label.quantity.proportion'), used: groups.map(({ proportion }) => proportion) },
      {
        quantity: message('label.quantity.rate'),
        used: groups.map(({ ratePer100Years }) => ratePer100Years),
      },
      {
        quantity: message('label.quantity.followUp'),
        used: groups.map(({ medianFollowUpYears }) => medianFollowUpYears),
      },
    ]
  },
})
