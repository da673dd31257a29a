import { isNumber, type Quantity } from '../../core/estimate.js'
import { listOf, type Message, message, type Part } from '../../messages/message.js'
import { type EndpointName, isScrewEndpoint } from '../../vocabulary/endpoints.js'
import { objectionsOf } from '../comparison/answerPart.js'
import { placesIn, type SectionSetting } from '../question.js'
import { type Block, paragraph, sentences } from '../words/blocks.js'
import { count, intervalInBrackets, number, type Path, type Place, valueAt } from '../words/place.js'
import type { HowOften, OtherReading } from './answer.js'
import type { FewEvents } from './fewEvents.js'

/** What the words need to know besides the result. */
export interface HowOftenSetting {
  readonly endpoint: EndpointName
  readonly leastAtRisk: number
  /** Whether the challenge by unequal loss contradicts the comparison of the same records. */
  readonly lossContradicts: boolean
}

/** What is said of it: the answer, all that has to stand beside it, and with few events whom to look at. */
export function howOftenBlocks(
  result: HowOften,
  at: Path<HowOften>,
  asked: SectionSetting,
): readonly Block[] {
  const { few } = result
  return [
    paragraph(sentences(...howOftenSentences(result, at, settingFrom(asked))), 'lead'),
    ...(few === undefined
      ? []
      : [paragraph(sentences(...fewSentences(few, at.few, asked.definition.recallIntervalDays)))]),
  ]
}

/** The answer in sentences: what is claimed, or why nothing is, and all that has to stand beside it. */
export function howOftenSentences(
  result: HowOften,
  at: Path<HowOften>,
  setting: HowOftenSetting,
): readonly Message[] {
  switch (result.verdict) {
    case 'withheld':
      return withheldSentences(result, at, setting)
    case 'none-seen':
      return [...noneSeenSentences(result, at, setting), ...leftOutSentence(result, at)]
    case 'estimate':
      return [
        message('how-often.estimate', {
          years: yearsAt(at.years),
          risk: number(at.horizon.risk.estimate as Place<Quantity>, 'percent'),
          one: endpointOne(setting),
          interval: intervalInBrackets(at.horizon.risk, 'percent'),
        }),
        ...rangeSentences(result, at, setting),
        ...shorterHorizon(result, at, setting),
        ...leftOutSentence(result, at),
        ...ticksSentences(result, at, setting),
        ...nextLookSentences(result, at),
      ]
  }
}

/** What the range of placement leaves open, and what it does not cover. */
function rangeSentences(
  { horizon, visitTimesRecorded }: HowOften,
  at: Path<HowOften>,
  { lossContradicts }: HowOftenSetting,
): readonly Message[] {
  const { lower, upper } = horizon!.betweenLooks.range
  if (!isNumber(lower) || !isNumber(upper)) return []
  const { range } = at.horizon.betweenLooks
  return [
    message('how-often.between-looks', {
      lower: number(range.lower as Place<Quantity>, 'percent'),
      upper: number(range.upper as Place<Quantity>, 'percent'),
    }),
    ...(visitTimesRecorded ? [] : [message('how-often.visits-not-recorded')]),
    ...(lossContradicts ? [message('how-often.loss-contradicts')] : []),
  ]
}

function withheldSentences(
  { reason, bounds }: HowOften,
  at: Path<HowOften>,
  setting: HowOftenSetting,
): readonly Message[] {
  if (reason === 'no-time-at-risk') {
    return [message('how-often.no-time-at-risk', { restorations: count(at.restorations) })]
  }
  if (reason === 'few-at-risk') {
    return [
      message('how-often.withheld-few-at-risk', {
        least: setting.leastAtRisk,
        events: count(at.events),
        restorations: count(at.restorations),
        one: endpointOne(setting),
        restorationYears: number(at.restorationYears, 'restoration-years'),
      }),
    ]
  }
  const withheld = message('how-often.withheld-left-out', {
    eligible: count(at.leftOut.eligible),
    left: count(at.leftOut.restorations),
    share: number(at.leftOut.share, 'percent'),
  })
  if (bounds === undefined) return [withheld]
  return [
    withheld,
    message('how-often.bounds', {
      one: endpointOne(setting),
      years: yearsAt(at.years),
      none: number(at.bounds.none, 'percent'),
      asSeen: number(at.bounds.asSeen, 'percent'),
      all: number(at.bounds.all, 'percent'),
    }),
  ]
}

function noneSeenSentences(
  { noneSeen }: HowOften,
  at: Path<HowOften>,
  setting: HowOftenSetting,
): readonly Message[] {
  const seen = {
    restorations: count(at.restorations),
    name: message(`endpoint.name.${setting.endpoint}`),
    oneEvent: endpointOne(setting),
    restorationYears: number(at.restorationYears, 'restoration-years'),
  }
  if (!isNumber(noneSeen!.ratePer100Years.interval.upper)) {
    return [message('how-often.none-seen-no-limit', seen), message('how-often.none-seen-yet')]
  }
  const { horizons } = noneSeen!
  const rate = message('how-often.none-seen', {
    ...seen,
    upper: number(at.noneSeen.ratePer100Years.interval.upper as Place<Quantity>, 'rate'),
    level: number(at.level, 'level'),
  })
  if (horizons.length === 0) {
    return [rate, message('how-often.none-seen-no-horizon', { least: setting.leastAtRisk })]
  }
  const limits = horizons.map((_one, i): Part => {
    const place = at.noneSeen.horizons[i]!
    return message('how-often.at-limit', {
      years: yearsAt(place.years),
      upper: number(place.upper, 'percent'),
      restorations: count(place.restorations),
      patients: count(place.patients),
    })
  })
  return [
    rate,
    message('how-often.none-seen-by', {
      restorationYears: number(at.restorationYears, 'restoration-years'),
      limits: listOf(limits),
    }),
    message('how-often.none-seen-beyond', {
      years: yearsAt(at.noneSeen.horizons[horizons.length - 1]!.years),
    }),
    message('how-often.none-seen-yet'),
  ]
}

function shorterHorizon(
  { years, wishedYears }: HowOften,
  at: Path<HowOften>,
  { leastAtRisk }: HowOftenSetting,
): readonly Message[] {
  if (years === wishedYears) return []
  return [
    message('how-often.shorter-horizon', {
      years: yearsAt(at.years),
      least: leastAtRisk,
      wished: yearsAt(at.wishedYears),
    }),
  ]
}

function leftOutSentence({ leftOut }: HowOften, at: Path<HowOften>): readonly Message[] {
  if (!leftOut.stated) return []
  return [
    message('how-often.left-out', {
      left: count(at.leftOut.restorations),
      eligible: count(at.leftOut.eligible),
      share: number(at.leftOut.share, 'percent'),
    }),
  ]
}

function ticksSentences(
  { ticksOnly }: HowOften,
  at: Path<HowOften>,
  { endpoint }: HowOftenSetting,
): readonly Message[] {
  if (ticksOnly?.stated !== true || !isScrewEndpoint(endpoint)) return []
  if (ticksOnly.restorations === 0) return [message('how-often.no-tick')]
  return [
    ...(hasRisk(ticksOnly)
      ? [
          message('how-often.ticks-only', {
            years: yearsAt(at.years),
            risk: number(at.ticksOnly.horizon.risk.estimate as Place<Quantity>, 'percent'),
          }),
        ]
      : []),
    ...(ticksOnly.findingsNotCounted === 0
      ? []
      : [message('how-often.ticks-not-counted', { findings: count(at.ticksOnly.findingsNotCounted) })]),
  ]
}

function nextLookSentences({ nextLook }: HowOften, at: Path<HowOften>): readonly Message[] {
  if (nextLook?.stated !== true || !hasRisk(nextLook)) return []
  return [
    message('how-often.next-look', {
      share: number(at.foundOutsideShare, 'percent'),
      years: yearsAt(at.years),
      risk: number(at.nextLook.horizon.risk.estimate as Place<Quantity>, 'percent'),
    }),
    ...(nextLook.findingsNotCounted === 0
      ? []
      : [message('how-often.next-look-not-counted', { findings: count(at.nextLook.findingsNotCounted) })]),
  ]
}

function hasRisk({ horizon }: OtherReading): boolean {
  return horizon !== undefined && isNumber(horizon.risk.estimate)
}

/** What a practice with few events can be told: how precise another year would make the rate, and whom to look at. */
export function fewSentences(
  few: FewEvents,
  at: Path<FewEvents>,
  recallIntervalDays: number,
): readonly Message[] {
  return [
    ...few.precision.map((_one, i) => {
      const place = at.precision[i]!
      return message('how-often.further-year', {
        further: number(place.furtherYears, 'whole'),
        restorationYears: number(place.restorationYears, 'restoration-years'),
        lower: number(place.lower, 'rate'),
        upper: number(place.upper, 'rate'),
        none: few.events === 0 ? 'yes' : 'other',
      })
    }),
    message('how-often.followed', {
      followed: count(at.followed),
      unseen: count(at.unseen),
      recall: recallIntervalDays,
    }),
  ]
}

function endpointOne({ endpoint }: HowOftenSetting): Message {
  return message(`endpoint.one.${endpoint}`)
}

/** "half a year", "1 year", "3 years". */
export function yearsAt(place: Place<number>): Message {
  return message('how-often.years', {
    half: valueAt(place) === 0.5 ? 'yes' : 'other',
    years: number(place, 'whole'),
  })
}

/** How often: the sentence that claims, or says why nothing is claimed, then those that stand beside it. */
export function oftenSentences(asked: SectionSetting): readonly Message[] {
  const { howOften } = asked.answers
  if (howOften === undefined) return []
  return howOftenSentences(howOften, placesIn({ howOften }).howOften, settingFrom(asked))
}

function settingFrom({ definition, settings, answers }: SectionSetting): HowOftenSetting {
  const { tightening } = answers
  return {
    endpoint: definition.endpoint,
    leastAtRisk: settings.leastAtRisk,
    lossContradicts:
      tightening !== undefined &&
      objectionsOf(tightening).some(({ code, effect }) => code === 'loss' && effect === 'contradicts'),
  }
}
