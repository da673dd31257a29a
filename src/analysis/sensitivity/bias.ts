import { type Contrast, isNumber, type Quantity } from '../../core/estimate.js'
import { deepFreeze } from '../../core/plain.js'
import { eValue } from '../../statistics/sensitivity/eValue.js'
import {
  type CorrectedMeasure,
  correctedForMisclassification,
} from '../../statistics/sensitivity/misclassification.js'
import type { Accuracy } from '../../statistics/sensitivity/misclassificationTable.js'
import type { Compared } from '../compared.js'
import type { ComparisonVariant } from '../variant.js'

/** Share of restorations with the endpoint below which a hazard ratio is read as a risk ratio. */
const rareShare = 0.15

/** How strong unmeasured confounding would have to be to explain a ratio away. */
export interface UnmeasuredConfounding {
  /** Key of the variant it is computed from. */
  readonly variant: string
  readonly eValue: number
  /** For the limit nearer to no association; 1 where the interval holds it. */
  readonly eValueOfLimit: Quantity
  readonly reference: string
}

/** E-value of a hazard ratio and of its limit; undefined where there is no ratio. */
export function unmeasuredConfounding(
  variant: ComparisonVariant,
  compared: Compared,
): UnmeasuredConfounding | undefined {
  const { estimate, interval } = variant.contrast
  if (!isNumber(estimate) || !(estimate > 0)) return undefined
  const events = compared.rows.event.reduce((sum, one) => sum + one, 0)
  const rare = events / compared.rows.n < rareShare
  const { lower, upper } = interval
  const found = eValue(estimate, {
    scale: rare ? 'hazard-ratio-rare' : 'hazard-ratio-common',
    ...(isNumber(lower) && lower > 0 ? { lower } : {}),
    ...(isNumber(upper) ? { upper } : {}),
  })
  return deepFreeze({
    variant: variant.key,
    eValue: found.eValue,
    eValueOfLimit: found.eValueOfLimit,
    reference: found.reference,
  })
}

/** A difference of shares corrected for loosening that was missed, or seen where there was none. */
export interface MisclassifiedLoosening {
  readonly key: string
  readonly accuracyInGroup: Accuracy
  readonly accuracyInComparator: Accuracy
  readonly riskDifference: CorrectedMeasure
}

/** Accuracies that are tried; assumptions, no source: the last two say that whoever checked knew the group. */
const accuracies: readonly (readonly [string, Accuracy, Accuracy])[] = [
  ['misclassification-missed-alike', accuracy(0.85, 1), accuracy(0.85, 1)],
  ['misclassification-false-alike', accuracy(1, 0.995), accuracy(1, 0.995)],
  ['misclassification-missed-more-in-group', accuracy(0.75, 1), accuracy(0.9, 1)],
  ['misclassification-missed-more-in-comparator', accuracy(0.9, 1), accuracy(0.75, 1)],
]

function accuracy(sensitivity: number, specificity: number): Accuracy {
  return Object.freeze({ sensitivity, specificity })
}

/**
 * What imperfect checks could have done: the difference of shares (whatever the follow-up, restorations taken as
 * independent) under fixed accuracies of the checks.
 */
export function misclassifiedLoosening(compared: Compared, level: number): readonly MisclassifiedLoosening[] {
  const { rows, inGroup } = compared
  const events = [0, 0]
  const totals = [0, 0]
  for (let i = 0; i < rows.n; i++) {
    events[inGroup[i]!]! += rows.event[i]!
    totals[inGroup[i]!]! += 1
  }
  const table = { events1: events[1]!, total1: totals[1]!, events0: events[0]!, total0: totals[0]! }
  return deepFreeze(
    accuracies.map(([key, inGroupRows, inComparator]) => ({
      key,
      accuracyInGroup: inGroupRows,
      accuracyInComparator: inComparator,
      riskDifference: correctedForMisclassification(table, inGroupRows, inComparator, { level })
        .riskDifference,
    })),
  )
}

/** Corrected differences as rows of the table of variants. */
export function misclassificationVariants(
  compared: Compared,
  corrected: readonly MisclassifiedLoosening[],
  crude: Contrast,
): readonly ComparisonVariant[] {
  return corrected.map(({ key, riskDifference }) => {
    const { standardError: _ofCrude, ...rest } = crude
    return {
      key,
      role: 'sensitivity',
      scale: 'risk-difference',
      population: 'compared',
      adjustedFor: [],
      assumes: ['groups-alike', 'losses-alike'],
      contrast: {
        ...rest,
        estimate: riskDifference.estimate,
        interval: riskDifference.interval,
        method: 'difference of shares, misclassified endpoint, fixed accuracies',
        n: compared.rows.n,
        events: compared.rows.event.reduce((sum, one) => sum + one, 0),
        warnings: [],
        reference: 'misclassification',
      },
    }
  })
}
