import type { SiteSizes } from './countSource.js'
import type { ModelPlan } from './modelPlan.js'
import { coefficientNames, modelRows } from './modelRows.js'
import { type ModelSums, modelOuterProducts, modelSums } from './modelSums.js'
import { ownRateRatio } from './ownRateRatio.js'
import type { Protocol } from './protocol.js'
import type { SiteRows } from './siteRows.js'
import type { SummaryContent } from './summarySchema.js'

/**
 * A site's part of the model at coefficients of 0, and its own rate ratio. Where fewer patients than the threshold have
 * several restorations, outer products are of restorations: the difference to those of patients would be about them.
 */
export function sharedModel(
  rows: SiteRows,
  protocol: Protocol,
  model: ModelPlan,
  sizes: SiteSizes,
): SummaryContent['model'] {
  if ('withheld' in model) return { state: 'withheld', reason: model.withheld }
  const taken = modelRows(rows, protocol, model.plan)
  if (taken.kept.length === 0)
    return { state: 'withheld', reason: 'no restoration has every covariate known' }
  const names = [...coefficientNames(protocol)]
  const zero = names.map(() => 0)
  const byPatient = sumsByPatient(sizes, protocol.threshold)
  return {
    state: 'given',
    names,
    intervalEndsDays: model.plan.ends.map((ends) => ends.map((end) => protocol.gridDays[end]!)),
    restorations: taken.kept.length,
    events: taken.events,
    outerProductsOver: byPatient ? 'patients' : 'restorations',
    atStart: copied(zero, modelSums(taken, zero)),
    outerProductsAtStart: mutable(modelOuterProducts(taken, zero, byPatient)),
    own: ownRateRatio(rows, protocol, model.plan, byPatient) ?? null,
  }
}

/** Whether outer products may be summed over patients. */
export function sumsByPatient(sizes: SiteSizes, threshold: number): boolean {
  return sizes.patientsWithSeveral === 0 || sizes.patientsWithSeveral >= threshold
}

/** Sums in the form of the schema. */
export function copied(
  coefficients: readonly number[],
  sums: ModelSums,
): { coefficients: number[]; logLikelihood: number; score: number[]; information: number[][] } {
  return {
    coefficients: [...coefficients],
    logLikelihood: sums.logLikelihood,
    score: [...sums.score],
    information: mutable(sums.information),
  }
}

/** A matrix in the form of the schema. */
export function mutable(matrix: readonly (readonly number[])[]): number[][] {
  return matrix.map((row) => [...row])
}
