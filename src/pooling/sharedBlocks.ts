import { countKinds, type FineCounts, kindsPerGroup } from './fineCounts.js'
import type { Protocol } from './protocol.js'
import type { SitePlan } from './sitePlan.js'
import { groupNames, stratumLevels } from './siteRows.js'
import type { SharedBlock } from './summarySchema.js'

/** Name of both groups counted as one. */
export const mergedGroup = 'both groups together'

/** The risk-set tables of the plan: fine counts summed over the intervals that it keeps. */
export function sharedBlocks(protocol: Protocol, plan: SitePlan, counts: FineCounts): SharedBlock[] {
  const levels = stratumLevels(protocol)
  const names = plan.grouping.mergeGroups ? [mergedGroup] : groupNames(protocol)
  return plan.ends.map((ends, b) => ({
    levels: levels.filter((_level, l) => plan.grouping.blockOf[l] === b),
    intervalEndsDays: ends.map((end) => protocol.gridDays[end]!),
    groups: names.map((group, g) => groupOfBlock(protocol, counts, group, b, g, ends)),
  }))
}

function groupOfBlock(
  protocol: Protocol,
  counts: FineCounts,
  group: string,
  block: number,
  g: number,
  ends: readonly number[],
): SharedBlock['groups'][number] {
  const place = block * counts.groups + g
  const summed = (column: Float64Array, lane: number): number[] =>
    ends.map((end, i) => {
      let sum = 0
      for (let j = i === 0 ? 0 : ends[i - 1]! + 1; j <= end; j++) sum += column[lane * counts.intervals + j]!
      return sum
    })
  const of = (kind: number): number[] => summed(counts.rows, place * kindsPerGroup + kind)
  const [endpoint, competing, censored] = [
    of(countKinds.endpoint),
    of(countKinds.competing),
    of(countKinds.censored),
  ]
  const entered = of(countKinds.entered)
  const [exitDays, entryDays] = [summed(counts.exitDays, place), summed(counts.entryDays, place)]
  const atRisk = new Array<number>(ends.length).fill(0)
  const timeAtRiskDays = new Array<number>(ends.length).fill(0)
  for (let i = ends.length - 1, later = 0; i >= 0; i--) {
    const from = i === 0 ? 0 : protocol.gridDays[ends[i - 1]!]!
    const exits = endpoint[i]! + competing[i]! + censored[i]!
    const whole = later * (protocol.gridDays[ends[i]!]! - from)
    timeAtRiskDays[i] = whole + (exitDays[i]! - from * exits) - (entryDays[i]! - from * entered[i]!)
    later += exits
    atRisk[i] = later
    later -= entered[i]!
  }
  return { group, atRisk, endpoint, competing, censored, entered, timeAtRiskDays }
}
