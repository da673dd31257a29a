import { methodOf } from '../../core/method.js'
import { message } from '../../messages/message.js'
import { defaultPlan } from '../plan/planFile.js'
import { question } from '../question.js'
import { begunComparison, type ComparisonResult, compareTightenings } from './answer.js'
import { forestChart } from './chart.js'
import { tighteningGroups } from './groups.js'
import { armsTable, comparisonBlocks } from './section.js'
import { comparisonSettings } from './settings.js'

/** Does tightening again after a wait do better than tightening once? */
export const comparisonQuestion = question<'tightening', ComparisonResult>({
  kind: 'tightening',
  title: message('comparison.title'),
  answer: (cohort, settings) =>
    compareTightenings(cohort, settings.plan ?? defaultPlan, comparisonSettings(settings)),
  begin: (cohort, settings) => {
    const groups = tighteningGroups(cohort, settings.plan ?? defaultPlan)
    return begunComparison(cohort, groups, comparisonSettings(settings), true)
  },
  section: comparisonBlocks,
  chart: (result, options) => (result.lead === undefined ? undefined : forestChart(result, options)),
  table: armsTable,
  methods: ({ lead }) => [
    {
      quantity: message('comparison.method'),
      used:
        lead === undefined ? [] : [{ method: methodOf('overlap-weights'), reference: 'overlap-comparison' }],
    },
  ],
})
