import { message } from '../../messages/message.js'
import { question } from '../question.js'
import { type BetweenLooks, betweenLooks } from './answer.js'
import { betweenLooksTable } from './section.js'

/** What would the risk be if no event were placed between its looks? */
export const betweenLooksQuestion = question<'betweenLooks', BetweenLooks>({
  kind: 'betweenLooks',
  title: message('between-looks.method'),
  answer: betweenLooks,
  section: (result, at) => [betweenLooksTable(result, at)],
  table: betweenLooksTable,
  methods: ({ methods }) => [{ quantity: message('between-looks.method'), used: methods }],
})
