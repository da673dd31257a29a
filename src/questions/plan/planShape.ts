import { z } from 'zod'
import { defaultDefinition, endpointNames, exposureGroups } from '../../cohort/definition.js'
import { dayFromIso } from '../../core/calendar.js'
import type { ErrorText } from '../../core/errors.js'
import { nearestName } from '../../core/names.js'
import { primaryContrasts, sensitivityAnalyses } from '../../vocabulary/analyses.js'
import { type CovariateName, covariateNames, restorationTypes } from '../../vocabulary/fields.js'

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
export const planShape = z.strictObject(
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
