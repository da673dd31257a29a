import type { AuditResult } from '../../analysis/audit.js'
import type { Quantity } from '../../core/estimate.js'
import { listOf, message } from '../../messages/message.js'
import type { Citations } from '../citation.js'
import type { Phrase } from '../document.js'
import { groupInSentence } from './terms.js'

/** Notes under the table of characteristics. */
export function characteristicsNotes(audit: AuditResult, cite: Citations, left: number): readonly Phrase[] {
  const { compared } = audit.characteristics!
  return [
    cite.say('described.unit'),
    ...(compared === undefined
      ? []
      : [
          cite.say('described.difference', {
            group: groupInSentence(compared.group, audit, cite),
            against: groupInSentence(compared.against, audit, cite),
          }),
        ]),
    ...(left === 0 ? [] : [cite.say('described.others-in-all')]),
  ]
}

/** Opens the description. */
export function characteristicsSentence(audit: AuditResult, cite: Citations): Phrase {
  const differences = audit.characteristics!.traits.flatMap((trait): readonly (Quantity | undefined)[] =>
    trait.kind === 'number' ? [trait.standardisedDifference] : (trait.standardisedDifferences ?? []),
  )
  const apart = differences.filter((one) => typeof one === 'number' && Math.abs(one) >= 0.1).length
  const compared = audit.characteristics!.compared !== undefined
  return cite.say('described.opening', {
    restorations: cite.number('characteristics.groups.0.restorations', 'count'),
    patients: cite.number('characteristics.groups.0.patients', 'count'),
    apart: compared ? (apart === 0 ? 'none' : 'some') : 'other',
  })
}

/** Notes under the table of the model. */
export function modelNotes(audit: AuditResult, cite: Citations): readonly Phrase[] {
  const model = audit.model!
  return [
    cite.say('described.model', {
      restorations: cite.number('model.restorations', 'count'),
      events: cite.number('model.events', 'count'),
      incomplete: cite.number('model.incomplete', 'count'),
    }),
    ...(model.strata.length === 0
      ? []
      : [
          cite.say('described.strata', {
            strata: listOf(model.strata.map((one) => message(`wait.stratum.${one}`))),
          }),
        ]),
  ]
}
