import { message } from '../../messages/message.js'
import { question } from '../question.js'
import { type SmallSeries, smallSeries } from './answer.js'
import { seriesPlot } from './chart.js'
import { seriesBlocks, seriesTable } from './section.js'

/** What became of each restoration, where there are few? */
export const seriesQuestion = question<'series', SmallSeries>({
  kind: 'series',
  title: message('series.title'),
  answer: smallSeries,
  section: seriesBlocks,
  chart: seriesPlot,
  table: seriesTable,
})
