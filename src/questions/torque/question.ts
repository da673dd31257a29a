import { message } from '../../messages/message.js'
import { question } from '../question.js'
import { type TorqueResult, torqueAdherence } from './answer.js'
import { torqueChart } from './chart.js'
import { deviceTable, torqueBlocks } from './section.js'

/** Was the torque reached that was aimed at, and is the wrench drifting? */
export const torqueQuestion = question<'torque', TorqueResult>({
  kind: 'torque',
  title: message('torque.title'),
  answer: torqueAdherence,
  section: torqueBlocks,
  chart: torqueChart,
  table: deviceTable,
  methods: ({ overall, byDevice }) => [
    { quantity: message('torque.method-share'), used: overall === undefined ? [] : [overall.shareWithin] },
    {
      quantity: message('torque.method-deviation'),
      used: byDevice.flatMap(({ deviation }) => (deviation === undefined ? [] : [deviation.mean])),
    },
  ],
})
