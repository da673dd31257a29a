import type { ModelSums } from './modelSums.js'

/** Restorations that are alike in everything that the model sees. */
export interface ModelClass {
  readonly block: number
  readonly covariates: readonly number[]
  readonly event: boolean
  /** Interval in which they leave, and the one at the start of which they enter, 0 from the start. */
  readonly exit: number
  readonly entry: number
  readonly restorations: number
}

/** What a clinic adds to the model, from counts, with the score of one restoration of each class. */
export interface CountedSums extends ModelSums {
  readonly scores: readonly (readonly number[])[]
}

/** Sums over the tied events of one interval of one block. */
interface Step {
  readonly logLikelihood: number
  readonly score: number[]
  readonly information: number[][]
  /** Sum of 1 / S₀ and of mean / S₀ over ties, for all at risk. */
  readonly hazard: number
  readonly mean: number[]
  /** The same, for those that have the event. */
  readonly ownHazard: number
  readonly ownMean: number[]
  /** Mean over ties of the weighted mean of the covariates. */
  readonly average: number[]
}

/**
 * Score and information of the stratified model (Cox 1972, ties by Efron 1977) from counts of classes: the same as
 * `modelSums` of the rows, whoever holds them. That they can be had from counts is why no coefficients of a round bring
 * out more than the counts.
 */
export function countedSums(classes: readonly ModelClass[], coefficients: readonly number[]): CountedSums {
  const size = coefficients.length
  const risk = classes.map(({ covariates }) => Math.exp(dot(covariates, coefficients)))
  const steps = new Map<string, Step>()
  const score = new Array<number>(size).fill(0)
  const information = coefficients.map(() => new Array<number>(size).fill(0))
  let logLikelihood = 0
  for (const { block, exit } of classes.filter(({ event }) => event)) {
    const key = `${block} ${exit}`
    if (steps.has(key)) continue
    const step = stepOf(classes, risk, coefficients, block, exit)
    steps.set(key, step)
    logLikelihood += step.logLikelihood
    for (let a = 0; a < size; a++) {
      score[a]! += step.score[a]!
      for (let b = 0; b < size; b++) information[a]![b]! += step.information[a]![b]!
    }
  }
  const scores = classes.map((one, c) => scoreOf(one, risk[c]!, steps))
  return { logLikelihood, score, information, scores }
}

/** Outer products of the scores of restorations, each by itself. */
export function countedOuterProducts(
  classes: readonly ModelClass[],
  { scores }: CountedSums,
): readonly (readonly number[])[] {
  const size = scores[0]?.length ?? 0
  return Array.from({ length: size }, (_row, a) =>
    Array.from({ length: size }, (_column, b) =>
      classes.reduce((sum, { restorations }, c) => sum + restorations * scores[c]![a]! * scores[c]![b]!, 0),
    ),
  )
}

function stepOf(
  classes: readonly ModelClass[],
  risk: readonly number[],
  coefficients: readonly number[],
  block: number,
  interval: number,
): Step {
  const size = coefficients.length
  const all = moments(size)
  const own = moments(size)
  let events = 0
  const total = new Array<number>(size).fill(0)
  classes.forEach((one, c) => {
    if (one.block !== block || one.exit < interval || one.entry > interval) return
    addTo(all, one, risk[c]!)
    if (!one.event || one.exit !== interval) return
    addTo(own, one, risk[c]!)
    events += one.restorations
    one.covariates.forEach((x, a) => {
      total[a]! += one.restorations * x
    })
  })
  return tied(all, own, events, total, dot(total, coefficients))
}

/** Walks through the tied events, each with its share of those that have the event taken out of the risk set. */
function tied(all: Moments, own: Moments, events: number, total: readonly number[], linear: number): Step {
  const size = total.length
  const zeros = (): number[] => new Array<number>(size).fill(0)
  const step = {
    logLikelihood: linear,
    score: [...total],
    information: total.map(zeros),
    hazard: 0,
    mean: zeros(),
    ownHazard: 0,
    ownMean: zeros(),
    average: zeros(),
  }
  const mean = zeros()
  for (let tie = 0; tie < events; tie++) {
    const share = tie / events
    const weight = all.zeroth - share * own.zeroth
    step.logLikelihood -= Math.log(weight)
    step.hazard += 1 / weight
    step.ownHazard += (1 - share) / weight
    for (let a = 0; a < size; a++) {
      mean[a] = (all.first[a]! - share * own.first[a]!) / weight
      step.score[a]! -= mean[a]!
      step.mean[a]! += mean[a]! / weight
      step.ownMean[a]! += ((1 - share) * mean[a]!) / weight
      step.average[a]! += mean[a]! / events
    }
    for (let a = 0; a < size; a++) {
      for (let b = 0; b < size; b++) {
        const second = (all.second[a]![b]! - share * own.second[a]![b]!) / weight
        step.information[a]![b]! += second - mean[a]! * mean[b]!
      }
    }
  }
  return step
}

interface Moments {
  zeroth: number
  readonly first: number[]
  readonly second: number[][]
}

function moments(size: number): Moments {
  const zeros = (): number[] => new Array<number>(size).fill(0)
  return { zeroth: 0, first: zeros(), second: Array.from({ length: size }, zeros) }
}

function addTo(sums: Moments, { covariates, restorations }: ModelClass, risk: number): void {
  const weight = restorations * risk
  sums.zeroth += weight
  covariates.forEach((x, a) => {
    sums.first[a]! += weight * x
    covariates.forEach((y, b) => {
      sums.second[a]![b]! += weight * x * y
    })
  })
}

/** Score of one restoration: what it had, less what was to be expected while it was at risk (Lin and Wei 1989). */
function scoreOf(one: ModelClass, risk: number, steps: ReadonlyMap<string, Step>): readonly number[] {
  const score = one.covariates.map(() => 0)
  for (let interval = one.entry; interval <= one.exit; interval++) {
    const step = steps.get(`${one.block} ${interval}`)
    if (step === undefined) continue
    const last = one.event && interval === one.exit
    one.covariates.forEach((x, a) => {
      const hazard = last ? step.ownHazard : step.hazard
      const mean = last ? step.ownMean[a]! : step.mean[a]!
      score[a]! -= risk * (x * hazard - mean)
      if (last) score[a]! += x - step.average[a]!
    })
  }
  return score
}

function dot(left: readonly number[], right: readonly number[]): number {
  return left.reduce((sum, value, i) => sum + value * right[i]!, 0)
}
