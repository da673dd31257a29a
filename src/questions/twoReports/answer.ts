import type { EndpointName } from '../../cohort/definition.js'
import { type ErrorText, UsageError } from '../../core/errors.js'
import { type Estimate, type Interval, isNumber, notEstimable, type Quantity } from '../../core/estimate.js'
import { deepFreeze, stableJson } from '../../core/plain.js'
import type { Answer } from '../answer/shape.js'
import type { AuditResult } from '../audit.js'
import type { ComparisonResult } from '../comparison/answer.js'
import type { GroupIncidence } from '../incidence/answer.js'

/** One of the two reports: what it was made of, and what it found, as far as the comparison shows it. */
export interface ReportSide {
  readonly title: string
  readonly sha256: string
  readonly clinics: readonly string[]
  readonly deliveryYears: { readonly first: number; readonly last: number }
  readonly incidence: GroupIncidence
  /** What the comparison of the two ways of tightening came to; absent where there was none. */
  readonly comparison?: {
    readonly verdict: string
    readonly horizonYears?: number
    /** Difference of the risks, where an estimate stands. */
    readonly difference?: { readonly estimate: Quantity; readonly interval: Interval }
    readonly events: number
    readonly restorations: number
  }
  /** Whether the risk was estimated, none was seen, or it was withheld; absent in reports made before that was told. */
  readonly howOften?: Answer['howOften']['verdict']
}

/** A count in both reports. */
export interface CountChange {
  readonly key: CountKey
  readonly before: number
  readonly after: number
  readonly change: number
}

/** What is counted. */
export type CountKey =
  | 'rows-read'
  | 'rows-set-aside'
  | 'never-checked'
  | 'restorations'
  | 'patients'
  | 'restoration-years'
  | 'events'
  | 'competing'
  | 'operators'

/** A risk in both reports. */
export interface RiskChange {
  readonly years: number
  /** Position among the horizons of the later report, and of the earlier. */
  readonly index: number
  readonly indexBefore: number
  /** After minus before, as a share. */
  readonly change: Quantity
  /** How the two intervals stand to each other; absent where a limit of either cannot be had. */
  readonly intervals?: IntervalsCompared
}

/**
 * How two intervals stand to each other: each holds the other's estimate, they overlap without that, or they lie apart.
 * Where none had been seen by then, its estimate is no estimate of what to expect, and only the intervals are compared.
 */
export type IntervalsCompared = 'hold-each-other' | 'overlap' | 'apart'

/** A kind of problem of the records in both reports. */
export interface ProblemChange {
  readonly code: string
  readonly problem: string
  readonly before: number
  readonly after: number
}

/** How complete one field is in both reports. */
export interface FieldChange {
  readonly table: string
  readonly field: string
  readonly before: Quantity
  readonly after: Quantity
  readonly change: Quantity
}

/** What changed between two reports of one practice. */
export interface TwoReports {
  readonly endpoint: EndpointName
  readonly restorationTypes: readonly string[]
  readonly level: number
  readonly before: ReportSide
  readonly after: ReportSide
  readonly counts: readonly CountChange[]
  readonly risks: readonly RiskChange[]
  readonly problems: readonly ProblemChange[]
  /** Fields of which the share known moved by at least a twentieth, or that only one report has. */
  readonly fields: readonly FieldChange[]
  /** Clinics that both hold; none where they are not of one practice. */
  readonly clinicsInBoth: readonly string[]
  /** Whether either holds generated data. */
  readonly generated: boolean
}

/** Share known that has to move for a field to be listed. */
const leastMove = 0.05

/**
 * Sets two audits of one practice against each other: what changed in the records, and what in the results. Most
 * restorations of the earlier are usually in the later too, so that the two are not independent: differences are stated
 * as they are, without a test and without an interval.
 *
 * @param before results of the earlier audit
 * @param after results of the later audit
 * @throws UsageError `other-definition` where endpoint, types, window, recall interval, level or horizons differ; each
 *   difference is named
 * @example compareReports(audit, audit).endpoint // => "screw_loosening"
 */
export function compareReports(before: AuditResult, after: AuditResult): TwoReports {
  const differences = differencesOfDefinition(before, after)
  if (differences.length > 0) throw otherDefinition(differences)
  return deepFreeze({
    endpoint: after.definition.endpoint,
    restorationTypes: after.definition.restorationTypes,
    level: after.settings.level,
    before: sideOf(before),
    after: sideOf(after),
    counts: countChanges(before, after),
    risks: riskChanges(before, after),
    problems: problemChanges(before, after),
    fields: fieldChanges(before, after),
    clinicsInBoth: after.summary.clinics.filter((clinic) => before.summary.clinics.includes(clinic)),
    generated: before.summary.source.generated || after.summary.source.generated,
  })
}

function differencesOfDefinition(before: AuditResult, after: AuditResult): readonly ErrorText[] {
  const facets = (audit: AuditResult): Readonly<Record<string, unknown>> => ({
    endpoint: audit.definition.endpoint,
    'types of restoration': audit.definition.restorationTypes,
    'window of repeated tightening': audit.definition.waitWindowMinutes,
    'recall interval': audit.definition.recallIntervalDays,
    'end of time at risk': audit.definition.riskEndsAt ?? 'last look',
    'level of intervals': audit.settings.level,
    horizons: audit.settings.horizonsYears,
    looks: audit.definition.looks ?? 'presumed',
  })
  const [first, second] = [facets(before), facets(after)]
  return Object.keys(first)
    .filter((name) => stableJson(first[name]) !== stableJson(second[name]))
    .map((name) => `${name} (${inWords(first[name])}, then ${inWords(second[name])})`)
}

function inWords(value: unknown): string {
  if (Array.isArray(value)) return value.map(inWords).join(', ')
  if (typeof value === 'object' && value !== null) return Object.values(value).map(inWords).join(' to ')
  return String(value)
}

function sideOf({ summary, incidence, tightening, answer }: AuditResult): ReportSide {
  return {
    ...(answer === undefined ? {} : { howOften: answer.howOften.verdict }),
    title: summary.source.title,
    sha256: summary.source.sha256,
    clinics: summary.clinics,
    deliveryYears: summary.deliveryYears,
    incidence: incidence.overall,
    ...(tightening === undefined ? {} : { comparison: comparisonOf(tightening) }),
  }
}

function comparisonOf(result: ComparisonResult): NonNullable<ReportSide['comparison']> {
  const { verdict, horizonYears, lead, events, restorations } = result
  const stands = verdict !== 'cannot-be-compared' && verdict !== 'cannot-be-known'
  return {
    verdict,
    ...(horizonYears === undefined ? {} : { horizonYears }),
    ...(lead === undefined || !stands
      ? {}
      : {
          difference: {
            estimate: lead.difference.estimate,
            interval: { lower: lead.difference.lower, upper: lead.difference.upper },
          },
        }),
    events: events.group + events.against,
    restorations: restorations.group + restorations.against,
  }
}

const countReaders: Readonly<Record<CountKey, (audit: AuditResult) => number>> = {
  'rows-read': ({ summary }) => summary.attrition.rowsRead,
  'rows-set-aside': ({ summary }) => summary.quality.rows.restorations.setAside,
  'never-checked': ({ summary }) => summary.neverChecked,
  restorations: ({ incidence }) => incidence.overall.restorations,
  patients: ({ incidence }) => incidence.overall.patients,
  'restoration-years': ({ incidence }) => incidence.overall.restorationYears,
  events: ({ incidence }) => incidence.overall.events,
  competing: ({ incidence }) => incidence.overall.competingEvents,
  operators: ({ summary }) => summary.operators,
}

function countChanges(before: AuditResult, after: AuditResult): readonly CountChange[] {
  return (Object.keys(countReaders) as CountKey[]).map((key) => {
    const [first, second] = [countReaders[key](before), countReaders[key](after)]
    return { key, before: first, after: second, change: second - first }
  })
}

function riskChanges(before: AuditResult, after: AuditResult): readonly RiskChange[] {
  return after.incidence.overall.horizons.flatMap(({ years, risk }, index) => {
    // The horizon that leads may be another in each; what only one of them has is no change.
    const indexBefore = before.incidence.overall.horizons.findIndex((one) => one.years === years)
    const earlier = before.incidence.overall.horizons[indexBefore]
    if (earlier === undefined) return []
    const intervals = intervalsCompared(earlier.risk, risk)
    return [
      {
        years,
        index,
        indexBefore,
        change: difference(earlier.risk.estimate, risk.estimate),
        ...(intervals === undefined ? {} : { intervals }),
      },
    ]
  })
}

function intervalsCompared(before: Estimate, after: Estimate): IntervalsCompared | undefined {
  const limits = [before, after].map(({ interval: { lower, upper } }) =>
    isNumber(lower) && isNumber(upper) ? { lower, upper } : undefined,
  )
  const [then, now] = limits
  if (then === undefined || now === undefined) return undefined
  if (!isNumber(before.estimate) || !isNumber(after.estimate)) return undefined
  if (then.upper < now.lower || now.upper < then.lower) return 'apart'
  // An estimate of 0 says that none was seen, not that none is to be expected: its interval speaks for it.
  const within = (value: number, { lower, upper }: { lower: number; upper: number }): boolean =>
    value === 0 || (value >= lower && value <= upper)
  return within(before.estimate, now) && within(after.estimate, then) ? 'hold-each-other' : 'overlap'
}

function difference(before: Quantity, after: Quantity): Quantity {
  if (isNumber(before) && isNumber(after)) return after - before
  return notEstimable(isNumber(after) ? 'not-estimated-earlier' : 'not-estimated-later')
}

function problemChanges(before: AuditResult, after: AuditResult): readonly ProblemChange[] {
  const gathered = new Map<string, { problem: string; before: number; after: number }>()
  const gather = (audit: AuditResult, side: 'before' | 'after'): void => {
    for (const { code, problem, count } of audit.summary.quality.problems) {
      const known = gathered.get(code) ?? { problem, before: 0, after: 0 }
      known[side] += count
      gathered.set(code, known)
    }
  }
  gather(before, 'before')
  gather(after, 'after')
  return [...gathered]
    .map(([code, one]) => ({ code, ...one }))
    .sort(
      (left, right) =>
        right.after - left.after || right.before - left.before || (left.code < right.code ? -1 : 1),
    )
}

interface FieldShare {
  readonly table: string
  readonly field: string
  readonly share: number
}

function fieldChanges(before: AuditResult, after: AuditResult): readonly FieldChange[] {
  const shares = (audit: AuditResult): ReadonlyMap<string, FieldShare> =>
    new Map(
      audit.summary.quality.completeness.map(({ table, field, known, unknown }) => [
        `${table} ${field}`,
        { table, field, share: known + unknown === 0 ? 0 : known / (known + unknown) },
      ]),
    )
  const [first, second] = [shares(before), shares(after)]
  const absent = (which: 'earlier' | 'later'): Quantity => notEstimable(`field-not-in-${which}`)
  return [...new Map([...first, ...second])].flatMap(([name, { table, field }]): readonly FieldChange[] => {
    const earlier = first.get(name)?.share ?? absent('earlier')
    const later = second.get(name)?.share ?? absent('later')
    const change =
      isNumber(earlier) && isNumber(later) ? later - earlier : notEstimable('field-in-one-report')
    if (isNumber(change) && Math.abs(change) < leastMove) return []
    return [{ table, field, before: earlier, after: later, change }]
  })
}

function otherDefinition(differences: readonly string[]): UsageError {
  return new UsageError({
    code: 'other-definition',
    problem: `the two reports do not define the same: they differ in ${differences.join('; ')}.`,
    expected: 'two reports of one endpoint, for the same restorations, by the same settings.',
    mend: 'audit the earlier data set again by the definition of the later, and compare those.',
  })
}
