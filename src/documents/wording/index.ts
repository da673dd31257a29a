/**
 * The only place for sentences and labels of the report (those inside figures are in charts/words.ts). Sentences are
 * made from estimates and their intervals, never from P values.
 */
export * from './comparisonWords.js'
export * from './describingWords.js'
export * from './explanationWords.js'
export * from './incidenceWords.js'
export * from './labels.js'
export * from './limitationWords.js'
export * from './paperWords.js'
export * from './provenanceWords.js'
export * from './terms.js'
export * from './tighteningWords.js'

/**
 * Words that no sentence of ours may hold, since observational data and large P values do not bear them. A test looks
 * for them, as whole words, in every string of every report.
 */
export const forbiddenWords: readonly string[] = Object.freeze([
  'no difference',
  'not different',
  'no effect',
  'prevents',
  'prevent',
  'prevented',
  'causes',
  'caused',
  'leads to',
  'due to',
  'safe',
  'safely',
  'works',
  'worked',
  'is effective',
  'more effective',
  'ineffective',
  'proves',
  'proven',
  'proof',
  'protects',
  'protective',
  'guarantees',
  'guaranteed',
  'significant',
  'significantly',
  'insignificant',
  'superior',
  'inferior',
  'best practice',
])
