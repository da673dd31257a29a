import { answerRound } from './answerRound.js'
import { type PooledModel, pooledModel, type Round } from './pooledModel.js'
import type { AgreedProtocol } from './protocol.js'
import type { SiteRows } from './siteRows.js'
import type { MadeSummary } from './siteSummary.js'
import type { RoundAnswer, RoundRequest, SiteSummary } from './summarySchema.js'

/** A site that answers the rounds of the model, where site and coordinator run in one process. */
export interface AnsweringSite {
  /** All that leaves the site. */
  readonly summary: SiteSummary
  /** Answers a request of the coordinator with sums over its own restorations. */
  answer(request: RoundRequest): RoundAnswer
}

/** A site with its rows; it keeps the record of what it has answered. */
export function answeringSite(rows: SiteRows, agreed: AgreedProtocol, made: MadeSummary): AnsweringSite {
  let { record } = made
  return Object.freeze({
    summary: made.summary,
    answer: (request: RoundRequest) => {
      const answered = answerRound(rows, agreed, made, record, request)
      record = answered.record
      return answered.answer
    },
  })
}

/** Goes through the rounds of the model until it settles or cannot; the protocol bounds their number. */
export function throughRounds(
  sites: readonly AnsweringSite[],
  agreed: AgreedProtocol,
): { readonly model: PooledModel; readonly rounds: readonly Round[] } {
  const summaries = sites.map(({ summary }) => summary)
  const rounds: Round[] = []
  for (;;) {
    const model = pooledModel(summaries, rounds, agreed)
    if (model.state !== 'next-round') return { model, rounds }
    const { request } = model
    const taking = sites.filter(({ summary }) => summary.model.state === 'given')
    rounds.push({ request, answers: taking.map((site) => site.answer(request)) })
  }
}
