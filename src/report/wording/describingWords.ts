import type { AuditResult } from '../../analysis/audit.js'
import type { Quantity } from '../../core/estimate.js'
import type { Citations } from '../citation.js'
import { type Phrase, phrase } from '../document.js'
import { counted } from './counting.js'
import { groupInSentence } from './terms.js'

/** Headings, captions and heads of columns of what describes the restorations. */
export const describingLabels = Object.freeze({
  section: 'What these restorations are like',
  columns: Object.freeze({
    trait: 'Characteristic',
    difference: 'Standardised difference',
    countOrMedian: 'restorations, or median',
    shareOrQuartiles: 'share in %, or quartiles',
    term: 'In the model',
    baseline: 'Compared with',
    ratio: 'Hazard ratio',
  }),
  captions: Object.freeze({
    characteristics: 'Characteristics of the restorations, by handling on the delivery day',
    model: 'The adjusted model of the hazard, coefficient by coefficient',
  }),
  notKnown: 'not known',
  othersInAll: 'Restorations handled in other ways stand in the column of all.',
  restorations: 'Restorations',
  none: '–',
  perMillimetre: 'per mm more',
  perYear: 'per year more',
})

/** Caption of a table or figure that describes. */
export type DescribingCaption = keyof typeof describingLabels.captions

/** Notes under the table of characteristics. */
export function characteristicsNotes(audit: AuditResult, cite: Citations, left: number): readonly Phrase[] {
  const { compared } = audit.characteristics!
  const others = left === 0 ? [] : [[describingLabels.othersInAll]]
  return [
    phrase`The unit is the restoration: a patient with several counts as often. Shares are of those known; numbers are medians with quartiles.`,
    ...(compared === undefined
      ? []
      : [
          phrase`Standardised difference: ${groupInSentence(compared.group, cite)} minus ${groupInSentence(compared.against, cite)}, in standard deviations, those known only; 0.1 and more is usually taken for out of balance.`,
        ]),
    ...others,
  ]
}

/** Opens the description. */
export function characteristicsSentence(audit: AuditResult, cite: Citations): Phrase {
  const differences = audit.characteristics!.traits.flatMap((trait): readonly (Quantity | undefined)[] =>
    trait.kind === 'number' ? [trait.standardisedDifference] : (trait.standardisedDifferences ?? []),
  )
  const apart = differences.filter((one) => typeof one === 'number' && Math.abs(one) >= 0.1).length
  const what = phrase`The table describes ${counted(cite, 'characteristics.groups.0.restorations', 'restoration')} in ${counted(cite, 'characteristics.groups.0.patients', 'patient')} as they were on the day of delivery.`
  if (audit.characteristics!.compared === undefined) return what
  return apart === 0
    ? phrase`${what} None of the differences between the two groups compared reaches a tenth of a standard deviation.`
    : phrase`${what} The two groups compared differ by a tenth of a standard deviation or more in some of what is recorded; the last column shows in what.`
}

/** Notes under the table of the model. */
export function modelNotes(audit: AuditResult, cite: Citations): readonly Phrase[] {
  const model = audit.model!
  const strata =
    model.strata.length === 0
      ? []
      : [phrase`Stratified by ${model.strata.join(' and ')}: the hazard itself is left free in each.`]
  return [
    phrase`Cox model on ${cite.number('model.restorations', 'count')} restorations with ${cite.number('model.events', 'count')} events; ${cite.number('model.incomplete', 'count')} more lacked a value. Only the first line is the question. The others show the model, and are not to be read as effects of their own.`,
    ...strata,
  ]
}
