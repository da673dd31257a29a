import type { Cohort } from '../../cohort/cohort.js'
import type { AskedName, TraitValues } from '../../cohort/traits.js'
import { codesOf } from '../../cohort/traits.js'
import { UsageError } from '../../core/errors.js'
import { type TestResult, type Warning, warning } from '../../core/estimate.js'
import { unknownName } from '../../core/names.js'
import { robustScoreTest } from '../../statistics/hazardModels/coxTests.js'
import type { NumberGroup } from '../../vocabulary/field.js'
import { type AnalysisSettings, defaultSettings } from '../plan/settings.js'
import { type CohortRows, cohortRows, presentGroups, rowsOfGroup, timesAtRisk } from './cohortRows.js'
import { curveTest } from './curveTest.js'

/** Settings of a question, each by default as in `defaultSettings`, and what the restorations are told apart by. */
export interface AskedSettings<Own extends string = never> extends Partial<AnalysisSettings> {
  /** Field, derived value or column of the user's own by which groups are formed. */
  readonly by?: AskedName | Own
  /** Of numbers: where one group ends and the next begins; a value on a cut belongs to the upper group. */
  readonly cuts?: readonly number[]
}

/** What a question by groups, or of a part of the records, says of itself. */
export interface Asked {
  /** What the groups were formed by; undefined where only a part was chosen. */
  readonly by: string | undefined
  /** Test whether all groups share one hazard, patients kept together; undefined with fewer than two groups. */
  readonly test: TestResult | undefined
  /** Restorations whose group is not known; they stand in the whole and in no group. */
  readonly unknown: number
  readonly warnings: readonly Warning[]
  /** Whether the records are generated; what is shown then says so. */
  readonly generated: boolean
}

/** A group by its name. */
export interface AskedGroup {
  readonly group: string
  /** Where groups are cut out of numbers: those from a limit to below another. */
  readonly range?: NumberGroup
  readonly rows: CohortRows
}

const settingNames = ['level', 'horizonsYears', 'leastAtRisk', 'seed', 'plan', 'detail', 'by', 'cuts']

/** All settings, those not given by default; a misspelt one is refused. */
export function askedSettings(asked: AskedSettings<string>, more: readonly string[] = []): AnalysisSettings {
  for (const name of Object.keys(asked)) {
    const known = [...settingNames, ...more]
    if (!known.includes(name)) throw unknownName('setting', name, known)
  }
  const { by: _by, cuts: _cuts, ...settings } = asked
  return { ...defaultSettings, ...settings }
}

/** Most groups of a question. */
const mostGroups = 60

/**
 * The groups of a cohort by a name, in the order of its codes, of its numbers or of the alphabet; without a name, by how
 * the screw was tightened at delivery.
 */
export function askedGroups(cohort: Cohort, { by, cuts }: AskedSettings<string>): readonly AskedGroup[] {
  if (by === undefined) {
    return presentGroups(cohort).map((group) => ({ group, rows: rowsOfGroup(cohort, group) }))
  }
  const labels = groupLabels(cohort, by, cuts)
  const present = [...new Set(labels.names)].filter((name) => name !== undefined)
  if (present.length > mostGroups) throw tooManyGroups(by, present.length)
  return labels.order
    .filter((name) => present.includes(name))
    .map((name) => {
      const range = labels.ranges?.get(name)
      return {
        group: name,
        ...(range === undefined ? {} : { range }),
        rows: cohortRows(cohort, (row) => labels.names[row] === name),
      }
    })
}

interface Labels {
  readonly names: readonly (string | undefined)[]
  readonly order: readonly string[]
  readonly ranges?: ReadonlyMap<string, NumberGroup>
}

function groupLabels(cohort: Cohort, by: string, cuts: readonly number[] | undefined): Labels {
  const values = cohort.trait(by as AskedName)
  if (cuts !== undefined) return cutLabels(by, values, cuts)
  const known = [...new Set(values)].filter((value) => value !== undefined)
  const codes = codesOf(by)
  const sorted = codes?.filter((code) => known.includes(code)) ?? [...known].sort(inOrder)
  return {
    names: values.map((value) => (value === undefined ? undefined : String(value))),
    order: sorted.map(String),
  }
}

function inOrder(left: string | number, right: string | number): number {
  if (typeof left === 'number' && typeof right === 'number') return left - right
  return String(left) < String(right) ? -1 : 1
}

function cutLabels(by: string, values: TraitValues, cuts: readonly number[]): Labels {
  const sorted = [...cuts].sort((left, right) => left - right)
  if (sorted.length === 0 || values.some((value) => typeof value === 'string')) throw badCuts(by)
  const ranges: readonly NumberGroup[] = [
    { below: sorted[0]! },
    ...sorted.slice(1).map((cut, i) => ({ from: sorted[i]!, below: cut })),
    { from: sorted.at(-1)! },
  ]
  const order = ranges.map(({ from = '', below = '' }) => `${from}–${below}`)
  const names = values.map((value) =>
    value === undefined ? undefined : order[sorted.filter((cut) => (value as number) >= cut).length],
  )
  return { names, order, ranges: new Map(order.map((name, i) => [name, ranges[i]!])) }
}

/** What a question says of its groups: test, unknown values, and what to beware of. */
export function askedPart(
  cohort: Cohort,
  asked: AskedSettings<string>,
  groups: readonly AskedGroup[],
  settings: AnalysisSettings,
): Asked | undefined {
  const { by } = asked
  if (by === undefined && cohort.subgroup === undefined) return undefined
  const looks = by === undefined ? cohort.subgroup!.looks : cohort.looksTaken(by)
  const known = groups.reduce((sum, { rows }) => sum + rows.n, 0)
  const unknown = by === undefined ? 0 : cohort.n - known
  return {
    by,
    test: by === undefined ? undefined : groupTest(cohort, groups, settings),
    unknown,
    generated: cohort.summary.source.generated,
    warnings: askedWarnings(looks, unknown, by === undefined ? [] : groups),
  }
}

const fewRestorations = 10

function askedWarnings(looks: number, unknown: number, groups: readonly AskedGroup[]): readonly Warning[] {
  const small = groups.filter(({ rows }) => rows.n < fewRestorations).length
  const none = groups.filter(({ rows }) => !rows.event.includes(1)).length
  return [
    warning('asked-looks', { looks }),
    ...(unknown > 0 ? [warning('asked-unknown', { restorations: unknown })] : []),
    ...(small > 0 ? [warning('asked-small-groups', { groups: small, least: fewRestorations })] : []),
    ...(none > 0 ? [warning('asked-no-events', { groups: none })] : []),
  ]
}

/** Test whether groups share one hazard: of two the test of two curves, of more the score test over patients. */
export function groupTest(
  cohort: Cohort,
  groups: readonly AskedGroup[],
  settings: AnalysisSettings,
): TestResult | undefined {
  if (groups.length < 2) return undefined
  const nameOf = new Map(groups.flatMap(({ group, rows }) => [...rows.row].map((row) => [row, group])))
  const all = cohortRows(cohort, (row) => nameOf.has(row))
  const names = Array.from(all.row, (row) => nameOf.get(row)!)
  if (groups.length === 2) {
    const inGroup = Uint8Array.from(names, (name) => (name === groups[1]!.group ? 1 : 0))
    return curveTest(cohort, all, inGroup, settings)
  }
  return robustScoreTest(timesAtRisk(all), { group: names }, all.patient)
}

function tooManyGroups(by: string, count: number): UsageError {
  return new UsageError({
    code: 'too-many-groups',
    problem: `${by} would make ${count} groups.`,
    expected: `at most ${mostGroups} groups.`,
    mend: 'cut numbers into groups, such as { cuts: [30, 35] }, or ask by something coarser.',
  })
}

function badCuts(by: string): UsageError {
  return new UsageError({
    code: 'bad-cuts',
    problem: `${by} cannot be cut in this way.`,
    expected: 'one or more numbers, for a field of numbers.',
    mend: 'write such as { cuts: [30, 35] }, or leave the cuts out for labels.',
  })
}
