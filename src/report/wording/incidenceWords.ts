import type { AuditResult } from '../../analysis/audit.js'
import { upperFirst } from '../../charts/words.js'
import { isNumber } from '../../core/estimate.js'
import { type Message, message } from '../../messages/message.js'
import { reasonOf, speaker } from '../../messages/speaker.js'
import { fewSentences, howOftenSentences } from '../../questions/howOften/words.js'
import { count, pathsOf } from '../../questions/place.js'
import type { Citations } from '../citation.js'
import { joinPhrases, type KeyFigure, type Phrase, phrase } from '../document.js'
import { endpointOf } from './terms.js'

/** Fewer events than this lead the report with the remark that they are few. */
export const fewEvents = 10

/** "95% interval", with the level where it stands in the results. */
export function intervalName(cite: Citations): Phrase {
  return phrase`${cite.number('settings.level', 'level')} interval`
}

/** " (95% interval 6.4% to 10.2%)"; a reason where there is no interval. */
export function withInterval(
  cite: Citations,
  path: string,
  format: 'percent' | 'rate' | 'years' | 'ratio',
): Phrase {
  const { lower, upper } = cite.estimate(path).interval
  if (!isNumber(lower) && !isNumber(upper)) {
    const reason = lower.state === 'not-estimable' ? phrase`: ${speaker().phrase(reasonOf(lower))}` : []
    return phrase` (no interval can be given${reason})`
  }
  return phrase` (${intervalName(cite)} ${cite.interval(path, format)})`
}

/** Years of a horizon: "3 years". */
export function horizonYears(cite: Citations, path: string): Phrase {
  const value = cite.read(path)
  if (value === 0.5) return ['half a year']
  return phrase`${cite.number(path, 'whole')} ${value === 1 ? 'year' : 'years'}`
}

/**
 * Position of the horizon that leads, the same in every sentence: that of the answer, else the longest with enough at
 * risk, else the longest that can be estimated at all.
 */
export function headlineHorizon(audit: AuditResult): number {
  const { horizons } = audit.incidence.overall
  const leading = horizons.findIndex(({ years }) => years === audit.howOften.years)
  if (leading >= 0) return leading
  const estimable = horizons
    .map((horizon, index) => ({ horizon, index }))
    .filter(({ horizon }) => isNumber(horizon.risk.estimate))
  const firm = estimable.filter(({ horizon }) => !horizon.thin)
  return (firm.at(-1) ?? estimable.at(-1))?.index ?? Math.max(0, horizons.length - 1)
}

/** How often: the sentence that claims, or says why nothing is claimed, then those that stand beside it. */
export function oftenSentences(audit: AuditResult): readonly Message[] {
  return howOftenSentences(audit.howOften, pathsOf(audit.howOften, 'howOften'), {
    endpoint: audit.definition.endpoint,
    leastAtRisk: audit.settings.leastAtRisk,
    lossContradicts: (audit.answer?.comparison?.objections ?? []).some(
      ({ code, effect }) => code === 'loss' && effect === 'contradicts',
    ),
  })
}

/** The same sentences as one phrase. */
export function incidenceSentence(audit: AuditResult, _cite?: Citations): Phrase {
  return spoken(oftenSentences(audit))
}

/** That figures of those looked at say nothing of the practice, where its risk is withheld for those never looked at. */
export function onlyThoseSeen(audit: AuditResult): Phrase | undefined {
  return audit.howOften.reason === 'left-out'
    ? spoken([
        message('report.only-those-seen', {
          left: count(pathsOf(audit).howOften.leftOut.restorations),
          eligible: count(pathsOf(audit).howOften.leftOut.eligible),
        }),
      ])
    : undefined
}

/** What another year would bring, and whom to look at; nothing where events are not few. */
export function fewSentence({ howOften, definition }: AuditResult): Phrase {
  const { few } = howOften
  if (few === undefined) return []
  const at = pathsOf(howOften, 'howOften').few
  return spoken(fewSentences(few, at, definition.recallIntervalDays))
}

function spoken(sentences: readonly Message[]): Phrase {
  return speaker().phrase(sentences.flatMap((sentence, i) => (i === 0 ? [sentence] : [' ', sentence])))
}

/** The risk at every horizon in one sentence; at those that cannot be estimated, that it cannot. */
export function horizonsSentence(audit: AuditResult, cite: Citations): Phrase {
  const { overall } = audit.incidence
  if (overall.events === 0 || overall.horizons.length === 0 || audit.howOften.verdict !== 'estimate')
    return incidenceSentence(audit)
  const parts = overall.horizons.map((horizon, index): Phrase => {
    const at = `incidence.overall.horizons.${index}`
    const years = horizonYears(cite, `${at}.years`)
    if (!isNumber(horizon.risk.estimate)) return phrase`by ${years} in a share that cannot be estimated`
    const { lower, upper } = horizon.risk.interval
    const limits =
      isNumber(lower) || isNumber(upper) ? cite.interval(`${at}.risk`, 'percent') : ['no interval']
    return phrase`by ${years} in ${cite.number(`${at}.risk.estimate`, 'percent')} (${limits})`
  })
  return phrase`${upperFirst(endpointOf(audit).one)} had come ${joinPhrases(parts, ', ')} of restorations, each placed halfway between its last clean look and its finding; in brackets ${intervalName(cite)}s, competing events allowed for.`
}

/** The main sentence on how long: the share free of the event at the leading horizon. */
export function retentionSentence(audit: AuditResult, cite: Citations): Phrase {
  const withheld = onlyThoseSeen(audit)
  if (withheld !== undefined) return withheld
  const index = headlineHorizon(audit)
  const horizon = audit.retention.overall.horizons[index]
  const { name } = endpointOf(audit)
  if (horizon === undefined) return phrase`The curve shows the share of restorations free of ${name}.`
  const at = `retention.overall.horizons.${index}`
  if (!isNumber(horizon.retention.estimate)) {
    return phrase`The share free of ${name} at ${horizonYears(cite, `${at}.years`)} cannot be estimated.`
  }
  return phrase`An estimated ${cite.number(`${at}.retention.estimate`, 'percent')} of restorations were free of ${name} at ${horizonYears(cite, `${at}.years`)}${withInterval(cite, `${at}.retention`, 'percent')}, had no competing event come first. Where there are competing events, risks are to be read from the cumulative incidence above, not from one minus this curve.`
}

/** Says, before anything else, that events are few. */
export function fewEventsSentence(audit: AuditResult, cite: Citations): Phrase | undefined {
  const { events } = audit.incidence.overall
  if (events === 0 || events >= fewEvents) return undefined
  const { one, many } = endpointOf(audit)
  const seen =
    events === 1
      ? phrase`Only ${one} was seen`
      : phrase`Only ${cite.number('incidence.overall.events', 'count')} ${many} were seen`
  return phrase`${seen}: too few for more than the wide intervals that follow, and no comparison can rest on them.`
}

/** The rate over all time at risk. */
export function rateSentence(audit: AuditResult, cite: Citations): Phrase {
  const at = 'incidence.overall'
  const years = cite.number(`${at}.restorationYears`, 'restoration-years')
  if (!isNumber(audit.incidence.overall.ratePer100Years.estimate)) {
    return phrase`A rate over the ${years} restoration-years at risk cannot be estimated.`
  }
  return phrase`Over ${years} restoration-years at risk the rate was ${cite.number(`${at}.ratePer100Years.estimate`, 'rate')} for every 100 restoration-years${withInterval(cite, `${at}.ratePer100Years`, 'rate')}.`
}

/** What the answer rests on: restorations, patients, period, follow-up, events. */
export function baseSentence(audit: AuditResult, cite: Citations): Phrase {
  const at = 'incidence.overall'
  const { overall } = audit.incidence
  const years = deliveryPeriod(audit, cite)
  const followUp = isNumber(overall.medianFollowUpYears.estimate)
    ? phrase`, followed for a median of ${cite.number(`${at}.medianFollowUpYears.estimate`, 'years')} years`
    : []
  const had = overall.events === 0 ? ['none had'] : phrase`${cite.number(`${at}.events`, 'count')} had`
  const competing =
    overall.competingEvents === 0
      ? phrase`; no competing event was seen`
      : phrase`; ${cite.number(`${at}.competingEvents`, 'count')} ended by a competing event first`
  return phrase`This rests on ${cite.number(`${at}.restorations`, 'count')} ${overall.restorations === 1 ? 'restoration' : 'restorations'} in ${cite.number(`${at}.patients`, 'count')} ${overall.patients === 1 ? 'patient' : 'patients'}${years}${followUp}: ${had} ${endpointOf(audit).one}${competing}.`
}

/** ", delivered 2017 to 2023", or nothing where years are unknown. */
export function deliveryPeriod(audit: AuditResult, cite: Citations): Phrase {
  const { first, last } = audit.summary.deliveryYears
  if (first <= 0 || last <= 0) return []
  const at = 'summary.deliveryYears'
  if (first === last) return phrase`, delivered in ${cite.number(`${at}.first`, 'calendar-year')}`
  return phrase`, delivered ${cite.number(`${at}.first`, 'calendar-year')} to ${cite.number(`${at}.last`, 'calendar-year')}`
}

/** Headline numbers on how often. */
export function incidenceKeyFigures(audit: AuditResult, cite: Citations): readonly KeyFigure[] {
  const { overall } = audit.incidence
  const at = `incidence.overall.horizons.${headlineHorizon(audit)}`
  const { name } = endpointOf(audit)
  const rate: KeyFigure = {
    label: ['events for every 100 restoration-years'],
    value: [cite.quantity('incidence.overall.ratePer100Years.estimate', 'rate')],
    interval: intervalLine(cite, 'incidence.overall.ratePer100Years', 'rate'),
  }
  if (audit.howOften.reason === 'left-out') return [leftOutFigure(cite)]
  if (overall.events === 0 || overall.horizons.length === 0 || audit.howOften.verdict === 'withheld') {
    const seen: KeyFigure = {
      label: phrase`restorations with ${name}`,
      value: phrase`${cite.number('incidence.overall.events', 'count')} of ${cite.number('incidence.overall.restorations', 'count')}`,
      interval: intervalLine(cite, 'incidence.overall.proportion', 'percent'),
    }
    return [seen, rate]
  }
  const risk: KeyFigure = {
    label: phrase`with ${name} by ${horizonYears(cite, `${at}.years`)}`,
    value: [cite.quantity(`${at}.risk.estimate`, 'percent')],
    interval: intervalLine(cite, `${at}.risk`, 'percent'),
  }
  return [risk, rate]
}

/** Stands where a risk would, while more were left out than a risk can bear. */
function leftOutFigure(cite: Citations): KeyFigure {
  return {
    label: speaker().phrase(message('how-often.left-out-label')),
    value: [cite.number('howOften.leftOut.share', 'percent')],
    interval: phrase`${cite.number('howOften.leftOut.restorations', 'count')} of ${cite.number('howOften.leftOut.eligible', 'count')}`,
  }
}

/** "95% interval 6.4% to 10.2%", under a headline number. */
export function intervalLine(
  cite: Citations,
  path: string,
  format: 'percent' | 'rate' | 'points' | 'ratio',
): Phrase {
  const { lower, upper } = cite.estimate(path).interval
  if (!isNumber(lower) && !isNumber(upper)) return ['no interval can be given']
  return phrase`${intervalName(cite)} ${cite.interval(path, format)}`
}
