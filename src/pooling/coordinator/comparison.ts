import {
  type Contrast,
  type Interval,
  isNumber,
  type NotEstimable,
  noInterval,
  notEstimable,
  type PlainReason,
  type TestResult,
} from '../../core/estimate.js'
import { methodOf } from '../../core/method.js'
import { betweenGroups } from '../../statistics/meta/summedScores.js'
import {
  chiSquareUpperTail,
  normalUpperQuantile,
  studentTQuantile,
} from '../../statistics/numeric/distributions.js'
import { endParts, nodeParts, nodesOf, type Sums } from '../protocol/layout.js'
import { fewestForBetween, fewestSites, type Protocol } from '../protocol/protocol.js'
import { patientsOfBoth } from './cells.js'

/** Fewer patients with an event than this make the interval rest on the t distribution. */
const fewPatients = 50

/** The two groups set against each other. */
export interface Comparison {
  /** Practices in which both groups were at risk when something happened. */
  readonly practices: number
  readonly hazardRatio: Contrast
  /** The hazard ratio with every event on the day of its finding, and right after its last clean look. */
  readonly ends: { readonly found: Contrast; readonly afterLastLook: Contrast }
  readonly rateRatio: Contrast
  readonly logRank: TestResult
  /** The same, with the variance summed over patients. */
  readonly logRankByPatient: TestResult
}

/** The hazard ratio where practices may differ. */
export type BetweenPractices =
  | NotEstimable
  | {
      readonly state: 'estimated'
      readonly interval: Interval
      /** Standard deviation of the practices' own log hazard ratios. */
      readonly tau: number
      readonly degreesOfFreedom: number
      readonly standardError: number
    }

/** What of the log hazard ratio follows from the sums at the nodes. */
interface Solved {
  readonly log: number
  readonly error: number
  readonly information: number
  readonly squaredScores: number
  readonly squaredInformations: number
}

/** Compares the two groups from sums; where too few practices compare them, nothing of it may be shown. */
export function comparisonOf(
  sums: Sums,
  protocol: Protocol,
  endpoint: string,
  shown: boolean,
  { route, sites }: { readonly route: 'sums' | 'rows'; readonly sites: readonly unknown[] },
): { readonly comparison: Comparison; readonly between: BetweenPractices } {
  const read = (name: string): Float64Array => sums[`${endpoint}/${name}`]!
  const practices = read('comparing')[0]!
  const withEvent = read('patientsWithEventAll')[0]!
  const fewest = route === 'rows' ? 1 : fewestSites
  const enough =
    (shown || route === 'rows') &&
    practices >= fewest &&
    (route === 'rows' || withEvent >= protocol.threshold)
  const both = (name: string): number => read(name)[0]! + read(name)[1]!
  // Of a group that is withheld not even what the two hold together: it less the other would be the withheld one.
  const about =
    shown || route === 'rows'
      ? {
          n: both('restorations'),
          events: both('events'),
          clusters: patientsOfBoth(sums, endpoint, route === 'rows' ? 0 : protocol.threshold).atLeast,
        }
      : { n: 0, events: 0, clusters: 0 }
  const reason = enough ? 'ratio-beyond-protocol' : 'too-few-compare-the-groups'
  const solved = enough ? solvedAt(read('nodes'), protocol, nodeParts) : undefined
  const digits =
    route === 'rows'
      ? (value: number): number => value
      : (value: number): number => Number(value.toPrecision(3))
  const comparator = { group: protocol.groups.group, against: protocol.groups.against }
  const common = { ...about, level: protocol.level, warnings: [], reference: 'pooled-sums', comparator }
  const end = (name: string): Contrast => {
    const own = enough ? solvedAt(read(name), protocol, endParts) : undefined
    return { ...common, ...hazardRatio(own, protocol, withEvent, reason, digits) }
  }
  const comparison: Comparison = {
    practices: enough ? practices : 0,
    hazardRatio: { ...common, ...hazardRatio(solved, protocol, withEvent, reason, digits) },
    ends: { found: end('nodesFound'), afterLastLook: end('nodesClear') },
    rateRatio: { ...common, ...rateRatio(read('mantelHaenszel'), protocol, enough, reason) },
    logRank: test(enough, read('logRank')[0]!, read('logRank')[1]!, {
      method: methodOf('log-rank-test-stratified-by-clinic'),
      ...about,
    }),
    logRankByPatient: test(enough, read('logRank')[0]!, read('logRank')[2]!, {
      method: methodOf('log-rank-test-stratified-by-clinic', 'variance-robust-by-patient'),
      ...about,
    }),
  }
  return { comparison, between: betweenPractices(solved, protocol, sites.length, practices, enough, digits) }
}

function solvedAt(nodes: Float64Array, protocol: Protocol, parts: readonly string[]): Solved | undefined {
  const part = (name: string): readonly number[] =>
    Array.from({ length: protocol.nodes.count }, (_one, j) => nodes[j * parts.length + parts.indexOf(name)]!)
  const information = part('information')
  const slopes = information.map((one) => -one)
  const log = crossing(throughWithSlopes(part('score'), slopes, protocol), protocol)
  if (log === undefined) return undefined
  const at = (name: string): number => (parts.includes(name) ? through(part(name), protocol)(log) : 0)
  const total = at('information')
  const squares = at('patientSquares')
  if (!(total > 0.05) || !(squares > 0)) return undefined
  return {
    log,
    error: Math.sqrt(squares) / total,
    information: total,
    squaredScores: at('siteScoreSquare'),
    squaredInformations: at('siteInformationSquare'),
  }
}

function hazardRatio(
  solved: Solved | undefined,
  protocol: Protocol,
  patientsWithEvent: number,
  reason: PlainReason,
  digits: (value: number) => number,
): Pick<Contrast, 'estimate' | 'interval' | 'method' | 'standardError'> {
  const fitted = {
    method: methodOf('cox-regression-stratified-by-clinic', 'efron-s-ties', 'variance-robust-by-patient'),
  }
  if (solved === undefined) return { estimate: notEstimable(reason), interval: noInterval(reason), ...fitted }
  const { log } = solved
  const error = digits(solved.error)
  const few = patientsWithEvent < fewPatients
  const critical =
    few && patientsWithEvent > 2
      ? studentTQuantile((1 + protocol.level) / 2, patientsWithEvent - 2)
      : normalUpperQuantile((1 - protocol.level) / 2)
  return {
    estimate: digits(Math.exp(log)),
    interval: {
      lower: digits(Math.exp(log - critical * error)),
      upper: digits(Math.exp(log + critical * error)),
    },
    standardError: { value: error, scale: 'log hazard ratio' },
    method: few ? methodOf(...fitted.method, 't-distribution') : fitted.method,
  }
}

function rateRatio(
  [above, below, spread]: Float64Array,
  protocol: Protocol,
  enough: boolean,
  reason: PlainReason,
): Pick<Contrast, 'estimate' | 'interval' | 'method' | 'standardError'> {
  const summed = {
    method: methodOf(
      'rate-ratio-by-mantel-and-haenszel',
      'stratified-by-clinic',
      'restorations-as-independent',
    ),
  }
  // Rounded sums below a part of 128 are none.
  if (!enough || !(above! > 1 / 64) || !(below! > 1 / 64))
    return { estimate: notEstimable(reason), interval: noInterval(reason), ...summed }
  const ratio = above! / below!
  const error = Math.sqrt(spread! / (above! * below!))
  const factor = Math.exp(normalUpperQuantile((1 - protocol.level) / 2) * error)
  return {
    estimate: ratio,
    interval: { lower: ratio / factor, upper: ratio * factor },
    standardError: { value: error, scale: 'log rate ratio' },
    ...summed,
  }
}

function test(
  enough: boolean,
  score: number,
  variance: number,
  about: Pick<TestResult, 'method' | 'n' | 'events' | 'clusters'>,
): TestResult {
  const none = notEstimable(enough ? 'no-event-while-both-at-risk' : 'too-few-compare-the-groups')
  const statistic = enough && variance > 0 ? (score * score) / variance : none
  return {
    statistic,
    degreesOfFreedom: 1,
    pValue: isNumber(statistic) ? chiSquareUpperTail(statistic, 1) : none,
    ...about,
    warnings: [],
    reference: 'pooled-sums',
  }
}

function betweenPractices(
  solved: Solved | undefined,
  { level }: Protocol,
  sites: number,
  practices: number,
  enough: boolean,
  digits: (value: number) => number,
): BetweenPractices {
  if (sites < fewestForBetween) return notEstimable('fewer-practices-than', { practices: fewestForBetween })
  if (!enough || solved === undefined) return { state: 'not-estimable', reason: 'no-hazard-ratio' }
  const { information, squaredInformations } = solved
  if (practices < fewestSites || squaredInformations >= 0.9 * information * information)
    return { state: 'not-estimable', reason: 'one-practice-carries-comparison' }
  const found = betweenGroups(
    {
      estimate: solved.log,
      groups: practices,
      information,
      squaredScores: Math.max(0, solved.squaredScores),
      squaredInformations,
    },
    { level },
  )
  return {
    state: 'estimated',
    interval: {
      lower: digits(Math.exp(found.interval.lower)),
      upper: digits(Math.exp(found.interval.upper)),
    },
    tau: digits(Math.sqrt(found.tauSquared)),
    degreesOfFreedom: found.degreesOfFreedom,
    standardError: digits(found.standardError),
  }
}

/** A function on the interval of the nodes. */
export type Along = (logHazardRatio: number) => number

/** The polynomial through values at Chebyshev nodes, by the second barycentric formula (Berrut and Trefethen 2004). */
export function through(values: ArrayLike<number>, protocol: Pick<Protocol, 'nodes'>): Along {
  const nodes = nodesOf(protocol)
  const { count } = protocol.nodes
  const weights = nodes.map(
    (_node, j) => (j % 2 === 0 ? 1 : -1) * Math.sin(((2 * j + 1) * Math.PI) / (2 * count)),
  )
  return (x) => {
    let above = 0
    let below = 0
    for (let j = 0; j < count; j++) {
      const apart = x - nodes[j]!
      if (apart === 0) return values[j]!
      above += (weights[j]! / apart) * values[j]!
      below += weights[j]! / apart
    }
    return above / below
  }
}

/**
 * The polynomial through values and slopes at Chebyshev nodes (Hermite). The score's slope is the information with the
 * other sign, so that both together give it to twice the number of nodes.
 */
export function throughWithSlopes(
  values: ArrayLike<number>,
  slopes: ArrayLike<number>,
  protocol: Pick<Protocol, 'nodes'>,
): Along {
  const { count, largest } = protocol.nodes
  const nodes = nodesOf(protocol).map((node) => node / largest)
  return (x) => {
    const at = x / largest
    let sum = 0
    for (let j = 0; j < count; j++) {
      const apart = at - nodes[j]!
      const cardinal = cardinalAt(at, j, nodes, count)
      const bend = nodes[j]! / (1 - nodes[j]! * nodes[j]!)
      sum += cardinal * cardinal * ((1 - bend * apart) * values[j]! + apart * largest * slopes[j]!)
    }
    return sum
  }
}

/** The polynomial that is 1 at one node and 0 at the others. */
function cardinalAt(at: number, j: number, nodes: readonly number[], count: number): number {
  const apart = at - nodes[j]!
  if (Math.abs(apart) < 1e-12) return 1
  const angle = Math.acos(Math.max(-1, Math.min(1, at)))
  const weight = (j % 2 === 0 ? 1 : -1) * Math.sin(((2 * j + 1) * Math.PI) / (2 * count))
  return (Math.cos(count * angle) * weight) / (count * apart)
}

/** Where a falling function crosses 0 on the interval of the nodes; undefined where it does not. */
export function crossing(score: Along, { nodes: { largest } }: Pick<Protocol, 'nodes'>): number | undefined {
  let [low, high] = [-largest, largest]
  if (!(score(low) > 0 && score(high) < 0)) return undefined
  for (let step = 0; step < 80; step++) {
    const middle = (low + high) / 2
    if (score(middle) > 0) low = middle
    else high = middle
  }
  return (low + high) / 2
}
