import { fromWholeNumbers, layoutOf, roundLayout } from '../protocol/layout.js'
import {
  type Answer,
  agreedOfList,
  type List,
  listHash,
  type RoundRequest,
  type Totals,
} from '../protocol/messages.js'
import { type ModelAt, modelAt, nextCoefficients, settledStep } from '../protocol/newton.js'
import { type KeyTexts, signed } from '../protocol/signing.js'
import { type Coefficients, zeroCoefficients } from '../site/checkRequest.js'
import { gathered } from './gather.js'

/** Where the models in rounds stand. */
export interface ModelsAt {
  /** By endpoint; absent where the sums hold no information. */
  readonly models: Readonly<
    Record<string, { readonly at: ModelAt; readonly rounds: number; readonly settled: boolean }>
  >
  /** The request that is open: new, or sent before. */
  readonly request?: RoundRequest
  /** Practices whose answer to the open request is missing. */
  readonly missing: readonly string[]
}

/**
 * Goes through the rounds of the models as far as the answers reach: each request asks for the step that the totals of
 * the round before give, and a model stands where the last complete round left it.
 *
 * @param sent requests that were sent before, in order
 */
export function modelsAt(
  list: List,
  totals: Totals,
  answers: readonly Answer[],
  coordinator: KeyTexts,
  sent: readonly RoundRequest[],
): ModelsAt {
  const { protocol } = agreedOfList(list)
  if (protocol.covariates.length === 0) return { models: {}, missing: [] }
  const models: Record<string, { at: ModelAt; rounds: number; settled: boolean }> = {}
  let coefficients: Coefficients = zeroCoefficients(protocol)
  let before = totals
  for (let round = 1; ; round++) {
    const sums = fromWholeNumbers(before.values, round === 1 ? layoutOf(protocol) : roundLayout(protocol))
    const next: Record<string, number[] | null> = {}
    for (const endpoint of protocol.endpoints) {
      const from = coefficients[endpoint] ?? null
      const at = from === null ? undefined : modelAt(sums, protocol, endpoint, from)
      if (at !== undefined) {
        const settled = at.step.every((one) => Math.abs(one) < settledStep)
        models[endpoint] = { at, rounds: round, settled }
      }
      const step = nextCoefficients(at)
      next[endpoint] = step === undefined ? null : [...step]
    }
    const over = Object.values(next).every((one) => one === null) || round > protocol.mostRounds
    if (over) return { models, missing: [] }
    const request =
      sent.find((one) => one.round === round) ?? requestOf(list, round, next, before, coordinator)
    const found = gathered(list, answers, coordinator, request)
    if (found.state === 'waiting') return { models, request, missing: found.names }
    before = found.totals
    coefficients = request.coefficients
  }
}

function requestOf(
  list: List,
  round: number,
  coefficients: Record<string, number[] | null>,
  before: Totals,
  coordinator: KeyTexts,
): RoundRequest {
  const content = {
    format: 'holdfast-round-1' as const,
    listHash: listHash(list),
    round,
    coefficients,
    before,
    coordinator: coordinator.open,
  }
  return signed(content, coordinator.secret)
}
