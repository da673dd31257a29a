import { message } from '../../messages/message.js'
import type { Speaker } from '../../messages/speaker.js'

export { estimateText } from '../../charts/estimateWords.js'

/** Notes under curves with bands: which interval they show and where they end. */
export function curveNotes(level: number, leastAtRisk: number, by: Speaker): readonly string[] {
  return [
    by.text(message('chart.band', { level: by.number(level, 'level') })),
    by.text(message('chart.curves-end', { least: leastAtRisk })),
  ]
}
