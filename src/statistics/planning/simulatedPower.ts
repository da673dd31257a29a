import { daysPerYear } from '../../core/calendar.js'
import { NumericalError } from '../../core/errors.js'
import { type Interval, type Warning, warning } from '../../core/estimate.js'
import { type MethodName, methodOf } from '../../core/method.js'
import { type RandomStream, randomStream } from '../../core/random.js'
import { checked } from '../kernel/checked.js'
import { normalUpperQuantile, studentTQuantile } from '../numeric/distributions.js'
import { wilsonLimits } from '../proportions/proportionLimits.js'
import { requireAbove, requireShare } from './planningOptions.js'

/** The study to be simulated. */
export interface SimulatedDesign {
  /** Patients in the study. */
  readonly patients: number
  /** Hazard ratio of group 1 against group 0, within patients of equal frailty. */
  readonly hazardRatio: number
  /** Risk of the event in group 0 over `horizonYears`, averaged over patients. */
  readonly risk: number
  /** Years to which `risk` refers; default 1. */
  readonly horizonYears?: number
  /** Weibull shape of the hazard; default 1, constant; below 1 it falls with time. */
  readonly shape?: number
  /** Probabilities that a patient holds 1, 2, 3, … units; default [1]. */
  readonly unitsPerPatient?: readonly number[]
  /** Variance of the gamma frailty that units of one patient share; default 0. */
  readonly frailtyVariance?: number
  /** Share of patients, or of units, in group 1; default 0.5. */
  readonly allocation?: number
  /** Whether whole patients or single units are allocated; default 'patient'. */
  readonly allocatedBy?: 'patient' | 'unit'
  /** Shortest and longest follow-up in years, uniform between; default [5, 5]. */
  readonly followUpYears?: readonly [number, number]
  /** Share of patients lost per year; default 0. */
  readonly lostPerYear?: number
  /** Years between checks at which the event is found; default 1. */
  readonly recallYears?: number
  /** Standard deviation of the day of a check, in days; default 30. */
  readonly recallSpreadDays?: number
  /** Share of events that bring the patient in at once; default 0. */
  readonly reportedAtOnce?: number
}

/** Options of the simulation. */
export interface SimulationOptions {
  /** Two-sided type-I error; default 0.05. */
  readonly alpha?: number
  /** Simulated studies; default 1000. */
  readonly replicates?: number
  /** Seed, printed with the result; default 1. */
  readonly seed?: number
}

/** Power by simulation. */
export interface SimulatedPower {
  readonly power: number
  /** Monte Carlo interval of the power (Wilson, 95%). */
  readonly interval: Interval
  readonly monteCarloStandardError: number
  readonly replicates: number
  /** Replicates in which the test could not be made, counted as not significant. */
  readonly untestable: number
  readonly meanUnits: number
  readonly meanEvents: number
  readonly seed: number
  readonly method: MethodName
  readonly warnings: readonly Warning[]
  readonly reference: string
}

/**
 * Power of the log-rank test with patient-robust variance for units that share patients and events that are
 * found at checks only, by simulating the study.
 *
 * Frailty is gamma, the hazard Weibull, losses exponential by patient; checks fall on recalls with a normal scatter.
 * An event between checks is dated by the check that finds it; units never checked are left out, as in the
 * toolkit's cohorts. Below 30 patients the reference is t. The same seed gives the same answer on any machine.
 *
 * @param design see SimulatedDesign
 * @param options alpha 0.05, replicates 1000, seed 1
 * @throws NumericalError `not-above`, `share-out-of-range`, `not-a-distribution`, `follow-up-order`
 * @example simulatedPower({ patients: 50, hazardRatio: 1, risk: 0.1 }, { replicates: 1 }).power // => 0
 */
export const simulatedPower = checked(
  'simulatedPower',
  (design: SimulatedDesign, options: SimulationOptions = {}): SimulatedPower => {
    const { alpha = 0.05, replicates = 1000, seed = 1 } = options
    requireShare('alpha', alpha)
    requireAbove('replicates', replicates)
    const whole = completed(design)
    let significant = 0
    let untestable = 0
    let units = 0
    let events = 0
    for (let replicate = 0; replicate < replicates; replicate++) {
      const study = simulatedStudy(whole, randomStream(seed, replicate))
      const test = robustLogRank(study.days, study.event, study.group, study.patient, whole.patients)
      units += study.days.length
      events += test.events
      if (!(test.variance > 0) || test.clusters < 2) {
        untestable++
        continue
      }
      const critical =
        test.clusters < 30 ? -studentTQuantile(alpha / 2, test.clusters - 1) : normalUpperQuantile(alpha / 2)
      if (Math.abs(test.score) > critical * Math.sqrt(test.variance)) significant++
    }
    const power = significant / replicates
    const [lower, upper] = wilsonLimits(power, replicates, normalUpperQuantile(0.025))
    return Object.freeze({
      power,
      interval: Object.freeze({ lower, upper }),
      monteCarloStandardError: Math.sqrt((power * (1 - power)) / replicates),
      replicates,
      untestable,
      meanUnits: units / replicates,
      meanEvents: events / replicates,
      seed,
      method: methodOf('simulation', 'log-rank-test-with-patient-robust-variance'),
      warnings: Object.freeze(untestableWarning(untestable, replicates)),
      reference: 'power-by-simulation',
    })
  },
)

type CompleteDesign = Required<SimulatedDesign> & { readonly cumulativeHazard: number }

function completed(design: SimulatedDesign): CompleteDesign {
  const whole = {
    horizonYears: 1,
    shape: 1,
    unitsPerPatient: [1],
    frailtyVariance: 0,
    allocation: 0.5,
    allocatedBy: 'patient' as const,
    followUpYears: [5, 5] as const,
    lostPerYear: 0,
    recallYears: 1,
    recallSpreadDays: 30,
    reportedAtOnce: 0,
    ...design,
  }
  for (const name of ['patients', 'hazardRatio', 'horizonYears', 'shape', 'recallYears'] as const) {
    requireAbove(name, whole[name])
  }
  requireShare('risk', whole.risk)
  requireShare('allocation', whole.allocation)
  for (const name of ['frailtyVariance', 'lostPerYear', 'recallSpreadDays', 'reportedAtOnce'] as const) {
    if (whole[name] !== 0) requireAbove(name, whole[name])
  }
  requireDistribution(whole.unitsPerPatient)
  requireFollowUp(whole.followUpYears)
  const theta = whole.frailtyVariance
  // The cumulative hazard at frailty 1 whose risk, averaged over the gamma frailty, is the one asked for.
  const cumulativeHazard =
    theta === 0 ? -Math.log1p(-whole.risk) : Math.expm1(-theta * Math.log1p(-whole.risk)) / theta
  return { ...whole, patients: Math.round(whole.patients), cumulativeHazard }
}

interface SimulatedStudy {
  readonly days: number[]
  readonly event: number[]
  readonly group: number[]
  readonly patient: number[]
}

function simulatedStudy(design: CompleteDesign, random: RandomStream): SimulatedStudy {
  const study: SimulatedStudy = { days: [], event: [], group: [], patient: [] }
  const { frailtyVariance: theta, followUpYears } = design
  for (let patient = 0; patient < design.patients; patient++) {
    const frailty = theta === 0 ? 1 : random.gamma(1 / theta) * theta
    const own = random.uniform() < design.allocation ? 1 : 0
    const end = followUpYears[0] + (followUpYears[1] - followUpYears[0]) * random.uniform()
    const lost =
      design.lostPerYear === 0
        ? Number.POSITIVE_INFINITY
        : random.exponential() / -Math.log1p(-Math.min(design.lostPerYear, 1 - 1e-9))
    const lastDay = Math.floor(Math.min(end, lost) * daysPerYear)
    const checks = checkDays(design, lastDay, random)
    const count = drawnCount(design.unitsPerPatient, random.uniform())
    for (let k = 0; k < count; k++) {
      const group = design.allocatedBy === 'patient' ? own : random.uniform() < design.allocation ? 1 : 0
      const hazard = frailty * design.cumulativeHazard * (group === 1 ? design.hazardRatio : 1)
      const years = design.horizonYears * (random.exponential() / hazard) ** (1 / design.shape)
      const atOnce = random.uniform() < design.reportedAtOnce
      record(study, years * daysPerYear, atOnce, checks, lastDay, group, patient)
    }
  }
  return study
}

function checkDays(design: CompleteDesign, lastDay: number, random: RandomStream): readonly number[] {
  const checks: number[] = []
  for (let recall = 1; ; recall++) {
    const planned = recall * design.recallYears * daysPerYear
    if (planned - 4 * design.recallSpreadDays > lastDay) break
    const day = Math.max(1, Math.round(planned + design.recallSpreadDays * random.normal()))
    if (day <= lastDay) checks.push(day)
  }
  return checks.sort((left, right) => left - right)
}

/** Adds what the practice would record: the day the event was found, or the last check without one. */
function record(
  study: SimulatedStudy,
  eventDay: number,
  atOnce: boolean,
  checks: readonly number[],
  lastDay: number,
  group: number,
  patient: number,
): void {
  const found = atOnce && eventDay <= lastDay ? Math.ceil(eventDay) : checks.find((day) => day >= eventDay)
  const day = found ?? checks[checks.length - 1]
  if (day === undefined) return
  study.days.push(day)
  study.event.push(found === undefined ? 0 : 1)
  study.group.push(group)
  study.patient.push(patient)
}

function drawnCount(probabilities: readonly number[], uniform: number): number {
  let sum = 0
  for (let i = 0; i < probabilities.length; i++) {
    sum += probabilities[i]!
    if (uniform < sum) return i + 1
  }
  return probabilities.length
}

function requireDistribution(probabilities: readonly number[]): void {
  const sum = probabilities.reduce((total, p) => total + p, 0)
  if (probabilities.every((p) => p >= 0) && Math.abs(sum - 1) < 1e-9) return
  throw new NumericalError({
    code: 'not-a-distribution',
    problem: `unitsPerPatient sums to ${sum}.`,
    expected: 'probabilities of 1, 2, 3, … units that sum to 1.',
    mend: 'divide the counts of patients by their total.',
  })
}

function requireFollowUp([shortest, longest]: readonly [number, number]): void {
  requireAbove('followUpYears', shortest)
  if (longest >= shortest && Number.isFinite(longest)) return
  throw new NumericalError({
    code: 'follow-up-order',
    problem: `follow-up runs from ${shortest} to ${longest} years.`,
    expected: 'the shortest follow-up first, then the longest.',
    mend: 'change the two round.',
  })
}

function untestableWarning(untestable: number, replicates: number): Warning[] {
  if (untestable === 0) return []
  return [warning('untestable-replicates', { untestable, replicates })]
}

/** Score of the log-rank test with the squared sums of its residuals by cluster. */
export interface RobustLogRank {
  /** Observed less expected events in the group coded 1. */
  readonly score: number
  /** Sum over clusters of the squared sum of their score residuals. */
  readonly variance: number
  readonly events: number
  readonly clusters: number
}

/**
 * Log-rank score with its cluster-robust variance (Lin and Wei 1989), for whole-day times without delayed entry. The
 * lean form that a simulation repeats thousands of times: counting by day, two passes.
 *
 * @param days whole days, 0 or more
 * @param event 1 where the event was seen
 * @param group 0 or 1
 * @param cluster numbers from 0 to below clusterCount
 */
export function robustLogRank(
  days: ArrayLike<number>,
  event: ArrayLike<number>,
  group: ArrayLike<number>,
  cluster: ArrayLike<number>,
  clusterCount: number,
): RobustLogRank {
  const n = days.length
  let last = 0
  for (let i = 0; i < n; i++) last = Math.max(last, days[i]!)
  const leaving = new Float64Array(last + 1)
  const leaving1 = new Float64Array(last + 1)
  const died = new Float64Array(last + 1)
  let ones = 0
  let events = 0
  for (let i = 0; i < n; i++) {
    const day = days[i]!
    leaving[day]!++
    leaving1[day]! += group[i]!
    died[day]! += event[i]!
    ones += group[i]!
    events += event[i]!
  }
  const share = new Float64Array(last + 1)
  const hazard = new Float64Array(last + 1)
  const weightedShare = new Float64Array(last + 1)
  let atRisk = n
  let atRisk1 = ones
  let hazardSum = 0
  let shareSum = 0
  for (let day = 0; day <= last; day++) {
    share[day] = atRisk1 / atRisk
    if (died[day]! > 0) {
      hazardSum += died[day]! / atRisk
      shareSum += (share[day]! * died[day]!) / atRisk
    }
    hazard[day] = hazardSum
    weightedShare[day] = shareSum
    atRisk -= leaving[day]!
    atRisk1 -= leaving1[day]!
  }
  const residual = new Float64Array(clusterCount)
  const seen = new Uint8Array(clusterCount)
  let score = 0
  for (let i = 0; i < n; i++) {
    const day = days[i]!
    const own = event[i]! * (group[i]! - share[day]!) - (group[i]! * hazard[day]! - weightedShare[day]!)
    residual[cluster[i]!]! += own
    seen[cluster[i]!] = 1
    score += own
  }
  let variance = 0
  let clusters = 0
  for (let c = 0; c < clusterCount; c++) {
    variance += residual[c]! ** 2
    clusters += seen[c]!
  }
  return { score, variance, events, clusters }
}
