import { message } from '../../messages/message.js'
import { question } from '../question.js'
import { type LiteratureResult, literature } from './answer.js'
import { literatureChart } from './chart.js'
import { literatureBlocks, matchedTable } from './section.js'

/** How do we lie against the literature? */
export const literatureQuestion = question<'literature', LiteratureResult>({
  kind: 'literature',
  title: message('literature.title'),
  answer: literature,
  section: literatureBlocks,
  chart: literatureChart,
  table: matchedTable,
})
