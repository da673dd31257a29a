import type { Cohort } from '../../cohort/cohort.js'
import type { CohortDefinition } from '../../cohort/definition.js'
import type { AskedName } from '../../cohort/traits.js'
import { type Warning, warning } from '../../core/estimate.js'
import { unknownName } from '../../core/names.js'
import { deepFreeze } from '../../core/plain.js'
import type { CovariateName } from '../../vocabulary/fields.js'
import { defaultPlan } from '../plan/planFile.js'
import { type AnalysisSettings, defaultSettings } from '../plan/settings.js'
import { type ComparisonResult, type ComparisonSettings, compareGroups, defaultComparison } from './answer.js'
import { type ComparedGroups, fieldGroups, tighteningGroups } from './groups.js'
import { comparisonSettings } from './settings.js'

/** What a comparison that was asked for by itself says of itself. */
export interface AskedOfComparison {
  /** What to beware of: how many parts and groupings were looked at, small groups, groups without an event. */
  readonly warnings: readonly Warning[]
  /** Whether the records are generated; what is shown then says so. */
  readonly generated: boolean
  readonly definition: CohortDefinition
  readonly settings: AnalysisSettings
}

/** A comparison that was asked for by itself. */
export interface AskedComparison extends ComparisonResult {
  readonly asked: AskedOfComparison
}

/** What is allowed for besides what usually is. */
export interface AlsoAllowedFor<Own extends string = never> {
  /**
   * Further fields, or columns of the user's own (`withColumns`), that the groups are made alike in. They enter before what
   * usually does, after operator and day of delivery. What came after the way was chosen must not be among them.
   */
  readonly alsoAdjustFor?: readonly (CovariateName | Own)[]
}

/** Two values of a field, or of a column of the user's own, to set against each other. */
export interface ComparedValues<Own extends string = never> {
  readonly by: AskedName | Own
  readonly group: string
  readonly against: string
}

/**
 * Compares any two groups of one field of the records, or of a column of the user's own, with the machinery of the
 * tightening. What belongs to tightening alone is left out: where the exposure was recorded, and the test for immortal
 * time, since these groups were settled at delivery.
 *
 * @param cohort restorations with time at risk
 * @param request field, and the two values to compare
 * @param settings those of the comparison, each by default as in `defaultComparison`, and what is allowed for besides
 * @returns undefined where one of the two groups is empty
 * @throws UsageError `no-such-group`, `unknown-name`; `mixed-column`, `not-finite-column`, `tells-the-outcome` of a column
 *   of the user's own
 * @example compare(cohort, { by: 'connection', group: 'internal_hex', against: 'external_hex' }).verdict // => "open"
 */
export function compare<Own extends string = never>(
  cohort: Cohort<Own>,
  request: ComparedValues<NoInfer<Own>>,
  settings: Partial<ComparisonSettings> & AlsoAllowedFor<NoInfer<Own>> = {},
): AskedComparison | undefined {
  requireSettings(settings, [...Object.keys(defaultComparison), 'plan'])
  const { alsoAdjustFor = [], ...given } = settings
  const used = { ...defaultComparison, ...given }
  const { level, horizonsYears, leastAtRisk, seed, negativeControl } = used
  const shown = { level, horizonsYears, leastAtRisk, seed, plan: { ...defaultPlan, negativeControl } }
  const groups = fieldGroups(cohort, request)
  const { by, group, against } = request
  const looks = cohort.looksTaken(`${by}: ${group}, ${against}`)
  return asked(cohort, groups, withMore(used, alsoAdjustFor), shown, looks)
}

/**
 * The fair comparison of the two ways of tightening as the audit makes it, of all restorations or of a part: who may be
 * compared, one estimate with one interval, what speaks against it, and what may be claimed. A part says how many were
 * looked at.
 *
 * @param cohort restorations with time at risk
 * @param settings each by default as in `defaultSettings` and `defaultPlan`, and what is allowed for besides
 * @returns undefined where one of the two groups is empty
 * @throws UsageError `unknown-name`; `mixed-column`, `not-finite-column`, `tells-the-outcome` of a column of the user's own
 * @example compareTightening(cohort).events // => {"group":22,"against":32}
 */
export function compareTightening<Own extends string = never>(
  cohort: Cohort<Own>,
  settings: Partial<AnalysisSettings> & AlsoAllowedFor<NoInfer<Own>> = {},
): AskedComparison | undefined {
  requireSettings(settings, [...Object.keys(defaultSettings), 'plan', 'detail'])
  const { alsoAdjustFor = [], ...given } = settings
  const used = { ...defaultSettings, ...given }
  const groups = tighteningGroups(cohort, used.plan ?? defaultPlan)
  return asked(
    cohort,
    groups,
    withMore(comparisonSettings(used), alsoAdjustFor),
    used,
    cohort.subgroup?.looks ?? 0,
  )
}

function requireSettings(settings: object, known: readonly string[]): void {
  const names = [...new Set([...known, 'alsoAdjustFor'])]
  for (const name of Object.keys(settings)) {
    if (!names.includes(name)) throw unknownName('setting', name, names)
  }
}

/**
 * What is allowed for besides, right after operator and day of delivery: what is asked for by name is not dropped first. What
 * is named twice enters once, at its first place.
 */
function withMore(settings: ComparisonSettings, more: readonly string[]): ComparisonSettings {
  const first = ['operator', 'delivery_day', 'delivery_year']
  const { adjustFor } = settings
  return {
    ...settings,
    adjustFor: [...adjustFor.filter((key) => first.includes(key)), ...more, ...adjustFor],
  }
}

const fewRestorations = 10

function asked(
  cohort: Cohort,
  groups: ComparedGroups,
  settings: ComparisonSettings,
  shown: AnalysisSettings,
  looks: number,
): AskedComparison | undefined {
  const result = compareGroups(cohort, groups, settings)
  if (result === undefined) return undefined
  const { restorations, events } = result
  const small = Object.values(restorations).filter((one) => one < fewRestorations).length
  const none = Object.values(events).filter((one) => one === 0).length
  const warnings = [
    ...(looks > 0 ? [warning('asked-looks', { looks })] : []),
    ...(small > 0 ? [warning('asked-small-groups', { groups: small, least: fewRestorations })] : []),
    ...(none > 0 ? [warning('asked-no-events', { groups: none })] : []),
  ]
  return deepFreeze({
    ...result,
    asked: {
      warnings,
      generated: cohort.summary.source.generated,
      definition: cohort.definition,
      settings: shown,
    },
  })
}
