/**
 * Audit results made by hand for the tests of charts and report. NOT results of the toolkit: groups are simulated and
 * summed up by the simplest estimators (product-limit with Greenwood limits, one-row-a-patient), so that shapes and
 * sizes are those of real results. What the toolkit computes is tested in tests/statistics and tests/analysis.
 */

import type { AttritionStep } from '../../src/cohort/attrition.js'
import { defaultDefinition } from '../../src/cohort/definition.js'
import type { Contrast, Estimate, Interval, Quantity } from '../../src/core/estimate.js'
import { noInterval, notEstimable, notReached, unbounded, warning } from '../../src/core/estimate.js'
import { type MethodName, methodOf } from '../../src/core/method.js'
import { deepFreeze } from '../../src/core/plain.js'
import { streamOfHashes } from '../../src/core/random.js'
import type { AuditResult } from '../../src/questions/audit.js'
import type { TighteningComparisonResult } from '../../src/questions/crudeComparison/answer.js'
import type { HowOften } from '../../src/questions/howOften/answer.js'
import type { GroupIncidence, HorizonRisk } from '../../src/questions/incidence/answer.js'
import type { GroupRetention, IncidenceRow, RetentionRow } from '../../src/questions/retention/answer.js'
import { problems } from './fixtureQuality.js'

const z = 1.959964
const horizonsYears = [1, 3, 5]

interface Subject {
  readonly years: number
  readonly cause: 0 | 1 | 2
}

/** What a fixture group is simulated from. */
export interface FixtureGroup {
  readonly group: string
  readonly restorations: number
  /** Events per restoration-year. */
  readonly hazard: number
}

/** What a fixture is made of. */
export interface FixtureOptions {
  readonly groups: readonly FixtureGroup[]
  readonly generated?: boolean
  readonly title?: string
  readonly competingHazard?: number
  readonly leastAtRisk?: number
  /** Text put into every place that takes text out of the data. */
  readonly hostile?: string
}

function simulated({ group, restorations, hazard }: FixtureGroup, competingHazard: number): Subject[] {
  const random = streamOfHashes(20260504, group.length * 31 + restorations)
  return Array.from({ length: restorations }, () => {
    const event = hazard > 0 ? (random.exponential() / hazard) ** 1.15 : 99
    const competing = competingHazard > 0 ? random.exponential() / competingHazard : 99
    const censored = 0.3 + 7 * random.uniform()
    const years = Math.ceil(Math.min(event, competing, censored) * 365.25) / 365.25
    if (event <= Math.min(competing, censored)) return { years, cause: 1 as const }
    return { years, cause: competing <= censored ? (2 as const) : (0 as const) }
  }).sort((a, b) => a.years - b.years)
}

function estimated(
  value: Quantity,
  interval: Interval,
  n: number,
  events: number,
  method: MethodName,
): Estimate {
  return {
    estimate: value,
    interval,
    level: 0.95,
    method,
    n,
    events,
    clusters: Math.ceil(n * 0.62),
    warnings: [],
    reference: 'fixture',
  }
}

function logLog(share: number, variance: number): Interval {
  if (share <= 0 || share >= 1) return noInterval('no-event-by-then')
  const spread = (z * Math.sqrt(variance)) / Math.abs(Math.log(share))
  return { lower: share ** Math.exp(spread), upper: share ** Math.exp(-spread) }
}

function curveRows(subjects: readonly Subject[]) {
  const rows: RetentionRow[] = []
  const incidence: IncidenceRow[] = []
  const competing: IncidenceRow[] = []
  const times = [0, ...new Set(subjects.map((subject) => subject.years))]
  let retention = 1
  let free = 1
  let risk = 0
  let other = 0
  let sum = 0
  for (const years of times) {
    const here = subjects.filter((subject) => subject.years === years)
    const atRisk = subjects.filter((subject) => subject.years >= years).length
    const events = here.filter((subject) => subject.cause === 1).length
    const rivals = here.filter((subject) => subject.cause === 2).length
    risk += (free * events) / atRisk
    other += (free * rivals) / atRisk
    free *= 1 - (events + rivals) / atRisk
    retention *= 1 - events / atRisk
    if (atRisk > events) sum += events / (atRisk * (atRisk - events))
    const limits = retention === 1 ? { lower: 1, upper: 1 } : logLog(retention, sum)
    const time = { timeDays: Math.round(years * 365.25), timeYears: years }
    rows.push({ ...time, atRisk, events, censored: here.length - events, retention, ...limits })
    const spread = z * Math.sqrt(sum) * (1 - risk)
    incidence.push({ ...time, risk, lower: Math.max(0, risk - spread), upper: Math.min(1, risk + spread) })
    competing.push({ ...time, risk: other, lower: 0, upper: Math.min(1, 2 * other) })
  }
  return { rows, incidence, competing }
}

const tickYears = [0, 1, 2, 3, 4, 5, 6, 7]

function retentionOf(group: string, subjects: readonly Subject[], leastAtRisk: number): GroupRetention {
  const { rows, incidence, competing } = curveRows(subjects)
  const thinRow = rows.find((row) => row.atRisk < leastAtRisk)
  return {
    group,
    restorations: subjects.length,
    patients: Math.ceil(subjects.length * 0.62),
    events: subjects.filter((subject) => subject.cause === 1).length,
    method: methodOf('product-limit', 'infinitesimal-jackknife-over-patients', 'log-log-interval'),
    rows,
    incidenceRows: incidence,
    competingRows: competing,
    atRiskAtTicks: tickYears.map((tick) => subjects.filter((subject) => subject.years >= tick).length),
    eventsByTicks: tickYears.map(
      (tick) => subjects.filter((subject) => subject.cause === 1 && subject.years <= tick).length,
    ),
    cutAtYears: thinRow?.timeYears ?? rows.at(-1)?.timeYears ?? 0,
    horizons: horizonsYears.map((years) => {
      const atRisk = subjects.filter((subject) => subject.years >= years).length
      const row = rows.filter((candidate) => candidate.timeYears <= years).at(-1)!
      return {
        years,
        retention: estimated(
          atRisk === 0 ? notEstimable('follow-up-ends-before') : row.retention,
          atRisk === 0 ? noInterval('follow-up-ends-before') : { lower: row.lower, upper: row.upper },
          subjects.length,
          row.events,
          methodOf('product-limit', 'infinitesimal-jackknife-over-patients', 'log-log-interval'),
        ),
        thin: atRisk < leastAtRisk,
      }
    }),
  }
}

function incidenceOf(group: string, subjects: readonly Subject[], leastAtRisk: number): GroupIncidence {
  const { incidence } = curveRows(subjects)
  const n = subjects.length
  const events = subjects.filter((subject) => subject.cause === 1).length
  const years = subjects.reduce((sum, subject) => sum + subject.years, 0)
  const zero = events === 0
  const share = events / n
  const half = z * Math.sqrt((share * (1 - share)) / n)
  const rate = (100 * events) / years
  const horizons: HorizonRisk[] = horizonsYears.map((horizon) => {
    const atRisk = subjects.filter((subject) => subject.years >= horizon).length
    const row = incidence.filter((candidate) => candidate.timeYears <= horizon).at(-1)!
    const limits = { lower: row.lower, upper: zero ? 1 - 0.025 ** (1 / Math.max(1, atRisk)) : row.upper }
    const risk = estimated(
      atRisk === 0 ? notEstimable('follow-up-ends-before') : row.risk,
      atRisk === 0 ? noInterval('follow-up-ends-before') : limits,
      n,
      events,
      methodOf('aalen-johansen', 'infinitesimal-jackknife-over-patients'),
    )
    return {
      years: horizon,
      risk,
      betweenLooks: { found: risk, afterLastLook: risk, range: risk.interval },
      atRisk,
      thin: atRisk < leastAtRisk,
    }
  })
  return {
    group,
    restorations: n,
    patients: Math.ceil(n * 0.62),
    events,
    competingEvents: subjects.filter((subject) => subject.cause === 2).length,
    restorationYears: years,
    medianFollowUpYears: estimated(
      n > 2 ? subjects[Math.floor(n / 2)]!.years : notReached(subjects.at(-1)!.years),
      n > 2
        ? { lower: subjects[Math.floor(n / 2.2)]!.years, upper: subjects[Math.floor(n / 1.9)]!.years }
        : noInterval('too-few-followed-that-long'),
      n,
      events,
      methodOf('reverse-product-limit'),
    ),
    proportion: {
      ...estimated(
        share,
        {
          lower: zero ? 0 : Math.max(0, share - half),
          upper: zero ? 1 - 0.025 ** (1 / Math.ceil(n * 0.62)) : Math.min(1, share + half),
        },
        n,
        events,
        zero
          ? methodOf('clopper-pearson-exact', 'clusters-as-n')
          : methodOf('wilson-score-on-the-effective-sample-size'),
      ),
      designEffect: 1.2,
      effectiveSampleSize: n / 1.2,
      intraclassCorrelation: 0.1,
      naive: { lower: 0, upper: zero ? 1 - 0.025 ** (1 / n) : Math.min(1, share + half) },
      warnings: [warning('few-clusters', { clusters: 12, degreesOfFreedom: 11 })],
    },
    ratePer100Years: {
      timeAtRisk: years,
      designEffect: 1.2,
      naive: { lower: 0, upper: 200 },
      ...estimated(
        rate,
        {
          lower: zero ? 0 : rate * Math.exp(-z / Math.sqrt(events)),
          upper: zero ? 369 / years : rate * Math.exp(z / Math.sqrt(events)),
        },
        n,
        events,
        methodOf('log-rate', 'cluster-robust-variance'),
      ),
    },
    horizons,
  }
}

function contrast(
  value: Quantity,
  interval: Interval,
  n: number,
  events: number,
  method: MethodName,
): Contrast {
  return {
    ...estimated(value, interval, n, events, method),
    comparator: { group: 'repeated in the window', against: 'single' },
  }
}

function comparisonOf(groups: readonly GroupIncidence[]): TighteningComparisonResult | undefined {
  const repeated = groups.find((group) => group.group === 'repeated in the window')
  const single = groups.find((group) => group.group === 'single')
  if (repeated === undefined || single === undefined) return undefined
  const n = repeated.restorations + single.restorations
  const events = repeated.events + single.events
  const possible = repeated.events > 0 && single.events > 0
  const logRatio = Math.log(
    repeated.events / repeated.restorationYears / (single.events / single.restorationYears),
  )
  const se = Math.sqrt(1 / repeated.events + 1 / single.events)
  const ratio = (shift: number): Contrast =>
    contrast(
      possible ? Math.exp(logRatio + shift) : notEstimable('group-without-event'),
      possible
        ? { lower: Math.exp(logRatio + shift - z * se), upper: Math.exp(logRatio + shift + z * se) }
        : { lower: unbounded('below'), upper: 4.2 },
      n,
      events,
      methodOf('cox-regression', 'efron-s-ties', 'variance-robust-by-cluster'),
    )
  const horizons = horizonsYears.map((years, index) => {
    const first = repeated.horizons[index]!.risk
    const second = single.horizons[index]!.risk
    const known = typeof first.estimate === 'number' && typeof second.estimate === 'number'
    const difference = known ? Number(first.estimate) - Number(second.estimate) : 0
    const half =
      1.1 * Math.sqrt(0.06 / Math.max(1, repeated.restorations) + 0.06 / Math.max(1, single.restorations))
    return {
      years,
      riskDifference: contrast(
        known ? difference : notEstimable('group-without-estimate'),
        known
          ? { lower: Math.max(-1, difference - half * years), upper: Math.min(1, difference + half * years) }
          : noInterval('follow-up-ends-before'),
        n,
        events,
        methodOf('difference', 'aalen-johansen', 'infinitesimal-jackknife-over-patients'),
      ),
      thin: repeated.horizons[index]!.thin || single.horizons[index]!.thin,
    }
  })
  return {
    kind: 'comparison',
    group: 'repeated in the window',
    against: 'single',
    restorations: { 'repeated in the window': repeated.restorations, single: single.restorations },
    patients: { 'repeated in the window': repeated.patients, single: single.patients },
    events: { 'repeated in the window': repeated.events, single: single.events },
    horizons,
    curveTest: {
      statistic: possible ? (logRatio / se) ** 2 : notEstimable('group-without-event'),
      degreesOfFreedom: 1,
      pValue: possible ? 0.00321456 : notEstimable('group-without-event'),
      method: methodOf('score-test-of-the-cox-model-with-variance-summed-over-clusters'),
      n,
      events,
      clusters: repeated.patients + single.patients,
      warnings: [],
      reference: 'fixture',
    },
    hazardRatios: [
      {
        key: 'crude',
        allowsFor: [],
        hazardRatio: ratio(0),
      },
      {
        key: 'adjusted',
        allowsFor: ['region', 'connection', 'bruxism', 'delivery_year', 'clinic'],
        hazardRatio: ratio(0.06),
      },
    ],
    overlapShare: 0.71,
    adjustedMayLead: true,
    reasons: [
      { reason: 'period_policy', restorations: Math.round(n * 0.41) },
      { reason: 'operator_choice', restorations: Math.round(n * 0.5) },
      { reason: 'unknown', restorations: n - Math.round(n * 0.41) - Math.round(n * 0.5) },
    ],
    warnings: [warning('few-clusters-for-spread', { clusters: 8 })],
    level: 0.95,
  }
}

/** Makes one audit result. */
export function fixtureAudit(options: FixtureOptions): AuditResult {
  const competingHazard = options.competingHazard ?? 0.012
  const leastAtRisk = options.leastAtRisk ?? 10
  const hostile = options.hostile
  const parts = options.groups.map((group) => ({
    group: hostile === undefined ? group.group : `${group.group} ${hostile}`,
    subjects: simulated(group, competingHazard),
  }))
  const all = parts.flatMap((part) => part.subjects).sort((a, b) => a.years - b.years)
  const byGroup = parts.map((part) => incidenceOf(part.group, part.subjects, leastAtRisk))
  const included = all.length
  const overall = incidenceOf('all', all, leastAtRisk)
  return deepFreeze({
    definition: defaultDefinition,
    howOften: howOftenOf(overall, all, leastAtRisk),
    summary: {
      source: {
        title: hostile ?? options.title ?? 'Fixture group of invented clinics',
        form: 'three-tables',
        files: [
          { name: hostile ?? 'restorations.csv', sha256: 'ab'.repeat(32) },
          { name: 'visits.csv', sha256: 'cd'.repeat(32) },
        ],
        sha256: '0123456789abcdef'.repeat(4),
        generated: options.generated ?? false,
        cannotAnswer: hostile === undefined ? [] : ['every-visit'],
      },
      quality: problems(included, hostile),
      attrition: {
        rowsRead: included + 79,
        steps: [
          step('set-aside', 8, included + 71),
          step('other-type', 55, included + 16),
          step('screwless', 0, included + 16),
          step('never-checked', 16, included),
        ],
        included,
      },
      patients: Math.ceil(included * 0.62),
      clinics: ['C1', 'C2', hostile ?? 'C3'],
      operators: 11,
      deliveryYears: { first: 2017, last: 2023 },
      checked: included,
      neverChecked: 16,
      looks: {
        events: 12,
        eventsWithCleanLook: 10,
        foundAtVisitMarkedNo: 0,
        foundOutsideLook: 0,
        findingsNotCounted: 0,
        deliveryDayOnly: 0,
        eligible: included + 16,
        outcomeUnreadable: 0,
        leftOut: 16,
      },
      competingBeyondRecall: 3,
      eventsOnDayZero: 1,
      exposure: byGroup.map(({ group, restorations }) => ({ group, restorations })),
      exposureDisagreements: 12,
      exposureFromReportOnly: 4,
    },
    incidence: { kind: 'incidence', overall: incidenceOf('all', all, leastAtRisk), byGroup, level: 0.95 },
    retention: {
      kind: 'retention',
      endpoint: 'screw_loosening',
      overall: retentionOf('all', all, leastAtRisk),
      byGroup: parts.map((part) => retentionOf(part.group, part.subjects, leastAtRisk)),
      tickYears,
      leastAtRisk,
      level: 0.95,
    },
    comparison: comparisonOf(byGroup),
    settings: { level: 0.95, horizonsYears, leastAtRisk, seed: 20260504 },
  }) satisfies AuditResult
}

/** The answer to how often as the fixture's incidence has it, with nobody left out but those never checked. */
function howOftenOf(overall: GroupIncidence, subjects: readonly Subject[], leastAtRisk: number): HowOften {
  const { restorations, patients, events, restorationYears } = overall
  const horizon = overall.horizons.find(({ years, thin }) => years === 3 && !thin)
  const neverChecked = 16
  const eligible = restorations + neverChecked
  return {
    kind: 'how-often',
    verdict: events === 0 ? 'none-seen' : horizon === undefined ? 'withheld' : 'estimate',
    ...(events > 0 && horizon === undefined ? { reason: 'few-at-risk' as const } : {}),
    restorations,
    patients,
    events,
    restorationYears,
    wishedYears: 3,
    ...(horizon === undefined ? {} : { years: horizon.years, horizon }),
    leftOut: {
      eligible,
      neverChecked,
      outcomeUnreadable: 0,
      deliveryDayOnly: 0,
      restorations: neverChecked,
      share: neverChecked / eligible,
      stated: neverChecked / eligible >= 0.05,
    },
    ...(events === 0
      ? {
          noneSeen: {
            restorationYears,
            ratePer100Years: overall.ratePer100Years,
            horizons: [0.5, 1, 2, 3].flatMap((horizonYears) => {
              const seen = subjects.filter((subject) => subject.years >= horizonYears).length
              const counted = Math.ceil(seen * 0.62)
              return seen < leastAtRisk
                ? []
                : [
                    {
                      years: horizonYears,
                      restorations: seen,
                      patients: counted,
                      upper: 1 - 0.025 ** (1 / counted),
                    },
                  ]
            }),
            level: 0.95,
          },
        }
      : {}),
    foundOutsideShare: 0,
    eventsWithCleanLook: events,
    visitTimesRecorded: true,
    level: 0.95,
  }
}

function step(code: AttritionStep['code'], leftOut: number, remaining: number): AttritionStep {
  return { code, leftOut, remaining }
}

const usualGroups: readonly FixtureGroup[] = [
  { group: 'single', restorations: 640, hazard: 0.045 },
  { group: 'repeated in the window', restorations: 430, hazard: 0.024 },
  { group: 'repeated outside the window', restorations: 48, hazard: 0.035 },
  { group: 'undone and tightened again', restorations: 22, hazard: 0.06 },
  { group: 'unknown', restorations: 61, hazard: 0.04 },
]

/** Results of many shapes, by name. */
export const fixtures: Readonly<Record<string, () => AuditResult>> = {
  usual: () => fixtureAudit({ groups: usualGroups, generated: true }),
  'real data': () => fixtureAudit({ groups: usualGroups }),
  'no events': () =>
    fixtureAudit({
      groups: [
        { group: 'single', restorations: 24, hazard: 0 },
        { group: 'repeated in the window', restorations: 16, hazard: 0 },
      ],
      competingHazard: 0,
    }),
  'one group only': () => fixtureAudit({ groups: [{ group: 'single', restorations: 180, hazard: 0.03 }] }),
  'no events in one group': () =>
    fixtureAudit({
      groups: [
        { group: 'single', restorations: 60, hazard: 0.05 },
        { group: 'repeated in the window', restorations: 15, hazard: 0 },
      ],
    }),
  'one restoration': () => fixtureAudit({ groups: [{ group: 'single', restorations: 1, hazard: 0 }] }),
  'nothing estimable': nothingEstimable,
  'very common': () =>
    fixtureAudit({
      groups: [
        { group: 'single', restorations: 90, hazard: 0.6 },
        { group: 'repeated in the window', restorations: 80, hazard: 0.5 },
      ],
    }),
  hostile: () =>
    fixtureAudit({
      groups: usualGroups,
      hostile: `=1+1"'</script><script>alert(1)</script>\u202egnol&${'Pneumonoultramicroscopic'.repeat(8)}`,
    }),
}

function nothingEstimable(): AuditResult {
  const reason = 'one-patient'
  const usual = fixtureAudit({
    groups: [
      { group: 'single', restorations: 2, hazard: 0 },
      { group: 'repeated in the window', restorations: 2, hazard: 0 },
    ],
  })
  const replaced = JSON.parse(JSON.stringify(usual), (_key, value: unknown) => {
    if (typeof value !== 'object' || value === null || !('estimate' in value)) return value
    return { ...value, estimate: notEstimable(reason), interval: noInterval(reason) }
  }) as AuditResult
  return deepFreeze(replaced)
}
