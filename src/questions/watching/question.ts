import { message } from '../../messages/message.js'
import { question } from '../question.js'
import { type WatchResult, watchPractice } from './answer.js'
import { cumulativeFigure } from './chart.js'
import { devicesTable, watchBlocks } from './section.js'

/**
 * Is it worse than before, and does anything drift? Asked by itself (`holdfast watch`), not by every audit: it is for inside
 * the practice, and simulates its limit.
 */
export const watchQuestion = question<'watch', WatchResult>({
  kind: 'watch',
  title: message('watch.heading'),
  answer: (cohort, settings) => watchPractice(cohort, settings),
  section: watchBlocks,
  chart: (result, options) =>
    result.nowBefore?.watched === undefined ? undefined : cumulativeFigure(result, options),
  table: (result, at) =>
    result.devices.some(({ state }) => state === 'drifting' || state === 'steady')
      ? devicesTable(result, at)
      : undefined,
  methods: (result) => [{ quantity: message('watch.method'), used: [result] }],
})
