import { message } from '../../messages/message.js'
import { question } from '../question.js'
import { type RemovalTorqueResult, removalTorque } from './answer.js'
import { groupTable, removalBlocks } from './section.js'

/** At what torque did the screws come loose when undone, by handling on the delivery day? */
export const removalTorqueQuestion = question<'removalTorque', RemovalTorqueResult>({
  kind: 'removalTorque',
  title: message('removal-torque.title'),
  answer: removalTorque,
  section: removalBlocks,
  table: groupTable,
  methods: ({ removal }) => [{ quantity: message('removal-torque.method'), used: [removal] }],
})
