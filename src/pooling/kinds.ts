import type { SealedKind } from './seal.js'
import {
  answerFormat,
  answerSchema,
  type RoundAnswer,
  type RoundRequest,
  requestFormat,
  requestSchema,
  type SiteSummary,
  summaryFormat,
  summarySchema,
} from './summarySchema.js'

/** How a site summary is read. */
export const summaryKind: SealedKind<SiteSummary> = Object.freeze({
  schema: summarySchema,
  format: summaryFormat,
  words: 'site summary',
})

/** How a request for a round is read. */
export const requestKind: SealedKind<RoundRequest> = Object.freeze({
  schema: requestSchema,
  format: requestFormat,
  words: 'round request',
})

/** How a site's answer to a round is read. */
export const answerKind: SealedKind<RoundAnswer> = Object.freeze({
  schema: answerSchema,
  format: answerFormat,
  words: 'round answer',
})
