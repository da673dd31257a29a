import { listOf, message } from '../../messages/message.js'
import type { AuditResult } from '../../questions/audit.js'
import { departures } from '../../questions/plan/planFile.js'
import { restorationTypesInSentence } from '../../questions/restorationTypes.js'
import { isChosenPart } from '../../questions/words/chosenPart.js'
import { count, number } from '../../questions/words/place.js'
import type { Citations } from '../model/citation.js'
import { foreign, type Phrase } from '../model/document.js'
import { deliveryPeriod, horizonsCited } from './incidenceWords.js'
import { endpointPart, windowPhrase } from './terms.js'

/** Title of the report. */
export function reportTitle(audit: AuditResult, cite: Citations): Phrase {
  return cite.say('summary.title', {
    endpoint: endpointPart('title', audit),
    source: foreign(audit.summary.source.title),
  })
}

/** Line under the title. */
export function reportSummary(audit: AuditResult, cite: Citations): Phrase {
  return cite.say('provenance.about', {
    restorations: count(cite.at.incidence.overall.restorations),
    patients: count(cite.at.incidence.overall.patients),
    delivered: deliveryPeriod(audit, cite),
    part: isChosenPart(audit.summary) ? 'yes' : 'other',
  })
}

/** One line of the table of settings. */
export interface SettingLine {
  readonly name: string
  readonly value: Phrase
}

/** Every setting that shaped the results. */
export function settingLines(audit: AuditResult, cite: Citations): readonly SettingLine[] {
  const { definition } = audit
  const { settings } = cite.at
  const days = count(cite.at.definition.recallIntervalDays)
  return [
    { name: cite.text('setting.endpoint'), value: cite.by.phrase(endpointPart('name', audit)) },
    {
      name: cite.text('setting.types'),
      value: cite.by.phrase(restorationTypesInSentence(definition.restorationTypes)),
    },
    { name: cite.text('setting.window'), value: windowPhrase(cite) },
    { name: cite.text('setting.recall'), value: cite.say('setting.days', { days }) },
    { name: cite.text('setting.level'), value: cite.by.phrase(number(settings.level, 'level')) },
    {
      name: cite.text('setting.horizons'),
      value: cite.by.phrase(listOf(horizonsCited(audit, cite), 'comma')),
    },
    { name: cite.text('setting.least-at-risk'), value: cite.by.phrase(count(settings.leastAtRisk)) },
    { name: cite.text('setting.seed'), value: cite.by.phrase(number(settings.seed, 'whole')) },
    ...departureLines(audit, cite),
  ]
}

/** What was set otherwise than the plan says; what the records did not bear is said with the comparison. */
function departureLines({ definition, settings }: AuditResult, { by }: Citations): readonly SettingLine[] {
  const { plan, level, horizonsYears } = settings
  if (plan?.source !== 'file') return []
  return departures(plan, { definition, level, horizonsYears }).map(({ field, planned, used }) => ({
    name: by.text(message('setting.departure', { field })),
    value: by.phrase(message('setting.departed', { planned: foreign(planned), used: foreign(used) })),
  }))
}
