export * from './cohort.js'
export * from './definition.js'
