import type { Cohort } from '../cohort/cohort.js'
import type { EndpointName } from '../cohort/definition.js'
import { CohortError } from '../core/errors.js'
import { deepFreeze } from '../core/plain.js'
import { comparedRows, countEvents } from './compared.js'
import { type FairSetting, variantByKey } from './fairSetting.js'
import type { ComparisonVariant } from './variant.js'

/** The same comparison of an endpoint that tightening should hardly change. */
export interface NegativeControl {
  readonly endpoint: EndpointName
  readonly events: number
  /** Crude difference, and the estimator of the lead where the data bear it. */
  readonly variants: readonly ComparisonVariant[]
}

/**
 * An endpoint that tightening should hardly change, compared in the same way: where it differs between the groups, they
 * differ in more than tightening. An imperfect control: what moves one endpoint need not move the other, and visits
 * find both. Undefined where the plan names none, or no restoration was followed for it.
 */
export function negativeControl(
  leadKey: string,
  cohort: Cohort,
  setting: FairSetting,
): NegativeControl | undefined {
  const { plan } = setting
  if (plan.negativeControl === 'none' || plan.negativeControl === cohort.definition.endpoint) return undefined
  const endpoint = plan.negativeControl
  const control = controlCohort(cohort, endpoint)
  const compared =
    control === undefined ? undefined : comparedRows(control, { group: plan.group, against: plan.against })
  if (control === undefined || compared === undefined) return undefined
  const keys = [...new Set(['risk-difference-crude', leadKey])]
  return deepFreeze({
    endpoint,
    events: countEvents(compared),
    variants: keys.flatMap((key) => {
      const variant = variantByKey(key, control, compared, setting)
      return variant === undefined
        ? []
        : [{ ...variant, key: `negative-control-${key}`, role: 'sensitivity' }]
    }),
  })
}

function controlCohort(cohort: Cohort, endpoint: EndpointName): Cohort | undefined {
  try {
    return cohort.redefined({ endpoint })
  } catch (thrown) {
    if (thrown instanceof CohortError) return undefined
    throw thrown
  }
}
