import { message } from '../../messages/message.js'
import { question } from '../question.js'
import { type WaitResult, waitTime } from './answer.js'
import { waitChart } from './chart.js'
import { groupsTable, waitBlocks } from './section.js'

/** How long to wait before tightening again? */
export const waitQuestion = question<'wait', WaitResult>({
  kind: 'wait',
  title: message('wait.title'),
  answer: waitTime,
  section: waitBlocks,
  chart: waitChart,
  table: groupsTable,
  methods: ({ curve, groups }) => [
    { quantity: message('wait.method'), used: curve === undefined ? [] : [curve] },
    {
      quantity: message('wait.method-groups'),
      used: groups.flatMap(({ hazardRatio }) => (hazardRatio === undefined ? [] : [hazardRatio])),
    },
  ],
})
