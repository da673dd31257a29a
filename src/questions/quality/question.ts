import { completenessChart } from '../../charts/completenessChart.js'
import { message } from '../../messages/message.js'
import { answered } from '../answered.js'
import { heldQuestion } from '../question.js'
import { type QualityResult, quality } from './answer.js'
import { qualityBlocks, rowsTable } from './section.js'

/** How good are the records? */
export const qualityQuestion = heldQuestion<'quality', QualityResult>({
  kind: 'quality',
  title: message('label.section.quality'),
  held: { place: 'summary.quality', of: quality },
  answer: (cohort, settings) => answered(cohort, settings, quality(cohort)),
  section: qualityBlocks,
  chart: ({ completeness }, options) => completenessChart(completeness, options),
  table: rowsTable,
})
