import { isNumber, type Quantity } from '../../core/estimate.js'
import { type Message, message, type Part, type Words } from '../../messages/message.js'
import { foreign } from '../../messages/phrase.js'
import type { AuditResult } from '../../questions/audit.js'
import { yearsAt } from '../../questions/howOften/section.js'
import { restorationTypesInSentence, restorationTypesOpening } from '../../questions/restorationTypes.js'
import { sentences } from '../../questions/words/blocks.js'
import { isChosenPart } from '../../questions/words/chosenPart.js'
import { count, interval, number, type Place, pathsOf, quantity } from '../../questions/words/place.js'
import type { Citations } from '../model/citation.js'
import type { ReferenceList } from '../model/referenceList.js'
import { headlineHorizon, rateSentence } from './incidenceWords.js'
import { riskForPaper } from './paperWords.js'
import { comparisonForPaper } from './tighteningWords.js'

/** Title of the draft: what, in whom, by which design. */
export function manuscriptTitle({ definition }: AuditResult): Words {
  return message('manuscript.title', {
    endpoint: message(`endpoint.title.${definition.endpoint}`),
    types: restorationTypesInSentence(definition.restorationTypes),
  })
}

/** When the restorations were delivered, as sentences choose by it. */
function delivery(audit: AuditResult) {
  const { first, last } = audit.summary.deliveryYears
  const at = pathsOf(audit).summary.deliveryYears
  return {
    delivered: first <= 0 || last <= 0 ? 'none' : first === last ? 'same' : 'other',
    first: number(at.first, 'calendar-year'),
    last: number(at.last, 'calendar-year'),
  } as const
}

/** The abstract, part by part. */
export function abstractParts(
  audit: AuditResult,
  cite: Citations,
): readonly { readonly term: Message; readonly meaning: Words }[] {
  const { definition, incidence, summary } = audit
  const at = pathsOf(audit).incidence.overall
  const compared = audit.tightening !== undefined
  return [
    { term: message('manuscript.part.background'), meaning: message('manuscript.abstract-background') },
    {
      term: message('manuscript.part.methods'),
      meaning: sentences(
        message('manuscript.abstract-methods', {
          ...delivery(audit),
          types: restorationTypesOpening(definition.restorationTypes),
          clinics: summary.clinics.length,
          endpoint: message(`endpoint.name.${definition.endpoint}`),
        }),
        compared ? message('manuscript.abstract-compared') : undefined,
      ),
    },
    {
      term: message('manuscript.part.results'),
      meaning: sentences(
        message('manuscript.abstract-followed', {
          restorations: count(at.restorations),
          patients: count(at.patients),
          median: quantity(at.medianFollowUpYears.estimate as Place<Quantity>, 'years'),
        }),
        riskForPaper(audit, 'abstract') as Part,
        incidence.overall.events === 0 ? undefined : rateSentence(audit, cite),
        compared ? comparisonForPaper(audit, cite) : undefined,
      ),
    },
    {
      term: message('manuscript.part.conclusions'),
      meaning: sentences(conclusion(audit), message('manuscript.abstract-conclusions')),
    },
    { term: message('manuscript.part.keywords'), meaning: message('manuscript.abstract-keywords') },
  ]
}

function conclusion(audit: AuditResult): Message {
  const { overall } = audit.incidence
  const index = headlineHorizon(audit)
  const horizon = overall.horizons[index]
  const estimated = horizon !== undefined && isNumber(horizon.risk.estimate)
  if (overall.events === 0 || !estimated || audit.howOften.verdict === 'withheld')
    return message('manuscript.conclusion-limits')
  const at = pathsOf(audit).incidence.overall
  const { risk, years } = at.horizons[index]!
  return message('manuscript.conclusion', {
    endpoint: message(`endpoint.name.${audit.definition.endpoint}`),
    years: yearsAt(years),
    risk: number(risk.estimate as Place<Quantity>, 'percent'),
    interval: interval(risk, 'percent'),
    restorationYears: number(at.restorationYears, 'restoration-years'),
  })
}

/** What the introduction has to say; all of it is for the author. */
export const introductionBlanks: readonly Words[] = Object.freeze([
  message('manuscript.introduction-known'),
  message('manuscript.introduction-unknown'),
  message('manuscript.introduction-objective'),
])

/** Design and setting. */
export function settingParagraphs(audit: AuditResult, references: ReferenceList): readonly Words[] {
  const { summary } = audit
  const at = pathsOf(audit).summary
  const { read, setAside } = at.quality.rows.restorations
  return [
    message('manuscript.setting', {
      ...delivery(audit),
      clinics: Math.max(1, summary.clinics.length),
      operators: count(at.operators),
      cited: references.cite('strobe'),
    }),
    message('manuscript.records-came', {
      form: summary.source.form === 'three-tables' ? 'tables' : 'other',
      read: count(read),
      setAside: count(setAside),
    }),
  ]
}

/** Who entered and who did not. */
export function participantsParagraphs({ definition, summary }: AuditResult): readonly Words[] {
  return [
    message('manuscript.participants', {
      types: restorationTypesInSentence(definition.restorationTypes),
      part: isChosenPart(summary) ? 'yes' : 'other',
    }),
  ]
}

/** What was done to the screw, as the cohort derives it. */
export function handlingParagraphs(audit: AuditResult): readonly Words[] {
  const { from, to } = pathsOf(audit).definition.waitWindowMinutes
  return [message('manuscript.handling', { from: number(from, 'whole'), to: number(to, 'whole') })]
}

/** The endpoint and its working definition. */
export function outcomeParagraphs(audit: AuditResult): readonly Words[] {
  const { endpoint } = audit.definition
  return [
    message('manuscript.outcome', {
      name: message(`endpoint.name.${endpoint}`),
      meaning: message(`endpoint.meaning.${endpoint}`),
    }),
  ]
}

/** When time at risk begins and ends. */
export function followUpParagraphs(audit: AuditResult): readonly Words[] {
  return [message('manuscript.follow-up', { days: count(pathsOf(audit).definition.recallIntervalDays) })]
}

/** How the size came about. */
export function sizeParagraphs(audit: AuditResult, references: ReferenceList): readonly Words[] {
  const at = pathsOf(audit).needed
  const needed =
    audit.needed?.scenarios[0]?.comparisonsWidth?.restorations === undefined
      ? undefined
      : message('manuscript.size-needed', {
          margin: number(at.smallestDifference, 'points-size'),
          restorations: count(at.scenarios[0]!.comparisonsWidth.restorations),
          cited: references.citeMethods(['planning-own-records']),
        })
  return [sentences(message('manuscript.size-all'), needed, message('manuscript.size-set'))]
}

/** What only the author can declare. */
export const declarationTerms: readonly { readonly term: Message; readonly meaning: Message }[] =
  Object.freeze(
    (['funding', 'conflicts', 'contributions', 'data', 'thanks'] as const).map((key) => ({
      term: message(`manuscript.declaration.${key}`),
      meaning: message(`manuscript.declared.${key}`),
    })),
  )

/** What the discussion opens with. */
export function keyResults(audit: AuditResult, cite: Citations): Words {
  return sentences(
    conclusion(audit),
    audit.tightening === undefined ? undefined : comparisonForPaper(audit, cite),
    message('manuscript.key-results-author'),
  )
}

/** How the software made the numbers. */
export function softwareSentence(audit: AuditResult, version: string): Words {
  const { seed, level } = pathsOf(audit).settings
  return message('manuscript.software', {
    version: foreign(version),
    hash: foreign(audit.summary.source.sha256),
    seed: number(seed, 'whole'),
    level: number(level, 'level'),
  })
}
