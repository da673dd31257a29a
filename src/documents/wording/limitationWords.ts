import { listOf } from '../../messages/message.js'
import { fieldName } from '../../messages/names.js'
import { endingsWithoutColumn } from '../../questions/answer/answer.js'
import type { AuditResult } from '../../questions/audit.js'
import { groupName } from '../../questions/comparison/words.js'
import type { Citations } from '../model/citation.js'
import { type CitedNumber, foreign, type Phrase } from '../model/document.js'
import { comparedIncidences, incompleteTraits, type LimitationKey } from '../model/limitations.js'
import { headlineHorizon, horizonYears } from './incidenceWords.js'
import { endpointPart, groupInSentence } from './terms.js'

type WordsOf = (audit: AuditResult, cite: Citations) => Phrase

/** A limitation that cites one count. */
function withCount(
  code:
    | 'limitation.few-events-in-model'
    | 'limitation.few-patients'
    | 'limitation.reported-exposure'
    | 'limitation.exposure-disagrees'
    | 'limitation.never-checked'
    | 'limitation.competing'
    | 'limitation.competing-beyond-recall'
    | 'limitation.late-entry'
    | 'limitation.few-operators',
  path: string,
): WordsOf {
  return (_audit, cite) => cite.say(code, { many: cite.number(path, 'count') })
}

/** What is said of each limitation. */
export const limitationWords: Readonly<Record<LimitationKey, WordsOf>> = {
  generated: (_audit, cite) => cite.say('limitation.generated'),
  'no-events': (audit, cite) =>
    cite.say('limitation.no-events', {
      name: endpointPart('name', audit),
      restorations: cite.number('incidence.overall.restorations', 'count'),
    }),
  'few-events': (audit, cite) =>
    cite.say('limitation.few-events', {
      events: cite.number('incidence.overall.events', 'count'),
      name: endpointPart('name', audit),
      many: endpointPart('many', audit),
    }),
  'few-events-compared': (_audit, cite) =>
    cite.say('limitation.few-events-compared', twoCounts(cite, 'tightening.events')),
  'few-events-in-model': withCount('limitation.few-events-in-model', 'model.events'),
  clustering: (_audit, cite) =>
    cite.say('limitation.clustering', {
      restorations: cite.number('incidence.overall.restorations', 'count'),
      patients: cite.number('incidence.overall.patients', 'count'),
    }),
  'one-patient': (_audit, cite) => cite.say('limitation.one-patient'),
  'few-patients': withCount('limitation.few-patients', 'incidence.overall.patients'),
  'not-assigned-by-chance': (_audit, cite) => cite.say('limitation.not-assigned-by-chance'),
  'no-plan': (_audit, cite) => cite.say('limitation.no-plan'),
  'little-overlap': (_audit, cite) =>
    cite.say('limitation.little-overlap', { share: cite.number('comparison.overlapShare', 'percent') }),
  'not-recorded': (audit, cite) => {
    const named = audit.tightening!.leftOut.filter(({ reason }) => reason === 'not-recorded')
    return cite.say('limitation.not-recorded', { names: listOf(named.map(({ key }) => fieldName(key))) })
  },
  'unequal-follow-up': (audit, cite) => {
    const [group, against] = comparedIncidences(audit).map(
      (index) => `incidence.byGroup.${index}.medianFollowUpYears.estimate`,
    )
    return cite.say('limitation.unequal-follow-up', {
      groupYears: cite.quantity(group!, 'years'),
      group: groupInSentence(audit.tightening!.groups.group, audit, cite),
      againstYears: cite.quantity(against!, 'years'),
      against: groupInSentence(audit.tightening!.groups.against, audit, cite),
    })
  },
  'short-follow-up': (audit, cite) => {
    const at = `incidence.overall.horizons.${headlineHorizon(audit)}`
    return cite.say('limitation.short-follow-up', {
      median: cite.quantity('incidence.overall.medianFollowUpYears.estimate', 'years'),
      years: horizonYears(cite, `${at}.years`),
      atRisk: cite.number(`${at}.atRisk`, 'count'),
    })
  },
  'unknown-exposure': (audit, cite) => {
    const index = audit.incidence.byGroup.findIndex(({ group }) => group === 'unknown')
    const many = cite.number(`incidence.byGroup.${index}.restorations`, 'count')
    return cite.say('limitation.unknown-exposure', { many })
  },
  'reported-exposure': withCount('limitation.reported-exposure', 'summary.exposureFromReportOnly'),
  'exposure-disagrees': withCount('limitation.exposure-disagrees', 'summary.exposureDisagreements'),
  'found-at-visits': (_audit, cite) => cite.say('limitation.found-at-visits'),
  'never-checked': withCount('limitation.never-checked', 'summary.neverChecked'),
  lost: ({ tightening, definition }, cite) => {
    const { group, against, by } = tightening!.groups
    const tried = tightening!.challenges.some(({ code, effect }) => code === 'loss' && effect !== 'context')
    return cite.say('limitation.lost', {
      tried: tried ? 'yes' : 'other',
      ...twoCounts(cite, 'tightening.loss.lost'),
      groupName: groupName(group, by, definition),
      againstName: groupName(against, by, definition),
    })
  },
  competing: withCount('limitation.competing', 'incidence.overall.competingEvents'),
  'competing-beyond-recall': withCount('limitation.competing-beyond-recall', 'summary.competingBeyondRecall'),
  'endings-without-column': ({ summary }, cite) => {
    const fields = endingsWithoutColumn(summary).map(([, field]) => field)
    const removals = fields.includes('removed_date')
    const deaths = fields.length > (removals ? 1 : 0)
    return cite.say('limitation.endings-without-column', {
      what: removals ? (deaths ? 'other' : 'removals') : 'deaths',
    })
  },
  'late-entry': withCount('limitation.late-entry', 'lifeTable.lateEntry'),
  'rows-set-aside': (_audit, cite) => {
    const many = (table: string): CitedNumber =>
      cite.number(`summary.quality.rows.${table}.setAside`, 'count')
    return cite.say('limitation.rows-set-aside', {
      restorations: many('restorations'),
      tightenings: many('tightenings'),
      visits: many('visits'),
    })
  },
  incomplete: (audit, cite) => {
    const { traits } = audit.characteristics!
    const names = incompleteTraits(audit).map((index) => fieldName(traits[index]!.field))
    return cite.say('limitation.incomplete', { names: listOf(names) })
  },
  'one-clinic': (_audit, cite) => cite.say('limitation.one-clinic'),
  'few-operators': withCount('limitation.few-operators', 'summary.operators'),
  'form-of-records': (audit, cite) => {
    const gaps = listOf(audit.summary.source.cannotAnswer.map(foreign), 'semicolon')
    return cite.say('limitation.form-of-records', { gaps })
  },
}

function twoCounts(
  cite: Citations,
  path: string,
): { readonly group: CitedNumber; readonly against: CitedNumber } {
  return {
    group: cite.number(`${path}.group`, 'count'),
    against: cite.number(`${path}.against`, 'count'),
  }
}
