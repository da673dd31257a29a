import type { AuditResult } from '../../analysis/audit.js'
import { printable } from '../../charts/words.js'
import type { Citations } from '../citation.js'
import { foreign, type Phrase, phrase } from '../document.js'
import { deliveryPeriod } from './incidenceWords.js'
import { endpointOf, groupTitle, restorationTypesInWords, windowPhrase } from './terms.js'

/** Title of the report. */
export function reportTitle(audit: AuditResult): Phrase {
  return phrase`${endpointOf(audit).name.replace(/^./, (letter) => letter.toUpperCase())}: ${foreign(printable(audit.summary.source.title))}`
}

/** Line under the title. */
export function reportSummary(audit: AuditResult, cite: Citations): Phrase {
  const restorations = audit.incidence.overall.restorations
  const patients = audit.incidence.overall.patients
  return phrase`${cite.number('incidence.overall.restorations', 'count')} ${restorations === 1 ? 'restoration' : 'restorations'} in ${cite.number('incidence.overall.patients', 'count')} ${patients === 1 ? 'patient' : 'patients'}${deliveryPeriod(audit, cite)}`
}

/** How the report can be made again and checked. */
export function provenanceSentence(version: string): Phrase {
  return phrase`Made with Holdfast ${foreign(version)}. The same records with the same version and settings give the same report, byte for byte, apart from the line with the date of making. Every number in the text stands, unrounded, in results.json beside this file, at the place that the number carries as its attribute.`
}

/** One line of the table of settings. */
export interface SettingLine {
  readonly name: string
  readonly value: Phrase
}

/** Every setting that shaped the results. */
export function settingLines(audit: AuditResult, cite: Citations): readonly SettingLine[] {
  const { definition, settings } = audit
  return [
    { name: 'Endpoint', value: [endpointOf(audit).name] },
    { name: 'Types of restoration', value: [restorationTypesInWords(definition)] },
    { name: 'Window of repeated tightening', value: windowPhrase(cite) },
    { name: 'Recall interval', value: phrase`${cite.number('definition.recallIntervalDays', 'count')} days` },
    { name: 'Level of intervals', value: [cite.number('settings.level', 'level')] },
    {
      name: 'Horizons, years',
      value: settings.horizonsYears.flatMap((_, index) => [
        ...(index === 0 ? [] : [', ']),
        cite.number(`settings.horizonsYears.${index}`, 'whole'),
      ]),
    },
    { name: 'Least number at risk', value: [cite.number('settings.leastAtRisk', 'count')] },
    { name: 'Seed', value: [cite.number('settings.seed', 'whole')] },
  ]
}

/** A warning of a result, with the groups that it is about; none are named where it is about all. */
export function warningNote(groups: readonly string[], text: string, audit: AuditResult): Phrase {
  if (groups.length === 0) return [foreign(sentence(printable(text)))]
  const names = groups.map((group) => groupTitle(group, audit.definition)).join('; ')
  return phrase`${foreign(names)}: ${foreign(sentence(printable(text)))}`
}

function sentence(text: string): string {
  return /[.!?]$/.test(text) ? text : `${text}.`
}
