/** Restorations of one clinic put together: how many leave on a day, by group and way, and how many come under observation. */
export interface DayCounts {
  readonly exits: readonly {
    readonly group: number
    readonly status: number
    readonly day: number
    readonly count: number
  }[]
  readonly entries: readonly { readonly group: number; readonly day: number; readonly count: number }[]
}

/** Risk sets of one clinic on its event days, in rising order. */
export interface RiskDays {
  readonly day: Float64Array
  /** At risk and with the event, by group. */
  readonly atRisk: readonly [Float64Array, Float64Array]
  readonly events: readonly [Float64Array, Float64Array]
}

/** Counts by day, sorted, with sums from the left. */
interface Steps {
  readonly days: Float64Array
  readonly sums: Float64Array
}

/** The risk sets of one clinic; those at risk on a day entered before it and leave on it or later. */
export function riskDays({ exits, entries }: DayCounts): RiskDays {
  const events = exits.filter(({ status, count }) => status === 1 && count > 0)
  const day = Float64Array.from(new Set(events.map((one) => one.day))).sort()
  const at = new Map(Array.from(day, (value, k) => [value, k] as const))
  const eventsOf = [new Float64Array(day.length), new Float64Array(day.length)] as const
  for (const { group, day: when, count } of events) eventsOf[group]![at.get(when)!]! += count
  const atRiskOf = (group: number): Float64Array => {
    const entered = stepsOf(entries, group)
    const left = stepsOf(exits, group)
    return day.map((when) => before(entered, when) - before(left, when))
  }
  return { day, atRisk: [atRiskOf(0), atRiskOf(1)], events: eventsOf }
}

function stepsOf(
  moves: readonly { readonly group: number; readonly day: number; readonly count: number }[],
  group: number,
): Steps {
  const own = moves.filter((one) => one.group === group).sort((left, right) => left.day - right.day)
  const sums = new Float64Array(own.length + 1)
  own.forEach(({ count }, i) => {
    sums[i + 1] = sums[i]! + count
  })
  return { days: Float64Array.from(own, (one) => one.day), sums }
}

/** How many moved before a day. */
function before({ days, sums }: Steps, day: number): number {
  return sums[positionAfter(days, day, false)]!
}

/** How many sorted days lie before a day, or on it too. */
export function positionAfter(days: Float64Array, day: number, with_: boolean): number {
  let low = 0
  let high = days.length
  while (low < high) {
    const middle = (low + high) >>> 1
    if (days[middle]! < day || (with_ && days[middle] === day)) low = middle + 1
    else high = middle
  }
  return low
}

/** Score and information of the model of two groups at one log hazard ratio, with what scores of rows follow from. */
export interface ScoreAt {
  readonly score: number
  readonly information: number
  /** Mean of the group in the risk set, by event day. */
  readonly mean: Float64Array
  /** By group: what a row has lost by the end of an event day, from the left; one longer than the event days. */
  readonly lost: readonly [Float64Array, Float64Array]
  /** By group: what a row with the event loses on its own day. */
  readonly lostWithEvent: readonly [Float64Array, Float64Array]
}

/**
 * Score and information of Cox's model of two groups in one clinic (Cox 1972; ties by Efron 1977, or by Breslow 1974,
 * which makes the score at 0 that of the log-rank test).
 */
export function scoreAt(
  { day, atRisk, events }: RiskDays,
  logHazardRatio: number,
  ties: 'efron' | 'breslow' = 'efron',
): ScoreAt {
  const ratio = Math.exp(logHazardRatio)
  const mean = new Float64Array(day.length)
  const lost = [new Float64Array(day.length + 1), new Float64Array(day.length + 1)] as const
  const lostWithEvent = [new Float64Array(day.length), new Float64Array(day.length)] as const
  let score = 0
  let information = 0
  for (let k = 0; k < day.length; k++) {
    const [d0, d1] = [events[0][k]!, events[1][k]!]
    const d = d0 + d1
    score += d1
    for (let step = 0; step < d; step++) {
      const taken = ties === 'efron' ? step / d : 0
      const inGroup = (atRisk[1][k]! - taken * d1) * ratio
      const sum = atRisk[0][k]! - taken * d0 + inGroup
      const share = inGroup / sum
      score -= share
      information += share * (1 - share)
      mean[k]! += share / d
      const [against, group] = [-share / sum, (ratio * (1 - share)) / sum]
      lost[0][k + 1]! += against
      lost[1][k + 1]! += group
      lostWithEvent[0][k]! += (1 - taken) * against
      lostWithEvent[1][k]! += (1 - taken) * group
    }
    lost[0][k + 1]! += lost[0][k]!
    lost[1][k + 1]! += lost[1][k]!
  }
  return { score, information, mean, lost, lostWithEvent }
}

/** Score of one row (Therneau, Grambsch and Fleming 1990), from the event days at its entry and exit. */
export function rowScore(
  at: ScoreAt,
  group: number,
  hasEvent: boolean,
  enteredAfter: number,
  leftAfter: number,
): number {
  const lost = at.lost[group as 0 | 1]
  if (!hasEvent) return lost[enteredAfter]! - lost[leftAfter]!
  const own = leftAfter - 1
  return group - at.mean[own]! - (lost[own]! - lost[enteredAfter]!) - at.lostWithEvent[group as 0 | 1][own]!
}

/** Observed less expected events of the group, and the hypergeometric variance, over the event days of a clinic. */
export function logRankParts({ day, atRisk, events }: RiskDays): readonly [number, number] {
  let difference = 0
  let variance = 0
  for (let k = 0; k < day.length; k++) {
    const d = events[0][k]! + events[1][k]!
    const n = atRisk[0][k]! + atRisk[1][k]!
    const share = atRisk[1][k]! / n
    difference += events[1][k]! - d * share
    if (n > 1) variance += (d * share * (1 - share) * (n - d)) / (n - 1)
  }
  return [difference, variance]
}
