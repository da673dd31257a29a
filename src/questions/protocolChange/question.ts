import { message } from '../../messages/message.js'
import { question } from '../question.js'
import { type ProtocolChangeResult, protocolChange } from './answer.js'
import { periodsTable, protocolChangeBlocks } from './section.js'

/** Did it fall after we changed protocol? */
export const protocolChangeQuestion = question<'protocolChange', ProtocolChangeResult>({
  kind: 'protocolChange',
  title: message('protocol-change.title'),
  answer: protocolChange,
  section: protocolChangeBlocks,
  table: periodsTable,
  methods: ({ clinics }) => {
    const compared = clinics.flatMap((clinic) => clinic.compared ?? [])
    return [
      {
        quantity: message('protocol-change.method-risk'),
        used: compared.map(({ riskDifference }) => riskDifference),
      },
      {
        quantity: message('protocol-change.method-rate'),
        used: compared.flatMap(({ rateRatio, levelChange }) =>
          [rateRatio, levelChange].filter((one) => one !== undefined),
        ),
      },
    ]
  },
})
