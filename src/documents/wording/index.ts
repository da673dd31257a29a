/**
 * The only place for sentences and labels of the report (those inside figures are in charts/words.ts). Sentences are
 * made from estimates and their intervals, never from P values.
 */

export * from './explanationWords.js'
export * from './incidenceWords.js'
export * from './incidenceWords.js'
export * from './labels.js'
export * from './limitationWords.js'
export * from './paperWords.js'
export * from './provenanceWords.js'
export * from './terms.js'
export * from './tighteningWords.js'
export * from './tighteningWords.js'
