import type { z } from 'zod'
import { type CohortDefinition, defaultDefinition, type ExposureGroup } from '../../cohort/definition.js'
import { type ErrorText, UsageError } from '../../core/errors.js'
import { parseJson } from '../../core/jsonText.js'
import { deepFreeze, sha256, stableJson } from '../../core/plain.js'
import { defaultCovariates } from '../../vocabulary/fields.js'
import type { PlannedFields } from './plannedFields.js'
import { planShape } from './planShape.js'

export type { AdjustmentKey, PlannedFields, PrimaryContrast, SensitivityKey } from './plannedFields.js'

/** What was decided before the results were seen, and how it can be recognised. */
export interface AnalysisPlan extends PlannedFields {
  /** The plan of a file, or the one that the toolkit falls back on. */
  readonly source: 'file' | 'default'
  /** SHA-256 of the text of the file; of the stable JSON of its fields for the default plan. */
  readonly sha256: string
}

/** A place where what was done is not what had been planned. */
export interface Departure {
  /** Field of the plan, such as `primary.horizonYears`. */
  readonly field: string
  readonly planned: string
  readonly used: string
}

/**
 * The plan that is used where none was written: first loosening of single crowns; tightened again within 10 to 15
 * minutes against once; difference in 3-year risk, of which 2 percentage points (1 restoration in 50) matter. That
 * figure is an assumption of the toolkit, and no plan of the user's: whoever reads results should have named their own.
 */
export const defaultPlan: AnalysisPlan = deepFreeze(asDefault(planShape.parse({})))

/**
 * Reads and checks a plan. Every field but the date has the default of `defaultPlan`.
 *
 * @param text JSON of the plan file
 * @throws UsageError `plan-not-json`, or `bad-plan` naming every field at fault and what it may hold
 * @example parsePlan('{"written": "2026-01-05"}').primary.horizonYears // => 3
 */
export function parsePlan(text: string): AnalysisPlan {
  let content: unknown
  try {
    content = parseJson(text)
  } catch {
    throw notJson()
  }
  const parsed = planShape.safeParse(content)
  const faults = parsed.success ? faultsBetween(parsed.data) : parsed.error.issues.map(faultInWords)
  const undated: readonly ErrorText[] =
    typeof content === 'object' && content !== null && !Array.isArray(content) && !('written' in content)
      ? ['written: is missing; write the day on which the plan was made, such as "2026-01-05"']
      : []
  const all = [...undated, ...faults]
  if (!parsed.success || all.length > 0) throw badPlan(all)
  return deepFreeze({ source: 'file', sha256: sha256(text), ...parsed.data })
}

/**
 * What the comparison allows for by a plan, most important first: operator within clinic and day of delivery always, since they
 * decide the protocol most often, then what the plan names; by default what the vocabulary ranks, with the age of the patient.
 */
export function plannedConfounders(plan: Pick<AnalysisPlan, 'source' | 'adjustFor'>): readonly string[] {
  if (plan.source === 'default') return defaultCovariates
  const rest = plan.adjustFor.filter((key) => key !== 'operator' && key !== 'delivery_year')
  return ['operator', 'delivery_day', ...rest]
}

/** The plan as JSON text, to be written to a file, read and edited by people. */
export function planText(plan: PlannedFields): string {
  const fields = Object.fromEntries(
    Object.keys(planShape.shape).map((key) => [key, plan[key as keyof PlannedFields]]),
  )
  return `${JSON.stringify(fields, null, 2)}\n`
}

/**
 * The cohort that a plan asks for.
 *
 * @example plannedDefinition(parsePlan('{ "written": "2026-01-05" }')).recallIntervalDays // => 400
 */
export function plannedDefinition(plan: PlannedFields): CohortDefinition {
  const { endpoint, restorationTypes, recallIntervalDays, waitWindowMinutes } = plan
  return deepFreeze({ endpoint, restorationTypes, recallIntervalDays, waitWindowMinutes })
}

/** What was used in an analysis, as far as the plan speaks of it. */
export interface UsedSettings {
  readonly definition?: CohortDefinition
  readonly group?: ExposureGroup
  readonly against?: ExposureGroup
  readonly level?: number
  readonly horizonsYears?: readonly number[]
}

/**
 * Lists what departs from a plan: settings that are others than planned. Adjustments that the data did not bear are
 * listed by the analysis that found so.
 *
 * @example departures(defaultPlan, { level: 0.9 })[0].field // => "level"
 */
export function departures(plan: PlannedFields, used: UsedSettings): readonly Departure[] {
  const { definition, ...settings } = used
  const pairs: (readonly [string, unknown, unknown])[] = [
    ...Object.entries(settings).map(
      ([field, value]) => [field, plan[field as keyof PlannedFields], value] as const,
    ),
    ...(definition === undefined
      ? []
      : Object.entries(plannedDefinition(plan)).map(
          ([field, value]) => [field, value, definition[field as keyof CohortDefinition]] as const,
        )),
  ]
  return deepFreeze(
    pairs
      .filter(([, planned, one]) => stableJson(planned) !== stableJson(one))
      .map(([field, planned, one]) => ({ field, planned: inWords(planned), used: inWords(one) })),
  )
}

function inWords(value: unknown): string {
  if (Array.isArray(value)) return value.map(inWords).join(', ')
  if (typeof value === 'object' && value !== null) return Object.values(value).map(inWords).join(' to ')
  return String(value)
}

function asDefault(fields: PlannedFields): AnalysisPlan {
  return { source: 'default', sha256: sha256(stableJson(fields)), ...fields }
}

function faultsBetween(plan: PlannedFields): readonly ErrorText[] {
  const { waitWindowMinutes: window, primary, smallestDifference } = plan
  const faults: string[] = []
  if (window.from > window.to) faults.push('waitWindowMinutes: "from" lies after "to"; exchange them')
  if (plan.group === plan.against) faults.push('against: is the group itself; name the group to compare with')
  if (primary.contrast === 'hazard-ratio' && smallestDifference >= 1) {
    faults.push(
      'smallestDifference: for a hazard ratio give the ratio below 1 that matters, such as 0.75; its inverse is the harm that matters',
    )
  }
  if (primary.contrast === 'risk-difference' && smallestDifference >= 1) {
    faults.push('smallestDifference: is a share; write 2 percentage points as 0.02')
  }
  if (primary.contrast === 'restricted-mean-difference' && smallestDifference < 1) {
    faults.push('smallestDifference: for a restricted mean give the days that matter, such as 15')
  }
  return faults
}

function faultInWords({ path, message }: z.core.$ZodIssue): string {
  return `${path.join('.') || 'the file'}: ${message.charAt(0).toLowerCase()}${message.slice(1)}`
}

function notJson(): UsageError {
  return new UsageError({
    code: 'plan-not-json',
    problem: 'the plan is not JSON.',
    expected: `a file such as {"written": "2026-01-05", "endpoint": "${defaultDefinition.endpoint}"}.`,
    mend: 'check commas, quotes and brackets.',
  })
}

function badPlan(faults: readonly string[]): UsageError {
  return new UsageError({
    code: 'bad-plan',
    problem: `the plan cannot be used: ${faults.join('; ')}.`,
    expected: 'the fields of the default plan, each with a value that it may hold.',
    mend: 'put the fields named right; leave a field out to take its default.',
  })
}
