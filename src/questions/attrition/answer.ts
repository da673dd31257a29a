import type { CohortSummary } from '../../cohort/attrition.js'
import { deepFreeze } from '../../core/plain.js'

/** Who the answers are about: every restoration accounted for, from the rows of the file to the cohort. */
export interface AttritionResult extends CohortSummary {
  readonly kind: 'attrition'
}

/**
 * Who is in, and who was left out why. The cohort accounts for this as it is built.
 *
 * @param of a cohort, or the results of an audit
 */
export function attrition({ summary }: { readonly summary: CohortSummary }): AttritionResult {
  return deepFreeze({ ...summary, kind: 'attrition' as const })
}
