import { message } from '../../messages/message.js'
import { question } from '../question.js'
import { type HazardOverTime, hazardOverTime } from './answer.js'
import { hazardChart } from './chart.js'
import { hazardBlocks, spansTable } from './section.js'

/** When do they loosen, and when should recall be? */
export const hazardOverTimeQuestion = question<'hazardOverTime', HazardOverTime>({
  kind: 'hazardOverTime',
  title: message('hazard.title'),
  answer: hazardOverTime,
  section: hazardBlocks,
  chart: hazardChart,
  table: spansTable,
  methods: ({ groups }) => [
    {
      quantity: message('hazard.method'),
      used: groups.flatMap(({ curve }) => (curve === undefined ? [] : [curve])),
    },
  ],
})
