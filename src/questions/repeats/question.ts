import { message } from '../../messages/message.js'
import { question } from '../question.js'
import { type RepeatsResult, repeats } from './answer.js'
import { repeatsChart } from './chart.js'
import { countsTable, repeatsBlocks } from './section.js'

/** Do they loosen again? */
export const repeatsQuestion = question<'repeats', RepeatsResult>({
  kind: 'repeats',
  title: message('repeats.title'),
  answer: repeats,
  section: repeatsBlocks,
  chart: repeatsChart,
  table: countsTable,
  methods: ({ overall, byGroup }) => {
    const groups = [overall, ...byGroup]
    return [
      {
        quantity: message('repeats.method-counts'),
        used: groups.flatMap(({ horizons }) =>
          horizons.flatMap(({ whileInPlace, terminalCounted }) => [whileInPlace, terminalCounted]),
        ),
      },
      {
        quantity: message('repeats.method-again'),
        used: groups.flatMap(({ again }) => again.map(({ risk }) => risk)),
      },
    ]
  },
})
