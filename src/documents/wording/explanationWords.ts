import { listOf, message } from '../../messages/message.js'
import type { AuditResult } from '../../questions/audit.js'
import { restorationTypesInSentence, restorationTypesOpening } from '../../questions/restorationTypes.js'
import { count, number, quantity } from '../../questions/words/place.js'
import type { Citations } from '../model/citation.js'
import { foreign, type Phrase } from '../model/document.js'
import { horizonsCited, intervalName } from './incidenceWords.js'
import { endpointPart, windowPhrase } from './terms.js'

/** Cautions that stand beside the answer. */
const beside = ['observations', 'torque', 'prompt-care', 'no-advice'] as const

/** Every caution, in the order of the list. */
const all = [
  'no-advice',
  'torque',
  'prompt-care',
  'removal-torque',
  'observations',
  'never',
  'literature',
  'signal',
  'privacy',
] as const

/** Cautions in full; first, where the data are generated, that they are. */
export function cautions({ summary }: AuditResult, cite: Citations): readonly Phrase[] {
  const generated = summary.source.generated ? [cite.say('caution.generated')] : []
  return [...generated, ...all.map((one) => cite.say(`caution.${one}`))]
}

/** The cautions that stand beside the answer. */
export function firstCautions(cite: Citations): readonly Phrase[] {
  return beside.map((one) => cite.say(`caution.${one}`))
}

/** All cautions but those that stand beside the answer. */
export function furtherCautions(audit: AuditResult, cite: Citations): readonly Phrase[] {
  const shown = new Set(firstCautions(cite).map((one) => JSON.stringify(one)))
  return cautions(audit, cite).filter((one) => !shown.has(JSON.stringify(one)))
}

/** Working definitions, term by term. */
export function definitions(
  audit: AuditResult,
  cite: Citations,
): readonly { term: string; meaning: Phrase }[] {
  const meanings: readonly (readonly [string, Phrase])[] = [
    [
      cite.text('term.event'),
      cite.say('definition.event', {
        endpoint: endpointPart('title', audit),
        meaning: endpointPart('meaning', audit),
      }),
    ],
    [cite.text('term.look'), cite.say('definition.look')],
    [cite.text('term.time-at-risk'), cite.say('definition.time-at-risk')],
    [
      cite.text('term.competing-event'),
      cite.say('definition.competing-event', {
        days: count(cite.at.definition.recallIntervalDays),
      }),
    ],
    [
      cite.text('term.repeated-tightening'),
      cite.say('definition.repeated-tightening', { window: windowPhrase(cite) }),
    ],
    [
      cite.text('term.restoration'),
      cite.say('definition.restoration', {
        types: restorationTypesInSentence(audit.definition.restorationTypes),
      }),
    ],
    [cite.text('term.share'), cite.say('definition.share')],
    [cite.text('term.rate'), cite.say('definition.rate')],
    [cite.text('term.cumulative-incidence'), cite.say('definition.cumulative-incidence')],
    [cite.text('term.free'), cite.say('definition.free')],
    [cite.text('term.interval'), cite.say('definition.interval', { intervals: intervalName(cite) })],
    [cite.text('term.hazard-ratio'), cite.say('definition.hazard-ratio')],
  ]
  return meanings.map(([term, meaning]) => ({ term, meaning }))
}

/** The methods paragraphs, from what was really done. */
export function methodsParagraphs(audit: AuditResult, cite: Citations, version: string): readonly Phrase[] {
  const { definition, summary } = audit
  const { overall } = audit.incidence
  const { incidence, settings: chosen } = cite.at
  const { designEffect, intraclassCorrelation } = incidence.overall.proportion
  return [
    cite.say('methods.records', {
      source: message(`source-form.${summary.source.form}`),
      types: restorationTypesOpening(definition.restorationTypes),
      name: endpointPart('name', audit),
      meaning: endpointPart('meaning', audit),
      days: count(cite.at.definition.recallIntervalDays),
    }),
    cite.say('methods.handling', { window: windowPhrase(cite) }),
    overall.patients < overall.restorations
      ? cite.say('methods.clustered', {
          restorations: count(incidence.overall.restorations),
          patients: count(incidence.overall.patients),
          designEffect: quantity(designEffect, 'ratio'),
          correlation: quantity(intraclassCorrelation, 'correlation'),
        })
      : cite.say('methods.independent'),
    cite.say('methods.computed', {
      horizons: listOf(horizonsCited(audit, cite)),
      least: count(chosen.leastAtRisk),
      version: foreign(version),
      seed: number(chosen.seed, 'whole'),
    }),
  ]
}
