import { type Estimate, isNumber } from '../../core/estimate.js'
import { message, type Part, type Words } from '../../messages/message.js'
import type { CitedNumber } from '../../messages/phrase.js'
import type { ComparisonResult } from '../comparison/answer.js'
import { countsSentence, objectionSentences, verdictSentence } from '../comparison/section.js'
import { differenceSentence } from '../crudeComparison/words.js'
import { fewEventsBelow } from '../howOften/fewEvents.js'
import { fewSentences, oftenSentences, yearsAt } from '../howOften/section.js'
import type { IncidenceResult } from '../incidence/answer.js'
import { headlineHorizon, rateSentence } from '../incidence/words.js'
import { placesIn, type SectionSetting } from '../question.js'
import { type Block, type KeyFigures, paragraph, sentences } from '../words/blocks.js'
import { groupInBrief } from '../words/groups.js'
import { count, interval, number, type Path, quantity, valueAt } from '../words/place.js'
import type { AnswerResult } from './answer.js'

type KeyFigure = KeyFigures['figures'][number]

/** The answer in plain words, each number where the question that it rests on has it. */
export function answerBlocks(
  _result: AnswerResult,
  _at: Path<AnswerResult>,
  setting: SectionSetting,
): readonly Block[] {
  const { howOften, incidence, tightening } = setting.answers
  if (howOften === undefined || incidence === undefined) return []
  const few = fewEventsSentence(incidence, setting)
  return [
    ...(few === undefined ? [] : [paragraph(few, 'lead')]),
    paragraph(sentences(...oftenSentences(setting)), 'lead'),
    paragraph(comparedSentence(setting), 'lead'),
    ...(tightening === undefined ? [] : comparedBlocks(tightening, setting)),
    {
      kind: 'key-figures',
      figures: [...oftenFigures(incidence, setting), ...differenceFigure(tightening, setting)],
    },
    ...(howOften.few === undefined
      ? []
      : [
          paragraph(
            sentences(
              ...fewSentences(
                howOften.few,
                placesIn({ howOften }).howOften.few,
                setting.definition.recallIntervalDays,
              ),
            ),
          ),
        ]),
    paragraph(
      sentences(
        baseSentence(incidence, setting),
        rateSentence(incidence, placesIn({ incidence }).incidence, setting),
      ),
    ),
  ]
}

/** What it rests on, by what plan, and what speaks against it. */
function comparedBlocks(result: ComparisonResult, setting: SectionSetting): readonly Block[] {
  const at = placesIn({ tightening: result }).tightening
  return [countsSentence(result, at, setting), ...objectionSentences(result, at, setting)].map((one) =>
    paragraph(one),
  )
}

/** What may be said of the two ways of tightening, or why nothing is compared. */
export function comparedSentence(setting: SectionSetting): Words {
  const { tightening } = setting.answers
  if (tightening === undefined) return crudeSentence(setting)
  return verdictSentence(tightening, placesIn({ tightening }).tightening, setting)
}

/** The two ways without weighting, or why nothing is compared. */
export function crudeSentence(setting: SectionSetting): Words {
  const { comparison, summary } = setting.answers
  if (comparison !== undefined) {
    return differenceSentence(comparison, placesIn({ comparison }).comparison, setting)
  }
  const problems = summary?.quality.problems ?? []
  const recorded = problems.every(({ code }) => code !== 'no-tightening-column')
  return message('comparison.nothing-to-compare', { recorded: recorded ? 'other' : 'no' })
}

/** Says, before anything else, that events are few. */
export function fewEventsSentence(
  incidence: IncidenceResult,
  { definition }: Pick<SectionSetting, 'definition'>,
): Words | undefined {
  const { events } = incidence.overall
  if (events === 0 || events >= fewEventsBelow) return undefined
  return message('evidence.few-events', {
    events: count(placesIn({ incidence }).incidence.overall.events),
    one: message(`endpoint.one.${definition.endpoint}`),
    many: message(`endpoint.many.${definition.endpoint}`),
  })
}

/** What the answer rests on: restorations, patients, period, follow-up, events. */
export function baseSentence(incidence: IncidenceResult, setting: SectionSetting): Part {
  const at = placesIn({ incidence }).incidence.overall
  const followed = isNumber(incidence.overall.medianFollowUpYears.estimate)
  return message('evidence.base', {
    restorations: count(at.restorations),
    patients: count(at.patients),
    delivered: deliveryPeriod(setting.answers),
    followed: followed ? 'yes' : 'other',
    median: followed ? quantity(at.medianFollowUpYears.estimate, 'years') : '',
    events: count(at.events),
    one: message(`endpoint.one.${setting.definition.endpoint}`),
    competing: count(at.competingEvents),
  })
}

/** ", delivered 2017 to 2023", or nothing where years are unknown. */
export function deliveryPeriod({ summary }: SectionSetting['answers']): Part {
  const { first, last } = summary?.deliveryYears ?? { first: 0, last: 0 }
  if (first <= 0 || last <= 0) return ''
  const at = placesIn({ summary: summary! }).summary.deliveryYears
  const year = number(at.first, 'calendar-year')
  return first === last
    ? message('evidence.delivered-in', { year })
    : message('evidence.delivered', { first: year, last: number(at.last, 'calendar-year') })
}

/** Headline numbers on how often. */
function oftenFigures(incidence: IncidenceResult, setting: SectionSetting): readonly KeyFigure[] {
  const { overall } = incidence
  const howOften = setting.answers.howOften!
  if (howOften.reason === 'left-out') return [leftOutFigure(setting)]
  const at = placesIn({ incidence }).incidence.overall
  const name = message(`endpoint.name.${setting.definition.endpoint}`)
  const rate: KeyFigure = {
    label: message('evidence.key-rate'),
    value: quantity(at.ratePer100Years.estimate, 'rate'),
    interval: intervalLine(at.ratePer100Years, 'rate', setting),
  }
  if (overall.events === 0 || overall.horizons.length === 0 || howOften.verdict === 'withheld') {
    const seen: KeyFigure = {
      label: message('evidence.key-seen', { name }),
      value: message('evidence.of', { part: count(at.events), whole: count(at.restorations) }),
      interval: intervalLine(at.proportion, 'percent', setting),
    }
    return [seen, rate]
  }
  const horizon = at.horizons[headlineHorizon(incidence, howOften)]!
  const risk: KeyFigure = {
    label: message('evidence.key-risk', { name, years: yearsAt(horizon.years) }),
    value: quantity(horizon.risk.estimate, 'percent'),
    interval: intervalLine(horizon.risk, 'percent', setting),
  }
  return [risk, rate]
}

/** Stands where a risk would, while more were left out than a risk can bear. */
function leftOutFigure({ answers }: SectionSetting): KeyFigure {
  const { leftOut } = placesIn(answers).howOften
  return {
    label: message('how-often.left-out-label'),
    value: number(leftOut.share, 'percent'),
    interval: message('evidence.of', {
      part: count(leftOut.restorations),
      whole: count(leftOut.eligible),
    }),
  }
}

/** Headline number of the comparison, where an estimate stands. */
function differenceFigure(
  tightening: ComparisonResult | undefined,
  setting: SectionSetting,
): readonly KeyFigure[] {
  if (tightening === undefined || !claims(tightening)) return []
  const at = placesIn({ tightening }).tightening
  const { estimate, lower, upper } = at.lead.difference
  return [
    {
      label: message('contrast.key-difference', {
        years: yearsAt(at.horizonYears),
        group: groupInBrief(tightening.groups.group),
        against: groupInBrief(tightening.groups.against),
      }),
      value: number(estimate, 'points'),
      interval: message('evidence.interval-line', {
        level: levelOf(setting),
        interval: message('quantity.interval', {
          lower: number(lower, 'points'),
          upper: number(upper, 'points'),
        }),
      }),
    },
  ]
}

/** Whether an estimate of the comparison stands, so that a figure may be shown. */
export function claims({ lead, verdict }: ComparisonResult): boolean {
  return lead !== undefined && verdict !== 'cannot-be-compared' && verdict !== 'cannot-be-known'
}

/** "95% interval 6.4% to 10.2%", under a headline number. */
function intervalLine(
  place: Path<Pick<Estimate, 'interval'>>,
  format: 'percent' | 'rate',
  setting: SectionSetting,
): Words {
  const { lower, upper } = valueAt(place).interval
  if (!isNumber(lower) && !isNumber(upper)) return message('evidence.no-interval')
  return message('evidence.interval-line', { level: levelOf(setting), interval: interval(place, format) })
}

function levelOf({ settings }: SectionSetting): CitedNumber {
  return number(placesIn({ settings }).settings.level, 'level')
}
