import { isNumber, type Quantity } from '../../core/estimate.js'
import { message, type Words } from '../../messages/message.js'
import { foreign } from '../../messages/phrase.js'
import type { CountKey, ReportSide, TwoReports } from '../../questions/twoReports/answer.js'
import { sentences } from '../../questions/words/blocks.js'
import {
  count,
  interval,
  number,
  type Path,
  type Place,
  pathsOf,
  valueAt,
} from '../../questions/words/place.js'

type Side = 'before' | 'after'

const sides: readonly Side[] = ['before', 'after']

/** Which of the two, or both, something holds for; undefined where it holds for neither. */
function sideWhere(holds: (side: Side) => boolean): Side | 'both' | undefined {
  const found = sides.filter(holds)
  return found.length === 2 ? 'both' : found[0]
}

/** Title of the comparison. */
export function changeTitle({ endpoint, after }: TwoReports): Words {
  return message('changes.title', {
    endpoint: message(`endpoint.title.${endpoint}`),
    records: foreign(after.title),
  })
}

/** Line under the title. */
export function changeSummary(two: TwoReports): Words {
  const at = pathsOf(two)
  return message('changes.summary', {
    before: count(at.before.incidence.restorations),
    after: count(at.after.incidence.restorations),
  })
}

/** What changed in the records. */
export function recordsChangeSentence(two: TwoReports): Words {
  const change = (key: CountKey): Place<number> =>
    pathsOf(two).counts[two.counts.findIndex((one) => one.key === key)]!.change
  const [restorations, events, years] = [
    change('restorations'),
    change('events'),
    change('restoration-years'),
  ]
  return message('changes.moved', {
    restorationsMoved: direction(restorations),
    restorations: number(restorations, 'change-size'),
    eventsMoved: direction(events),
    events: number(events, 'change-size'),
    yearsMoved: direction(years),
    years: number(years, 'change-size'),
  })
}

function direction(change: Place<number>): 'same' | 'more' | 'other' {
  const moved = valueAt(change)
  if (moved === 0) return 'same'
  return moved > 0 ? 'more' : 'other'
}

/** What changed in the risk at one horizon. */
export function riskChangeSentence(two: TwoReports): Words {
  const endpoint = message(`endpoint.name.${two.endpoint}`)
  const withheld = sideWhere((side) => two[side].howOften === 'withheld')
  if (withheld !== undefined) {
    return message('changes.risk-withheld', { endpoint, side: withheld === 'after' ? 'other' : withheld })
  }
  const index = leadingChange(two)
  if (index === undefined) return message('changes.risk-unknown')
  const at = pathsOf(two)
  const risk = two.risks[index]!
  const before = at.before.incidence.horizons[risk.indexBefore]!.risk
  const after = at.after.incidence.horizons[risk.index]!.risk
  const change = at.risks[index]!.change as Place<Quantity>
  const none = sideWhere((side) => valueAt(side === 'before' ? before : after).estimate === 0)
  return sentences(
    message('changes.risk', {
      endpoint,
      years: number(at.risks[index]!.years, 'whole'),
      level: number(at.level, 'level'),
      after: number(after.estimate as Place<Quantity>, 'percent'),
      afterLimits: limits(after),
      afterInterval: interval(after, 'percent'),
      before: number(before.estimate as Place<Quantity>, 'percent'),
      beforeLimits: limits(before),
      beforeInterval: interval(before, 'percent'),
      moved: risk.change === 0 ? 'same' : (risk.change as number) < 0 ? 'lower' : 'other',
      change: number(change, 'points-size'),
    }),
    // An estimate of 0 is no expectation.
    none === undefined
      ? undefined
      : message('changes.none-seen', { side: none === 'after' ? 'other' : none }),
    risk.intervals === undefined ? undefined : message(`changes.intervals.${risk.intervals}`),
  )
}

function limits(at: Path<ReportSide['incidence']['horizons'][number]['risk']>): 'none' | 'other' {
  const { lower, upper } = valueAt(at).interval
  return isNumber(lower) || isNumber(upper) ? 'other' : 'none'
}

/** The horizon that leads: of those with enough at risk in both reports 3 years, else the longest; else of any. */
function leadingChange({ risks, before, after }: TwoReports): number | undefined {
  const both = risks
    .map((risk, index) => ({ ...risk, position: index }))
    .filter(({ change }) => isNumber(change))
  const firm = both.filter(
    ({ index, indexBefore }) =>
      !after.incidence.horizons[index]!.thin && !before.incidence.horizons[indexBefore]!.thin,
  )
  return (firm.find(({ years }) => years === 3) ?? firm.at(-1) ?? both.at(-1))?.position
}

/** Whether what may be said of the comparison has changed. */
export function readingChangeSentence(two: TwoReports): Words {
  const compared = sideWhere((side) => two[side].comparison !== undefined)
  if (compared === undefined) return message('changes.reading-none')
  if (compared !== 'both') {
    return message('changes.reading-one', { side: compared === 'before' ? 'before' : 'other' })
  }
  return two.before.comparison?.verdict === two.after.comparison?.verdict
    ? message('changes.reading-same')
    : message('changes.reading-changed')
}

/** Says that two reports share no clinic. */
export function clinicsSentence({ clinicsInBoth, before, after }: TwoReports): Words | undefined {
  if (clinicsInBoth.length > 0 || before.clinics.length === 0 || after.clinics.length === 0) return undefined
  return message('changes.no-clinic-in-common')
}

/** What has to be read beside the comparison. */
export const changeCautions: readonly Words[] = Object.freeze([
  message('changes.caution-dependent'),
  message('changes.caution-moves'),
  message('changes.caution-two-points'),
])

/** What the comparison of one report came to. */
export function verdictWords(verdict: string): Words {
  switch (verdict) {
    case 'lower':
    case 'higher':
    case 'open':
    case 'cannot-be-compared':
    case 'cannot-be-known':
      return message(`changes.verdict.${verdict}`)
    default:
      return foreign(verdict)
  }
}
