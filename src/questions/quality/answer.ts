import type { CohortSummary } from '../../cohort/attrition.js'
import { deepFreeze } from '../../core/plain.js'

type Checked = CohortSummary['quality']

/** What the checks of the records found: every problem, every row set aside, every field. */
export interface QualityResult extends Checked {
  readonly kind: 'quality'
}

/**
 * How good the records are. Reading them accounts for this.
 *
 * @param of a cohort, or the results of an audit
 */
export function quality({ summary }: { readonly summary: Pick<CohortSummary, 'quality'> }): QualityResult {
  return deepFreeze({ ...summary.quality, kind: 'quality' as const })
}
