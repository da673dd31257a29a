import { message } from '../../messages/message.js'
import { question } from '../question.js'
import { contrastTightenings, type TighteningComparisonResult } from './answer.js'
import { hazardRatioChart } from './chart.js'
import { crudeComparisonBlocks } from './section.js'

/** What do the two ways of tightening come to without weights, and in ratios of hazards? */
export const crudeComparisonQuestion = question<'comparison', TighteningComparisonResult>({
  kind: 'comparison',
  title: message('label.section.comparison'),
  first: true,
  answer: contrastTightenings,
  section: crudeComparisonBlocks,
  chart: hazardRatioChart,
  methods: ({ horizons, hazardRatios, curveTest }) => [
    {
      quantity: message('label.quantity.difference'),
      used: horizons.map(({ riskDifference }) => riskDifference),
    },
    { quantity: message('label.quantity.ratio'), used: hazardRatios.map(({ hazardRatio }) => hazardRatio) },
    { quantity: message('label.quantity.test'), used: [curveTest] },
  ],
})
