import { z } from 'zod'
import {
  type CohortDefinition,
  defaultDefinition,
  type ExposureGroup,
  endpointNames,
  exposureGroups,
} from '../../cohort/definition.js'
import { dayFromIso } from '../../core/calendar.js'
import { type ErrorText, UsageError } from '../../core/errors.js'
import { parseJson } from '../../core/jsonText.js'
import { nearestName } from '../../core/names.js'
import { deepFreeze, sha256, stableJson } from '../../core/plain.js'
import { primaryContrasts, sensitivityAnalyses } from '../../vocabulary/analyses.js'
import {
  type CovariateName,
  covariateNames,
  defaultCovariates,
  restorationTypes,
} from '../../vocabulary/fields.js'
import type { PlannedFields } from './plannedFields.js'

const years = z.number('must be a number of years').positive('must be above 0').max(50, 'must be at most 50')

/** One of some names; a name that is not among them is told the nearest that is. */
const named = <const T extends readonly string[]>(names: T) =>
  z.enum(names, {
    error: ({ input }) => {
      const nearest = typeof input === 'string' ? nearestName(input, names) : undefined
      const all = `must be one of ${names.join(', ')}`
      return nearest === undefined ? all : `${all}; the nearest is ${nearest}`
    },
  })

/** What is wrong with an object: a field that there is not, or no object at all. */
function objectFault(issue: { readonly code?: string; readonly keys?: readonly string[] }): ErrorText {
  return issue.code === 'unrecognized_keys'
    ? `there is no field ${issue.keys?.join(', ')}; see docs/plan.md for those that there are`
    : 'must be an object with the fields of a plan'
}

/** What the models beside the comparison adjust for; the comparison itself takes what the vocabulary ranks. */
const olderModelCovariates: readonly CovariateName[] = [
  'region',
  'bruxism',
  'connection',
  'delivery_year',
  'component_system',
  'implant_diameter_mm',
  'opposing',
  'restoration_type',
]

/** Fields of a plan file with their defaults; unknown fields are refused, so that no misspelt one passes for a choice. */
const planShape = z.strictObject(
  {
    written: z
      .string('must be a day in quotes, such as "2026-01-05"')
      .refine((text) => dayFromIso(text) !== undefined, 'must be a day such as "2026-01-05"')
      .optional(),
    title: z.string('must be a text').max(200, 'must be at most 200 characters long').optional(),
    endpoint: named(endpointNames).default(defaultDefinition.endpoint),
    restorationTypes: z
      .array(named(restorationTypes), 'must be a list')
      .min(1, 'must name at least one type')
      .default(['single_crown']),
    group: named(exposureGroups).default('repeated in the window'),
    against: named(exposureGroups).default('single'),
    waitWindowMinutes: z
      .strictObject({
        from: z.number('must be a number of minutes').positive('must be above 0'),
        to: z.number('must be a number of minutes').max(1440, 'must be at most 1440'),
      })
      .default({ ...defaultDefinition.waitWindowMinutes }),
    recallIntervalDays: z
      .number('must be a number of days')
      .positive('must be above 0')
      .default(defaultDefinition.recallIntervalDays),
    primary: z
      .strictObject({
        contrast: named(primaryContrasts).default('risk-difference'),
        horizonYears: years.default(3),
      })
      .default({ contrast: 'risk-difference', horizonYears: 3 }),
    smallestDifference: z.number('must be a number').positive('must be above 0').default(0.02),
    horizonsYears: z
      .array(years, 'must be a list of years')
      .min(1, 'must name at least one horizon')
      .default([1, 3, 5]),
    adjustFor: z.array(named(covariateNames), 'must be a list').default([...olderModelCovariates]),
    strata: z.array(named(['clinic', 'operator']), 'must be a list').default(['clinic']),
    negativeControl: named([...endpointNames, 'none']).default('veneer_chipping'),
    sensitivity: z
      .array(named(sensitivityAnalyses), 'must be a list')
      .default(sensitivityAnalyses.filter((key) => key !== 'immortal-time' && key !== 'multiple-imputation')),
    level: z
      .number('must be a number')
      .gt(0.5, 'must be above 0.5')
      .lt(1, 'must be below 1, such as 0.95')
      .default(0.95),
    protocolChanges: z
      .array(
        z.strictObject({
          clinic: z.string('must be the code of a clinic').min(1, 'must be the code of a clinic'),
          from: z
            .string('must be a day in quotes, such as "2021-10-01"')
            .refine((text) => dayFromIso(text) !== undefined, 'must be a day such as "2021-10-01"'),
        }),
        'must be a list of clinics, each with the day from which it tightened in another way',
      )
      .optional(),
  },
  { error: objectFault },
)

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
