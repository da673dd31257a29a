export { answerRound } from './answerRound.js'
export {
  combineSummaries,
  type PooledRate,
  type PooledResult,
  type PooledSite,
} from './combine.js'
export { answerKind, requestKind, summaryKind } from './kinds.js'
export type { PooledCurve, PooledHorizon, PooledStep } from './pooledCurves.js'
export type { PooledHazardRatio, PooledModel, Round } from './pooledModel.js'
export { poolRows } from './pooledRows.js'
export type { PooledSynthesis, SiteRatio } from './pooledSynthesis.js'
export { type AgreedProtocol, exampleProtocol, type Protocol, readProtocol } from './protocol.js'
export type { ReleaseRecord } from './releases.js'
export { readSealed } from './seal.js'
export { type SiteComparison, siteComparisons } from './siteComparison.js'
export { protocolDefinition, type SiteRows, siteRows } from './siteRows.js'
export { type MadeSummary, makeSiteSummary, type SummaryOptions } from './siteSummary.js'
export type { RoundAnswer, RoundRequest, SiteSummary } from './summarySchema.js'
