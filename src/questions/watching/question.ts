import { isoFromDay } from '../../core/calendar.js'
import { message } from '../../messages/message.js'
import { pageQuestion } from '../question.js'
import { count } from '../words/place.js'
import { type WatchOptions, type WatchResult, watchPractice } from './answer.js'
import { cumulativeFigure } from './chart.js'
import { devicesTable, watchParts } from './section.js'

/**
 * Is it worse than before, and does anything drift? Asked by itself (`holdfast watch`), not by every audit: it is for inside
 * the practice, and simulates its limit.
 */
export const watchQuestion = pageQuestion<'watch', WatchResult, WatchOptions>({
  kind: 'watch',
  title: message('watch.heading'),
  answer: (cohort, settings) => watchPractice(cohort, settings),
  chart: (result, options) =>
    result.nowBefore?.watched === undefined ? undefined : cumulativeFigure(result, options),
  table: (result, at) =>
    result.devices.some(({ state }) => state === 'drifting' || state === 'steady')
      ? devicesTable(result, at)
      : undefined,
  methods: (result) => [{ quantity: message('watch.method'), used: [result] }],
  page: {
    title: (records) => message('watch.title', { records }),
    kicker: message('watch.kicker'),
    summary: ({ nowBefore }, at) =>
      nowBefore === undefined
        ? message('watch.summary-undated', { restorations: count(at.restorations) })
        : message('watch.summary', {
            restorations: count(at.restorations),
            end: isoFromDay(Math.round(nowBefore.lastDay)),
          }),
    parts: watchParts,
    command: {
      says: message('command.watch'),
      plan: message('command.plan-of-endpoint'),
      options: [{ name: 'since', gives: 'iso', says: message('command.watch-since') }],
      examples: [['--since', '2024-01-01', '--out', 'reports/watch-2026']],
    },
    answer: watchPractice,
  },
})
