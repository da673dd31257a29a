import { listOf, message } from '../../messages/message.js'
import { fieldName } from '../../messages/names.js'
import { endingsWithoutColumn } from '../../questions/answer/answer.js'
import type { AuditResult } from '../../questions/audit.js'
import { groupName } from '../../questions/comparison/words.js'
import { yearsAt } from '../../questions/howOften/section.js'
import { count, number, type Path, type Place, quantity } from '../../questions/words/place.js'
import type { Citations } from '../model/citation.js'
import type { CitedNumber, Phrase } from '../model/document.js'
import { comparedIncidences, incompleteTraits, type LimitationKey } from '../model/limitations.js'
import { headlineHorizon } from './incidenceWords.js'
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
  place: (at: Path<AuditResult>) => Place<number>,
): WordsOf {
  return (_audit, cite) => cite.say(code, { many: count(place(cite.at)) })
}

/** What is said of each limitation. */
export const limitationWords: Readonly<Record<LimitationKey, WordsOf>> = {
  generated: (_audit, cite) => cite.say('limitation.generated'),
  'no-events': (audit, cite) =>
    cite.say('limitation.no-events', {
      name: endpointPart('name', audit),
      restorations: count(cite.at.incidence.overall.restorations),
    }),
  'few-events': (audit, cite) =>
    cite.say('limitation.few-events', {
      events: count(cite.at.incidence.overall.events),
      name: endpointPart('name', audit),
      many: endpointPart('many', audit),
    }),
  'few-events-compared': (_audit, cite) =>
    cite.say('limitation.few-events-compared', twoCounts(cite.at.tightening.events)),
  'few-events-in-model': withCount('limitation.few-events-in-model', (at) => at.model.events),
  clustering: (_audit, cite) =>
    cite.say('limitation.clustering', {
      restorations: count(cite.at.incidence.overall.restorations),
      patients: count(cite.at.incidence.overall.patients),
    }),
  'one-patient': (_audit, cite) => cite.say('limitation.one-patient'),
  'few-patients': withCount('limitation.few-patients', (at) => at.incidence.overall.patients),
  'not-assigned-by-chance': (_audit, cite) => cite.say('limitation.not-assigned-by-chance'),
  'no-plan': (_audit, cite) => cite.say('limitation.no-plan'),
  'little-overlap': (_audit, cite) =>
    cite.say('limitation.little-overlap', { share: number(cite.at.comparison.overlapShare, 'percent') }),
  'not-recorded': (audit, cite) => {
    const named = audit.tightening!.leftOut.filter(({ reason }) => reason === 'not-recorded')
    return cite.say('limitation.not-recorded', { names: listOf(named.map(({ key }) => fieldName(key))) })
  },
  'unequal-follow-up': (audit, cite) => {
    const [group, against] = comparedIncidences(audit).map(
      (index) => cite.at.incidence.byGroup[index]!.medianFollowUpYears.estimate,
    )
    return cite.say('limitation.unequal-follow-up', {
      groupYears: quantity(group!, 'years'),
      group: groupInSentence(audit.tightening!.groups.group, audit, cite),
      againstYears: quantity(against!, 'years'),
      against: groupInSentence(audit.tightening!.groups.against, audit, cite),
    })
  },
  'short-follow-up': (audit, cite) => {
    const { horizons, medianFollowUpYears } = cite.at.incidence.overall
    const { years, atRisk } = horizons[headlineHorizon(audit)]!
    return cite.say('limitation.short-follow-up', {
      median: quantity(medianFollowUpYears.estimate, 'years'),
      years: yearsAt(years),
      atRisk: count(atRisk),
    })
  },
  'unknown-exposure': (audit, cite) => {
    const index = audit.incidence.byGroup.findIndex(({ group }) => group === 'unknown')
    const { restorations } = cite.at.incidence.byGroup[index]!
    return cite.say('limitation.unknown-exposure', { many: count(restorations) })
  },
  'reported-exposure': withCount('limitation.reported-exposure', (at) => at.summary.exposureFromReportOnly),
  'exposure-disagrees': withCount('limitation.exposure-disagrees', (at) => at.summary.exposureDisagreements),
  'found-at-visits': (_audit, cite) => cite.say('limitation.found-at-visits'),
  'never-checked': withCount('limitation.never-checked', (at) => at.summary.neverChecked),
  lost: ({ tightening, definition }, cite) => {
    const { group, against, by } = tightening!.groups
    const tried = tightening!.challenges.some(({ code, effect }) => code === 'loss' && effect !== 'context')
    return cite.say('limitation.lost', {
      tried: tried ? 'yes' : 'other',
      ...twoCounts(cite.at.tightening.loss.lost),
      groupName: groupName(group, by, definition),
      againstName: groupName(against, by, definition),
    })
  },
  competing: withCount('limitation.competing', (at) => at.incidence.overall.competingEvents),
  'competing-beyond-recall': withCount(
    'limitation.competing-beyond-recall',
    (at) => at.summary.competingBeyondRecall,
  ),
  'endings-without-column': ({ summary }, cite) => {
    const fields = endingsWithoutColumn(summary).map(([, field]) => field)
    const removals = fields.includes('removed_date')
    const deaths = fields.length > (removals ? 1 : 0)
    return cite.say('limitation.endings-without-column', {
      what: removals ? (deaths ? 'other' : 'removals') : 'deaths',
    })
  },
  'late-entry': withCount('limitation.late-entry', (at) => at.lifeTable.lateEntry),
  'rows-set-aside': (_audit, cite) => {
    const { restorations, tightenings, visits } = cite.at.summary.quality.rows
    return cite.say('limitation.rows-set-aside', {
      restorations: count(restorations.setAside),
      tightenings: count(tightenings.setAside),
      visits: count(visits.setAside),
    })
  },
  incomplete: (audit, cite) => {
    const { traits } = audit.characteristics!
    const names = incompleteTraits(audit).map((index) => fieldName(traits[index]!.field))
    return cite.say('limitation.incomplete', { names: listOf(names) })
  },
  'one-clinic': (_audit, cite) => cite.say('limitation.one-clinic'),
  'few-operators': withCount('limitation.few-operators', (at) => at.summary.operators),
  'form-of-records': (audit, cite) => {
    const gaps = listOf(
      audit.summary.source.cannotAnswer.map((gap) => message(`cohort.gap.${gap}`)),
      'semicolon',
    )
    return cite.say('limitation.form-of-records', { gaps })
  },
}

function twoCounts({ group, against }: Path<{ readonly group: number; readonly against: number }>): {
  readonly group: CitedNumber
  readonly against: CitedNumber
} {
  return { group: count(group), against: count(against) }
}
