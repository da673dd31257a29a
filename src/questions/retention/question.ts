import { message } from '../../messages/message.js'
import { question } from '../question.js'
import { type RetentionResult, retention } from './answer.js'
import { retentionChart } from './chart.js'
import { retentionBlocks } from './section.js'

/** How long do restorations stay free of it? */
export const retentionQuestion = question<'retention', RetentionResult>({
  kind: 'retention',
  title: message('label.section.retention'),
  first: true,
  answer: (cohort, settings) => retention(cohort, settings),
  section: retentionBlocks,
  chart: retentionChart,
  methods: ({ overall, byGroup }) => [
    {
      quantity: message('label.quantity.retention'),
      used: [overall, ...byGroup].flatMap(({ horizons }) => horizons.map(({ retention: one }) => one)),
    },
  ],
})
