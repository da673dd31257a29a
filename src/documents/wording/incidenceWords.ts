import { isNumber } from '../../core/estimate.js'
import type { Message, Part } from '../../messages/message.js'
import type { AuditResult } from '../../questions/audit.js'
import { fewSentences, oftenSentences as sentencesOfHowOften } from '../../questions/howOften/words.js'
import {
  headlineHorizon as leadingHorizon,
  rateSentence as rateOverTime,
  horizonsSentence as riskAtHorizons,
} from '../../questions/incidence/words.js'
import { retentionSentence as shareFree } from '../../questions/retention/section.js'
import { pathsOf } from '../../questions/words/place.js'
import type { Citations } from '../model/citation.js'
import type { KeyFigure, Phrase } from '../model/document.js'
import { settingOf } from '../model/settingOf.js'
import { endpointPart } from './terms.js'

/** Fewer events than this lead the report with the remark that they are few. */
export const fewEvents = 10

/** "95% interval", with the level where it stands in the results. */
export function intervalName(cite: Citations): Phrase {
  return cite.say('evidence.interval-name', { level: cite.number('settings.level', 'level') })
}

/** Years of a horizon: "3 years". */
export function horizonYears(cite: Citations, path: string): Phrase {
  return cite.say('how-often.years', {
    half: cite.read(path) === 0.5 ? 'yes' : 'other',
    years: cite.number(path, 'whole'),
  })
}

/** Position of the horizon that leads, the same in every sentence. */
export function headlineHorizon({ incidence, howOften }: AuditResult): number {
  return leadingHorizon(incidence, howOften)
}

/** How often: the sentence that claims, or says why nothing is claimed, then those that stand beside it. */
export function oftenSentences(audit: AuditResult): readonly Message[] {
  return sentencesOfHowOften(settingOf(audit))
}

/** The risk at every horizon in one sentence; at those that cannot be estimated, that it cannot. */
export function horizonsSentence(audit: AuditResult, { by }: Citations): Phrase {
  return by.phrase(riskAtHorizons(audit.incidence, pathsOf(audit.incidence, 'incidence'), settingOf(audit)))
}

/** The rate over all time at risk. */
export function rateSentence(audit: AuditResult, { by }: Citations): Phrase {
  return by.phrase(rateOverTime(audit.incidence, pathsOf(audit.incidence, 'incidence'), settingOf(audit)))
}

/** The main sentence on how long: the share free of the event at the leading horizon. */
export function retentionSentence(audit: AuditResult, { by }: Citations): Phrase {
  return by.phrase(shareFree(audit.retention, pathsOf(audit.retention, 'retention'), settingOf(audit)))
}

/** The sentences of how often as one phrase. */
export function incidenceSentence(audit: AuditResult, { by }: Citations): Phrase {
  return by.phrase(spaced(oftenSentences(audit)))
}

/** What another year would bring, and whom to look at; nothing where events are not few. */
export function fewSentence({ howOften, definition }: AuditResult, { by }: Citations): Phrase {
  const { few } = howOften
  if (few === undefined) return []
  const at = pathsOf(howOften, 'howOften').few
  return by.phrase(spaced(fewSentences(few, at, definition.recallIntervalDays)))
}

function spaced(sentences: readonly Message[]): readonly Part[] {
  return sentences.flatMap((sentence, i) => (i === 0 ? [sentence] : [' ', sentence]))
}

/** Says, before anything else, that events are few. */
export function fewEventsSentence(audit: AuditResult, cite: Citations): Phrase | undefined {
  const { events } = audit.incidence.overall
  if (events === 0 || events >= fewEvents) return undefined
  return cite.say('evidence.few-events', {
    events: cite.number('incidence.overall.events', 'count'),
    one: endpointPart('one', audit),
    many: endpointPart('many', audit),
  })
}

/** What the answer rests on: restorations, patients, period, follow-up, events. */
export function baseSentence(audit: AuditResult, cite: Citations): Phrase {
  const at = 'incidence.overall'
  const followed = isNumber(audit.incidence.overall.medianFollowUpYears.estimate)
  return cite.say('evidence.base', {
    restorations: cite.number(`${at}.restorations`, 'count'),
    patients: cite.number(`${at}.patients`, 'count'),
    delivered: deliveryPeriod(audit, cite),
    followed: followed ? 'yes' : 'other',
    median: followed ? cite.number(`${at}.medianFollowUpYears.estimate`, 'years') : '',
    events: cite.number(`${at}.events`, 'count'),
    one: endpointPart('one', audit),
    competing: cite.number(`${at}.competingEvents`, 'count'),
  })
}

/** ", delivered 2017 to 2023", or nothing where years are unknown. */
export function deliveryPeriod(audit: AuditResult, cite: Citations): Phrase {
  const { first, last } = audit.summary.deliveryYears
  if (first <= 0 || last <= 0) return []
  const at = 'summary.deliveryYears'
  const year = cite.number(`${at}.first`, 'calendar-year')
  return first === last
    ? cite.say('evidence.delivered-in', { year })
    : cite.say('evidence.delivered', { first: year, last: cite.number(`${at}.last`, 'calendar-year') })
}

/** Headline numbers on how often. */
export function incidenceKeyFigures(audit: AuditResult, cite: Citations): readonly KeyFigure[] {
  const { overall } = audit.incidence
  const at = `incidence.overall.horizons.${headlineHorizon(audit)}`
  const name = endpointPart('name', audit)
  const rate: KeyFigure = {
    label: cite.say('evidence.key-rate'),
    value: [cite.quantity('incidence.overall.ratePer100Years.estimate', 'rate')],
    interval: intervalLine(cite, 'incidence.overall.ratePer100Years', 'rate'),
  }
  if (audit.howOften.reason === 'left-out') return [leftOutFigure(cite)]
  if (overall.events === 0 || overall.horizons.length === 0 || audit.howOften.verdict === 'withheld') {
    const seen: KeyFigure = {
      label: cite.say('evidence.key-seen', { name }),
      value: cite.say('evidence.of', {
        part: cite.number('incidence.overall.events', 'count'),
        whole: cite.number('incidence.overall.restorations', 'count'),
      }),
      interval: intervalLine(cite, 'incidence.overall.proportion', 'percent'),
    }
    return [seen, rate]
  }
  const risk: KeyFigure = {
    label: cite.say('evidence.key-risk', { name, years: horizonYears(cite, `${at}.years`) }),
    value: [cite.quantity(`${at}.risk.estimate`, 'percent')],
    interval: intervalLine(cite, `${at}.risk`, 'percent'),
  }
  return [risk, rate]
}

/** Stands where a risk would, while more were left out than a risk can bear. */
function leftOutFigure(cite: Citations): KeyFigure {
  return {
    label: cite.say('how-often.left-out-label'),
    value: [cite.number('howOften.leftOut.share', 'percent')],
    interval: cite.say('evidence.of', {
      part: cite.number('howOften.leftOut.restorations', 'count'),
      whole: cite.number('howOften.leftOut.eligible', 'count'),
    }),
  }
}

/** "95% interval 6.4% to 10.2%", under a headline number. */
export function intervalLine(cite: Citations, path: string, format: 'percent' | 'rate' | 'points'): Phrase {
  const { lower, upper } = cite.estimate(path).interval
  if (!isNumber(lower) && !isNumber(upper)) return cite.say('evidence.no-interval')
  return cite.say('evidence.interval-line', {
    level: cite.number('settings.level', 'level'),
    interval: cite.interval(path, format),
  })
}
