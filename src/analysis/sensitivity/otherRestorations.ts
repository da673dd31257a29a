import type { Cohort } from '../../cohort/cohort.js'
import { exposureGroups } from '../../cohort/definition.js'
import { type Compared, comparedRows, cutFollowUp, subsetCompared } from '../compared.js'
import { type FairSetting, variantByKey } from '../fairSetting.js'
import type { AssumptionKey, ComparisonVariant } from '../variant.js'

/** The lead under another assumption, as a row of the table of variants. */
function asSensitivity(
  variant: ComparisonVariant | undefined,
  key: string,
  assumption?: AssumptionKey,
): readonly ComparisonVariant[] {
  if (variant === undefined) return []
  const assumes = assumption === undefined ? variant.assumes : [...variant.assumes, assumption]
  return [{ ...variant, key, role: 'sensitivity', assumes }]
}

/** Restorations of unknown exposure taken for a single tightening, and taken for the group asked about. */
export function unknownExposureVariants(
  leadKey: string,
  cohort: Cohort,
  compared: Compared,
  setting: FairSetting,
): readonly ComparisonVariant[] {
  const unknown = exposureGroups.indexOf('unknown')
  if (!cohort.exposure.includes(unknown)) return []
  const { group, against } = compared.names
  return [['unknown-as-comparator', against] as const, ['unknown-as-group', group] as const].flatMap(
    ([key, taken]) => {
      const code = exposureGroups.indexOf(taken)
      const exposure = cohort.exposure.map((one) => (one === unknown ? code : one))
      const rows = comparedRows(cohort, compared.names, exposure)
      if (rows === undefined) return []
      return asSensitivity(variantByKey(leadKey, cohort, rows, setting), key, 'exposure-known')
    },
  )
}

/** Restorations whose exposure is known from the chart alone left out. */
export function reportedLeftOutVariants(
  leadKey: string,
  cohort: Cohort,
  compared: Compared,
  setting: FairSetting,
): readonly ComparisonVariant[] {
  const reported = cohort.exposureFromReport()
  const kept = Array.from(compared.rows.row.keys()).filter((i) => reported[compared.rows.row[i]!] === 0)
  if (kept.length === compared.rows.n) return []
  const rows = subsetCompared(compared, kept)
  if (rows === undefined) return []
  return asSensitivity(variantByKey(leadKey, cohort, rows, setting), 'reported-groups-left-out')
}

/**
 * Time at risk to the last contact of any kind, also of restorations that were never checked: loose screws bring
 * patients in after checks have ended.
 */
export function lastContactVariants(
  leadKey: string,
  cohort: Cohort,
  compared: Compared,
  setting: FairSetting,
): readonly ComparisonVariant[] {
  const contacts = cohort.redefined({ riskEndsAt: 'last contact' })
  const rows = comparedRows(contacts, compared.names)
  if (rows === undefined) return []
  return asSensitivity(variantByKey(leadKey, contacts, rows, setting), 'last-contact')
}

/**
 * Learning: for each operator, restorations of the group asked about that were delivered in the calendar year of the
 * operator's first left out.
 */
export function learningVariants(
  leadKey: string,
  cohort: Cohort,
  compared: Compared,
  setting: FairSetting,
): readonly ComparisonVariant[] {
  const { rows, inGroup } = compared
  const first = new Map<number, number>()
  rows.row.forEach((row, i) => {
    if (inGroup[i] !== 1) return
    const operator = cohort.operator.codes[row]!
    first.set(operator, Math.min(first.get(operator) ?? Number.POSITIVE_INFINITY, cohort.deliveryYear[row]!))
  })
  const kept = Array.from(rows.row.keys()).filter((i) => {
    const row = rows.row[i]!
    return inGroup[i] !== 1 || cohort.deliveryYear[row] !== first.get(cohort.operator.codes[row]!)
  })
  const later = subsetCompared(compared, kept)
  if (later === undefined) return []
  return asSensitivity(variantByKey(leadKey, cohort, later, setting), 'first-years-left-out')
}

/**
 * Both groups followed for the same time: risks by the smaller of the groups' median follow-ups, hazard ratios with all
 * follow-up cut there.
 */
export function equalFollowUpVariants(
  leadKey: string,
  cohort: Cohort,
  compared: Compared,
  setting: FairSetting,
  commonYears: number,
): readonly ComparisonVariant[] {
  if (leadKey.startsWith('hazard-ratio')) {
    const cut = cutFollowUp(compared, commonYears)
    if (cut === undefined) return []
    return asSensitivity(variantByKey(leadKey, cohort, cut, setting), 'equal-follow-up')
  }
  if (commonYears >= setting.horizonYears) return []
  const shorter = { ...setting, horizonYears: commonYears, tauYears: commonYears }
  return asSensitivity(variantByKey(leadKey, cohort, compared, shorter), 'equal-follow-up')
}
