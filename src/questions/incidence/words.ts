import { type Estimate, isNumber, type Quantity, type Warning } from '../../core/estimate.js'
import { listOf, type Message, message, type Part, type Words } from '../../messages/message.js'
import { reasonOf } from '../../messages/speaker.js'
import type { HowOften } from '../howOften/answer.js'
import { oftenSentences, yearsAt } from '../howOften/section.js'
import { placesIn, type SectionSetting } from '../question.js'
import { fewAtRiskNotes, warningNotes } from '../words/blocks.js'
import { groupTitle } from '../words/groups.js'
import { count, interval, number, type Path, type Place, valueAt } from '../words/place.js'
import type { IncidenceResult } from './answer.js'

/** "95% interval", with the level where it stands in the results. */
export function intervalName({ settings }: Pick<SectionSetting, 'settings'>): Message {
  return message('evidence.interval-name', { level: number(placesIn({ settings }).settings.level, 'level') })
}

/** "(95% interval 6.4% to 10.2%)"; a reason where there is no interval. */
export function intervalInBrackets(
  place: Path<Pick<Estimate, 'interval'>>,
  format: 'percent' | 'rate',
  { settings }: Pick<SectionSetting, 'settings'>,
): Message {
  const { lower, upper } = valueAt(place).interval
  if (isNumber(lower) || isNumber(upper)) {
    return message('quantity.interval-in-brackets', {
      level: number(placesIn({ settings }).settings.level, 'level'),
      interval: interval(place, format),
    })
  }
  return lower.state === 'not-estimable'
    ? message('quantity.no-interval-because', { reason: reasonOf(lower) })
    : message('quantity.no-interval')
}

/**
 * Position of the horizon that leads, the same in every sentence: that of the answer, else the longest with enough at
 * risk, else the longest that can be estimated at all.
 */
export function headlineHorizon({ overall }: IncidenceResult, howOften: HowOften | undefined): number {
  const { horizons } = overall
  const leading = horizons.findIndex(({ years }) => years === howOften?.years)
  if (leading >= 0) return leading
  const estimable = horizons
    .map((horizon, index) => ({ horizon, index }))
    .filter(({ horizon }) => isNumber(horizon.risk.estimate))
  const firm = estimable.filter(({ horizon }) => !horizon.thin)
  return (firm.at(-1) ?? estimable.at(-1))?.index ?? Math.max(0, horizons.length - 1)
}

/** That figures of those looked at say nothing of the practice, where its risk is withheld for those never looked at. */
export function onlyThoseSeen({ answers }: Pick<SectionSetting, 'answers'>): Message | undefined {
  const { howOften } = answers
  if (howOften?.reason !== 'left-out') return undefined
  const { leftOut } = placesIn({ howOften }).howOften
  return message('report.only-those-seen', {
    left: count(leftOut.restorations),
    eligible: count(leftOut.eligible),
  })
}

/** The same as a note of a table. */
function onlySeenNotes(asked: Pick<SectionSetting, 'answers'>): readonly Words[] {
  const note = onlyThoseSeen(asked)
  return note === undefined ? [] : [note]
}

/** The risk at every horizon in one sentence; at those that cannot be estimated, that it cannot. */
export function horizonsSentence(
  { overall }: IncidenceResult,
  at: Path<IncidenceResult>,
  setting: SectionSetting,
): readonly Part[] {
  const { howOften } = setting.answers
  if (overall.events === 0 || overall.horizons.length === 0 || howOften?.verdict !== 'estimate')
    return oftenSentences(setting).flatMap((one, index) => (index === 0 ? [one] : [' ', one]))
  const risks = overall.horizons.map((horizon, index): Part => {
    const place = at.overall.horizons[index]!
    const years = yearsAt(place.years)
    if (!isNumber(horizon.risk.estimate)) return message('evidence.no-risk-by', { years })
    const { lower, upper } = horizon.risk.interval
    return message('evidence.risk-by', {
      years,
      risk: number(place.risk.estimate as Place<Quantity>, 'percent'),
      limits:
        isNumber(lower) || isNumber(upper)
          ? interval(place.risk, 'percent')
          : message('evidence.no-interval-here'),
    })
  })
  return [
    message('evidence.risks', {
      one: message(`endpoint.title-one.${setting.definition.endpoint}`),
      risks: listOf(risks, 'comma'),
      intervals: intervalName(setting),
    }),
  ]
}

/** The rate over all time at risk. */
export function rateSentence(
  result: IncidenceResult,
  at: Path<IncidenceResult>,
  setting: Pick<SectionSetting, 'settings'>,
): Message {
  const years = number(at.overall.restorationYears, 'restoration-years')
  if (!isNumber(result.overall.ratePer100Years.estimate)) return message('evidence.no-rate', { years })
  return message('evidence.rate', {
    years,
    rate: number(at.overall.ratePer100Years.estimate as Place<Quantity>, 'rate'),
    interval: intervalInBrackets(at.overall.ratePer100Years, 'rate', setting),
  })
}

/** Groups of a table of risks, with the warnings of what it shows of each. */
export interface GroupOfRisks {
  readonly one: { readonly group: string; readonly horizons: readonly { readonly thin: boolean }[] }
  readonly warnings: readonly Path<readonly Warning[]>[]
}

/** Notes under a table of risks at horizons: whom they are of, what is marked, and what to beware of. */
export function riskNotes(groups: readonly GroupOfRisks[], setting: SectionSetting): readonly Words[] {
  return [
    ...onlySeenNotes(setting),
    ...fewAtRiskNotes(
      groups.some(({ one }) => one.horizons.some(({ thin }) => thin)),
      placesIn(setting).settings.leastAtRisk,
    ),
    ...warningNotes(
      groups.flatMap(({ one, warnings }) =>
        warnings.map((each) => ({ group: groupTitle(one.group, setting.definition), warnings: each })),
      ),
    ),
  ]
}
