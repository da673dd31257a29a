import { message } from '../../messages/message.js'
import { question } from '../question.js'
import { type TrendResult, yearTrend } from './answer.js'
import { trendChart } from './chart.js'
import { trendBlocks, yearsTable } from './section.js'

/** Has it changed over the years? */
export const trendQuestion = question<'trend', TrendResult>({
  kind: 'trend',
  title: message('trend.title'),
  answer: (cohort, settings) => yearTrend(cohort, settings),
  section: trendBlocks,
  chart: trendChart,
  table: yearsTable,
  methods: ({ perYear }) =>
    perYear === undefined ? [] : [{ quantity: message('trend.method'), used: [perYear] }],
})
