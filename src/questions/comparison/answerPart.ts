import { deepFreeze } from '../../core/plain.js'
import type { AnswerComparison, AnswerObjection } from '../answer/shape.js'
import type { ComparisonResult } from './answer.js'
import type { Challenge, Effect } from './challenges.js'

/** Most objections that stand in the answer; the report has the rest. */
export const mostObjections = 3

const weight: Readonly<Record<Effect, number>> = { contradicts: 0, weakens: 1, agrees: 2, context: 3 }

/**
 * The objections of the answer: what contradicts first, then what weakens, each by how far it lies from the lead. What
 * agrees, or has no say, is no objection.
 */
export function objectionsOf({ challenges, lead }: ComparisonResult): readonly Challenge[] {
  const distance = ({ estimate }: Challenge): number =>
    estimate === undefined || lead === undefined ? 0 : Math.abs(estimate - lead.difference.estimate)
  return challenges
    .filter(({ effect }) => effect === 'contradicts' || effect === 'weakens')
    .sort((one, two) => weight[one.effect] - weight[two.effect] || distance(two) - distance(one))
    .slice(0, mostObjections)
}

/** The comparison as answer.json holds it; absent fields are absent. */
export function comparisonPart(result: ComparisonResult): AnswerComparison {
  const { verdict, reason, groups, horizonYears, lead, ends, restorations, events, exposure } = result
  // Where the groups cannot be compared, or nothing can be known, a figure would pass for an answer.
  const shown = verdict === 'cannot-be-compared' || verdict === 'cannot-be-known' ? undefined : lead
  return deepFreeze({
    verdict,
    group: groups.group,
    against: groups.against,
    ...(horizonYears === undefined ? {} : { years: horizonYears }),
    ...(shown === undefined
      ? {}
      : { difference: shown.difference, risks: { group: shown.group, against: shown.against } }),
    restorations,
    events,
    ...(exposure === undefined ? {} : { exposure: { measuredShare: exposure.measuredShare } }),
    ...(shown === undefined || ends === undefined ? {} : { betweenLooks: ends }),
    reason,
    objections: objectionsOf(result).map(objectionOf),
  })
}

function objectionOf({ code, effect, estimate, lower, upper }: Challenge): AnswerObjection {
  return {
    code,
    effect,
    ...(estimate === undefined ? {} : { estimate }),
    ...(lower === undefined ? {} : { lower }),
    ...(upper === undefined ? {} : { upper }),
  }
}
