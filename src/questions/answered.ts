import type { Cohort } from '../cohort/cohort.js'
import type { CohortDefinition } from '../cohort/definition.js'
import { deepFreeze } from '../core/plain.js'
import type { AnalysisSettings } from './plan/settings.js'

/** What a result was asked of: kept beside it, since results hold numbers and codes alone. */
export interface AskedOf {
  readonly definition: CohortDefinition
  readonly settings: AnalysisSettings
  readonly generated: boolean
  /** Other answers that it rests on, by their names. */
  readonly answers: object
}

const askedOf = new WeakMap<object, AskedOf>()

/** Freezes the answer to a question, and remembers what it was asked of, for whoever shows it by itself. */
export function answered<Result extends object>(
  cohort: Pick<Cohort, 'definition' | 'summary'>,
  settings: AnalysisSettings,
  result: Result,
  answers: object = {},
): Result {
  const frozen = deepFreeze(result)
  askedOf.set(frozen, {
    definition: cohort.definition,
    settings,
    generated: cohort.summary.source.generated,
    answers,
  })
  return frozen
}

/** What an answer was asked of; undefined for what no question answered here, such as a result read from a file. */
export function whatWasAsked(result: object): AskedOf | undefined {
  return askedOf.get(result)
}
