import type { AuditResult } from '../../analysis/audit.js'
import type { TighteningComparisonResult } from '../../analysis/tighteningComparison.js'
import { isNumber } from '../../core/estimate.js'
import { reasonOf } from '../../messages/speaker.js'
import { type Citations, pathStep } from '../citation.js'
import { capitalised, type Phrase } from '../document.js'
import { horizonYears, intervalName } from './incidenceWords.js'
import { groupInSentence } from './terms.js'

const at = 'comparison'

/** Position of the horizon whose difference leads: 3 years, or the longest that can be estimated. */
function leadingDifference(comparison: TighteningComparisonResult): number {
  const estimable = comparison.horizons
    .map((horizon, index) => ({ horizon, index }))
    .filter(({ horizon }) => isNumber(horizon.riskDifference.estimate))
  const firm = estimable.filter(({ horizon }) => !horizon.thin)
  const wished = firm.find(({ horizon }) => horizon.years === 3) ?? firm.at(-1) ?? estimable.at(-1)
  return wished?.index ?? Math.max(0, comparison.horizons.length - 1)
}

/** The main sentence on the comparison, made from the interval of the risk difference. */
export function differenceSentence(audit: AuditResult, cite: Citations): Phrase {
  const { comparison } = audit
  if (comparison === undefined) {
    const { problems } = audit.summary.quality
    const recorded = problems.every(({ code }) => code !== 'no-tightening-column')
    return cite.say('comparison.nothing-to-compare', { recorded: recorded ? 'other' : 'no' })
  }
  if (comparison.horizons.length === 0) return cite.say('contrast.no-horizon')
  const index = leadingDifference(comparison)
  const { riskDifference } = comparison.horizons[index]!
  const path = `${at}.horizons.${index}`
  const years = horizonYears(cite, `${path}.years`)
  const group = groupInSentence(comparison.group, audit, cite)
  const against = groupInSentence(comparison.against, audit, cite)
  if (!isNumber(riskDifference.estimate)) {
    const { estimate } = riskDifference
    const names = { years, group, against }
    return estimate.state === 'not-estimable'
      ? cite.say('contrast.not-estimable-because', { ...names, reason: reasonOf(estimate) })
      : cite.say('contrast.not-estimable', names)
  }
  return differenceInWords(cite, `${path}.riskDifference`, { years, group, against })
}

interface DifferenceNames {
  readonly years: Phrase
  readonly group: Phrase
  readonly against: Phrase
}

/** A risk difference with its interval, both ways where the interval holds both directions. */
export function differenceInWords(cite: Citations, path: string, names: DifferenceNames): Phrase {
  const { lower, upper } = cite.estimate(path).interval
  const size = cite.number(`${path}.estimate`, 'points-size')
  const side = sideInWords(cite, `${path}.estimate`)
  if (!isNumber(lower) || !isNumber(upper)) return cite.say('contrast.without-interval', { ...names, side })
  const limits = (from: string, to: string) => ({
    interval: intervalName(cite),
    from: cite.number(`${path}.interval.${from}`, 'points-size'),
    to: cite.number(`${path}.interval.${to}`, 'points-size'),
  })
  const opening = { ...names, group: capitalised(names.group), size }
  if (upper < 0) return cite.say('contrast.lower', { ...opening, ...limits('upper', 'lower') })
  if (lower > 0) return cite.say('contrast.higher', { ...opening, ...limits('lower', 'upper') })
  return cite.say('contrast.open', {
    ...names,
    equal: cite.read(`${path}.estimate`) === 0 ? 'yes' : 'other',
    side,
    from: sideInWords(cite, `${path}.interval.lower`),
    to: sideInWords(cite, `${path}.interval.upper`),
    interval: intervalName(cite),
  })
}

/** "3.9 percentage points lower". */
function sideInWords(cite: Citations, path: string): Phrase {
  const value = cite.read(path) as number
  return cite.say('contrast.side', {
    size: cite.number(path, 'points-size'),
    side: value === 0 ? 'other' : value < 0 ? 'lower' : 'higher',
  })
}

/** Number of restorations, patients and events in each of the two groups. */
export function groupSizesSentence(audit: AuditResult, cite: Citations): Phrase {
  const { comparison } = audit
  if (comparison === undefined) return []
  const size = (group: string): Phrase => {
    const step = pathStep(group)
    return cite.say('contrast.size', {
      events: cite.number(`${at}.events${step}`, 'count'),
      restorations: cite.number(`${at}.restorations${step}`, 'count'),
      patients: cite.number(`${at}.patients${step}`, 'count'),
      group: groupInSentence(group, audit, cite),
    })
  }
  return cite.say('contrast.sizes', { group: size(comparison.group), against: size(comparison.against) })
}
