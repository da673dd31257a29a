import type { CohortSummary } from '../../cohort/attrition.js'

/** Whether these are not all restorations of the records but a part that somebody chose. */
export function isChosenPart({ attrition }: Pick<CohortSummary, 'attrition'>): boolean {
  return attrition.steps.some(({ code, leftOut }) => code === 'not-asked-for' && leftOut > 0)
}
