import { defaultPlan, plannedConfounders } from '../plan/planFile.js'
import type { AnalysisSettings } from '../plan/settings.js'
import { defaultComparison } from './answer.js'

/** What the settings of an audit say of the comparison; the plan decides, by default that of the toolkit. */
export function comparisonSettings(settings: AnalysisSettings): typeof defaultComparison {
  const plan = settings.plan ?? defaultPlan
  const isDifference = plan.primary.contrast === 'risk-difference'
  const smallestDifference = isDifference ? plan.smallestDifference : defaultComparison.smallestDifference
  return {
    ...defaultComparison,
    level: settings.level,
    horizonYears: plan.primary.horizonYears,
    horizonsYears: settings.horizonsYears,
    smallestDifference,
    leastAtRisk: settings.leastAtRisk,
    seed: settings.seed,
    adjustFor: plannedConfounders(plan),
    negativeControl: plan.negativeControl,
    plan: {
      source: plan.source,
      sha256: plan.sha256,
      ...(plan.written === undefined ? {} : { written: plan.written }),
      smallestDifference,
      horizonYears: plan.primary.horizonYears,
    },
  }
}
