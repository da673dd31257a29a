import type { Contrast, Quantity } from '../../core/estimate.js'
import { isNumber } from '../../core/estimate.js'
import { listOf, type Message, message, opening, type Part } from '../../messages/message.js'
import { fieldName } from '../../messages/names.js'
import { reasonOf } from '../../messages/speaker.js'
import { yearsAt } from '../howOften/section.js'
import { intervalName } from '../incidence/words.js'
import type { SectionSetting } from '../question.js'
import { groupInSentence } from '../words/groups.js'
import { count, number, type Path, type Place, valueAt } from '../words/place.js'
import type { TighteningComparisonResult } from './answer.js'
import type { HazardRatioVariant } from './hazardRatios.js'

/** What a hazard ratio allows for: what every one does, or what it does besides. */
export function allowedFor({ key, allowsFor }: HazardRatioVariant): Part {
  if (key === 'crude') return message('label.allows-crude')
  return allowsFor.length === 0 ? message('label.allows-nothing') : listOf(allowsFor.map(fieldName), 'comma')
}

/** Position of the horizon whose difference leads: 3 years, or the longest that can be estimated. */
function leadingDifference({ horizons }: TighteningComparisonResult): number {
  const estimable = horizons
    .map((horizon, index) => ({ horizon, index }))
    .filter(({ horizon }) => isNumber(horizon.riskDifference.estimate))
  const firm = estimable.filter(({ horizon }) => !horizon.thin)
  const wished = firm.find(({ horizon }) => horizon.years === 3) ?? firm.at(-1) ?? estimable.at(-1)
  return wished?.index ?? Math.max(0, horizons.length - 1)
}

/** The main sentence on the crude comparison, made from the interval of the risk difference. */
export function differenceSentence(
  result: TighteningComparisonResult,
  at: Path<TighteningComparisonResult>,
  setting: SectionSetting,
): Message {
  if (result.horizons.length === 0) return message('contrast.no-horizon')
  const index = leadingDifference(result)
  const { estimate } = result.horizons[index]!.riskDifference
  const place = at.horizons[index]!
  const names = {
    years: yearsAt(place.years),
    group: groupInSentence(result.group, setting.definition),
    against: groupInSentence(result.against, setting.definition),
  }
  if (isNumber(estimate)) return differenceInWords(place.riskDifference, names, setting)
  return estimate.state === 'not-estimable'
    ? message('contrast.not-estimable-because', { ...names, reason: reasonOf(estimate) })
    : message('contrast.not-estimable', names)
}

/** A risk difference with its interval, both ways where the interval holds both directions. */
export function differenceInWords(
  place: Path<Contrast>,
  names: { readonly years: Part; readonly group: Part; readonly against: Part },
  setting: Pick<SectionSetting, 'settings'>,
): Message {
  const { estimate, interval } = valueAt(place)
  const { lower, upper } = interval
  const side = sideInWords(place.estimate as Place<Quantity>)
  if (!isNumber(lower) || !isNumber(upper)) return message('contrast.without-interval', { ...names, side })
  const size = (one: Place<Quantity>) => number(one, 'points-size')
  const [least, most] = [place.interval.lower, place.interval.upper] as [Place<Quantity>, Place<Quantity>]
  const beginning = {
    ...names,
    group: opening(names.group),
    size: size(place.estimate as Place<Quantity>),
    interval: intervalName(setting),
  }
  if (upper < 0) return message('contrast.lower', { ...beginning, from: size(most), to: size(least) })
  if (lower > 0) return message('contrast.higher', { ...beginning, from: size(least), to: size(most) })
  return message('contrast.open', {
    ...names,
    equal: estimate === 0 ? 'yes' : 'other',
    side,
    from: sideInWords(least),
    to: sideInWords(most),
    interval: intervalName(setting),
  })
}

/** "3.9 percentage points lower". */
function sideInWords(place: Place<Quantity>): Message {
  const value = valueAt(place) as number
  return message('contrast.side', {
    size: number(place, 'points-size'),
    side: value === 0 ? 'other' : value < 0 ? 'lower' : 'higher',
  })
}

/** Number of restorations, patients and events in each of the two groups. */
export function groupSizesSentence(
  { group, against }: TighteningComparisonResult,
  at: Path<TighteningComparisonResult>,
  { definition }: SectionSetting,
): Message {
  const size = (name: string): Message =>
    message('contrast.size', {
      events: count(at.events[name]!),
      restorations: count(at.restorations[name]!),
      patients: count(at.patients[name]!),
      group: groupInSentence(name, definition),
    })
  return message('contrast.sizes', { group: size(group), against: size(against) })
}
