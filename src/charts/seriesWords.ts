import type { RestorationTimeline } from '../analysis/description/smallSeries.js'
import { formatYears } from '../core/format.js'
import { countedNoun, printable } from './words.js'

/** What a mark of a timeline stands for. */
export type TimelineMark = 'check' | 'open' | 'competing' | 'done' | 'event'

/** Words of the plot of a small series. */
export const seriesWords = Object.freeze({
  heading: 'Every restoration from delivery',
  lines: 'Full line: at risk. Dotted line: recorded afterwards.',
  marks: Object.freeze({
    check: 'checked, nothing of the kind',
    open: 'last check',
    competing: 'competing event',
    done: 'something done',
    event: '',
  }) satisfies Readonly<Record<TimelineMark, string>>,
})

/** Text alternative: each restoration with its end. */
export function seriesInWords(rows: readonly RestorationTimeline[], endpoint: string): string {
  const ends = {
    endpoint,
    competing: seriesWords.marks.competing,
    censored: seriesWords.marks.open,
  }
  const lines = rows.map(
    ({ restoration, end, endYears, checks }) =>
      `${printable(restoration)}: ${ends[end]} at ${formatYears(endYears)} years, ${countedNoun(checks, 'check')}`,
  )
  return `Timelines of ${countedNoun(rows.length, 'restoration')} from delivery. ${lines.join('. ')}.`
}
