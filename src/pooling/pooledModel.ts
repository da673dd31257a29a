import { type Contrast, noInterval, type Warning, warning } from '../core/estimate.js'
import { deepFreeze } from '../core/plain.js'
import { normalUpperQuantile, studentTQuantile } from '../statistics/numeric/distributions.js'
import { choleskyFactor, invertFactored, sandwich, solveFactored } from '../statistics/numeric/matrix.js'
import { fewClustersBelow, fewClustersWarning } from '../statistics/regression/coxTests.js'
import type { AgreedProtocol } from './protocol.js'
import { sealed } from './seal.js'
import {
  type RoundAnswer,
  type RoundRequest,
  requestFormat,
  type SharedModel,
  type SiteSummary,
} from './summarySchema.js'

/** Longest last step, in any coefficient, at which the coefficients have settled. */
const settledStep = 1e-6

/** A hazard ratio of the pooled model. */
export interface PooledHazardRatio extends Contrast {
  readonly name: string
}

/** Where the pooled model stands. */
export type PooledModel =
  | { readonly state: 'not-estimable'; readonly reason: string }
  | { readonly state: 'next-round'; readonly request: RoundRequest }
  | { readonly state: 'waiting'; readonly round: number; readonly clinics: readonly string[] }
  | {
      readonly state: 'settled'
      readonly hazardRatios: readonly PooledHazardRatio[]
      readonly coefficients: readonly number[]
      readonly covariance: readonly (readonly number[])[]
      readonly rounds: number
      readonly clinics: readonly string[]
      readonly logLikelihood: number
    }

/** A request with the answers to it. */
export interface Round {
  readonly request: RoundRequest
  readonly answers: readonly RoundAnswer[]
}

interface Sums {
  readonly coefficients: readonly number[]
  readonly logLikelihood: number
  readonly score: Float64Array
  readonly information: Float64Array
}

/**
 * Takes the stratified model one round further by Newton's method: sums of the sites' scores and informations are those
 * of their rows together, since no risk set spans two sites. When the coefficients have settled, one last round brings
 * the outer products of patients' scores for the robust variance (Lin and Wei 1989).
 *
 * @param summaries accepted summaries; those without a part in the model are passed over
 * @param rounds requests so far with their answers, in any order; those that rest on other summaries are passed over
 */
export function pooledModel(
  summaries: readonly SiteSummary[],
  rounds: readonly Round[],
  agreed: AgreedProtocol,
  key?: string,
): PooledModel {
  const sites = summaries.filter(({ model }) => model.state === 'given')
  if (sites.length === 0) return notToBeHad('no site has a part in the model')
  const used = [...rounds]
    .filter(({ request }) => restsOn(request, sites, agreed))
    .sort((left, right) => left.request.round - right.request.round)
  const highest = Math.max(0, ...rounds.map(({ request }) => request.round))
  const last = used[used.length - 1]
  if (last === undefined) return next(undefined, startSums(sites), sites, agreed, highest + 1, false, key)
  const answers = sites.map((site) => answerOf(last, site))
  const missing = sites.filter((_site, i) => answers[i] === undefined)
  if (missing.length > 0) {
    return { state: 'waiting', round: last.request.round, clinics: missing.map(({ clinic }) => clinic) }
  }
  const sums = summed(answers.map((answer) => answer!.sums))
  const earlier = used[used.length - 2]
  const before =
    earlier !== undefined && sites.every((site) => answerOf(earlier, site) !== undefined)
      ? summed(sites.map((site) => answerOf(earlier, site)!.sums))
      : startSums(sites)
  const step = stepOf(sums)
  if (step === undefined) return notToBeHad('the sites together hold no information on some coefficient')
  if (last.request.final && step.every((one) => Math.abs(one) < settledStep)) {
    return settled(sums, answers as readonly RoundAnswer[], sites, agreed, last.request.round)
  }
  return next(before, sums, sites, agreed, highest + 1, last.request.final, key)
}

function notToBeHad(reason: string): PooledModel {
  return { state: 'not-estimable', reason }
}

function restsOn(request: RoundRequest, sites: readonly SiteSummary[], agreed: AgreedProtocol): boolean {
  return (
    request.protocolHash === agreed.hash &&
    sites.every((site) => request.sites.some(({ checksum }) => checksum === site.checksum))
  )
}

function answerOf({ request, answers }: Round, site: SiteSummary): RoundAnswer | undefined {
  return answers.find(
    (answer) =>
      answer.summary === site.checksum &&
      answer.round === request.round &&
      answer.sums.coefficients.join() === request.coefficients.join(),
  )
}

function startSums(sites: readonly SiteSummary[]): Sums {
  return summed(sites.map(({ model }) => (model as SharedModel).atStart))
}

function summed(parts: readonly SharedModel['atStart'][]): Sums {
  const size = parts[0]!.score.length
  const score = new Float64Array(size)
  const information = new Float64Array(size * size)
  let logLikelihood = 0
  for (const part of parts) {
    logLikelihood += part.logLikelihood
    part.score.forEach((one, j) => {
      score[j]! += one
    })
    addMatrix(information, part.information)
  }
  return { coefficients: parts[0]!.coefficients, logLikelihood, score, information }
}

function addMatrix(sum: Float64Array, matrix: readonly (readonly number[])[]): void {
  const flat = matrix.flat()
  for (let i = 0; i < sum.length; i++) sum[i]! += flat[i]!
}

function stepOf({ score, information }: Sums): readonly number[] | undefined {
  const factor = choleskyFactor(information, score.length)
  return factor.dependent.length > 0 ? undefined : Array.from(solveFactored(factor, score))
}

/** The next request: a Newton step on, or half way back where the likelihood fell. */
function next(
  before: Sums | undefined,
  sums: Sums,
  sites: readonly SiteSummary[],
  agreed: AgreedProtocol,
  round: number,
  wasFinal: boolean,
  key: string | undefined,
): PooledModel {
  const { largestCoefficient, mostRounds } = agreed.protocol
  const step = stepOf(sums)
  if (step === undefined) return notToBeHad('the sites together hold no information on some coefficient')
  const fell = before !== undefined && !wasFinal && sums.logLikelihood < before.logLikelihood - 1e-9
  const coefficients = sums.coefficients.map((one, j) =>
    fell ? (one + before.coefficients[j]!) / 2 : one + step[j]!,
  )
  if (coefficients.some((one) => Math.abs(one) > largestCoefficient)) {
    return notToBeHad('a coefficient runs away, as where one group has no event in any clinic')
  }
  if (round > mostRounds) return notToBeHad(`the coefficients have not settled in ${mostRounds} rounds`)
  const final = !fell && step.every((one) => Math.abs(one) < settledStep)
  const content = {
    format: requestFormat,
    protocolHash: agreed.hash,
    round,
    final,
    coefficients,
    sites: sites.map(({ clinic, release, checksum }) => ({ clinic, release, checksum })),
  }
  return deepFreeze({ state: 'next-round', request: sealed(content, key) as RoundRequest })
}

function settled(
  sums: Sums,
  answers: readonly RoundAnswer[],
  sites: readonly SiteSummary[],
  agreed: AgreedProtocol,
  round: number,
): PooledModel {
  const size = sums.score.length
  const meat = new Float64Array(size * size)
  for (const { outerProducts } of answers) {
    if (outerProducts === null) return notToBeHad('a site answered the last round without outer products')
    addMatrix(meat, outerProducts)
  }
  const covariance = sandwich(invertFactored(choleskyFactor(sums.information, size)), meat, size)
  return deepFreeze({
    state: 'settled',
    hazardRatios: hazardRatios(sums.coefficients, covariance, sites, agreed),
    coefficients: sums.coefficients,
    covariance: sums.coefficients.map((_one, a) =>
      sums.coefficients.map((_other, b) => covariance[a * size + b]!),
    ),
    rounds: round,
    clinics: sites.map(({ clinic }) => clinic),
    logLikelihood: sums.logLikelihood,
  })
}

function hazardRatios(
  coefficients: readonly number[],
  covariance: Float64Array,
  sites: readonly SiteSummary[],
  agreed: AgreedProtocol,
): readonly PooledHazardRatio[] {
  const { level, groups, model } = agreed.protocol
  const models = sites.map((site) => site.model as SharedModel)
  const total = (read: (model: SharedModel) => number): number =>
    models.reduce((sum, one) => sum + read(one), 0)
  const clusters = sites.reduce(
    (sum, { patients, restorations }) => sum + (typeof patients === 'number' ? patients : restorations),
    0,
  )
  const few = clusters < fewClustersBelow
  const critical = few
    ? studentTQuantile((1 + level) / 2, clusters - 1)
    : normalUpperQuantile((1 - level) / 2)
  const warnings = modelWarnings(models, clusters)
  const against = [
    groups.against,
    ...model.covariates.flatMap(({ levels }) => levels.slice(1).map(() => levels[0]!)),
  ]
  return models[0]!.names.map((name, j) => {
    const variance = covariance[j * coefficients.length + j]!
    const error = Math.sqrt(variance)
    const log = coefficients[j]!
    const none = clusters < 2 || !(variance > 0)
    return {
      name,
      estimate: Math.exp(log),
      interval: none
        ? noInterval('too few patients for a robust variance')
        : { lower: Math.exp(log - critical * error), upper: Math.exp(log + critical * error) },
      ...(none ? {} : { standardError: { value: error, scale: 'log hazard ratio' } }),
      level,
      method: "Cox regression stratified by clinic in rounds, Efron's ties, variance robust by patient",
      n: total((one) => one.restorations),
      events: total((one) => one.events),
      clusters,
      warnings,
      reference: 'pooled-cox',
      comparator: { group: name, against: against[j]! },
    }
  })
}

function modelWarnings(models: readonly SharedModel[], clusters: number): readonly Warning[] {
  const single = models.filter(({ outerProductsOver }) => outerProductsOver === 'restorations').length
  return [
    ...(clusters > 1 && clusters < fewClustersBelow ? [fewClustersWarning(clusters)] : []),
    ...(single === 0
      ? []
      : [
          warning(
            'sites-by-restoration',
            `${single} of ${models.length} sites have too few patients with several restorations to sum over patients; theirs count as independent.`,
          ),
        ]),
  ]
}
