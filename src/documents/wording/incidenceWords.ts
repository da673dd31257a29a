import type { Message } from '../../messages/message.js'
import {
  baseSentence,
  comparedSentence,
  deliveryPeriod as deliveredWhen,
} from '../../questions/answer/section.js'
import type { AuditResult } from '../../questions/audit.js'
import { characteristicsSentence as opening } from '../../questions/characteristics/section.js'
import { oftenSentences as sentencesOfHowOften } from '../../questions/howOften/section.js'
import {
  headlineHorizon as leadingHorizon,
  rateSentence as rateOverTime,
  horizonsSentence as riskAtHorizons,
} from '../../questions/incidence/words.js'
import { retentionSentence as shareFree } from '../../questions/retention/section.js'
import { sentences } from '../../questions/words/blocks.js'
import { number } from '../../questions/words/place.js'
import type { Citations } from '../model/citation.js'
import { settingOf } from '../model/citation.js'
import type { CitedNumber, Phrase } from '../model/document.js'

/** "95% interval", with the level where it stands in the results. */
export function intervalName(cite: Citations): Phrase {
  return cite.say('evidence.interval-name', { level: number(cite.at.settings.level, 'level') })
}

/** Position of the horizon that leads, the same in every sentence. */
export function headlineHorizon({ incidence, howOften }: AuditResult): number {
  return leadingHorizon(incidence, howOften)
}

/** The horizons in years, each with its place. */
export function horizonsCited({ settings }: AuditResult, { at }: Citations): readonly CitedNumber[] {
  return settings.horizonsYears.map((_, index) => number(at.settings.horizonsYears[index]!, 'whole'))
}

/** How often: the sentence that claims, or says why nothing is claimed, then those that stand beside it. */
export function oftenSentences(audit: AuditResult): readonly Message[] {
  return sentencesOfHowOften(settingOf(audit))
}

/** The risk at every horizon in one sentence; at those that cannot be estimated, that it cannot. */
export function horizonsSentence(audit: AuditResult, { at, by }: Citations): Phrase {
  return by.phrase(riskAtHorizons(audit.incidence, at.incidence, settingOf(audit)))
}

/** The rate over all time at risk. */
export function rateSentence(audit: AuditResult, { at, by }: Citations): Phrase {
  return by.phrase(rateOverTime(audit.incidence, at.incidence, settingOf(audit)))
}

/** The main sentence on how long: the share free of the event at the leading horizon. */
export function retentionSentence(audit: AuditResult, { at, by }: Citations): Phrase {
  return by.phrase(shareFree(audit.retention, at.retention, settingOf(audit)))
}

/** What the first page answers, in the language of a speaker: how often, compared, and what it rests on. */
export function answerSentences(audit: AuditResult, { by }: Citations): readonly Phrase[] {
  const setting = settingOf(audit)
  return [
    sentences(...sentencesOfHowOften(setting)),
    comparedSentence(setting),
    baseSentence(audit.incidence, setting),
  ].map(by.phrase)
}

/** ", delivered 2017 to 2023", or nothing where years are unknown. */
export function deliveryPeriod(audit: AuditResult, { by }: Citations): Phrase {
  return by.phrase(deliveredWhen(audit))
}

/** Opens the description of the restorations. */
export function characteristicsSentence({ characteristics }: AuditResult, { at, by }: Citations): Phrase {
  return by.phrase(opening(characteristics!, at.characteristics))
}
