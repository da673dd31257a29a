import type { Cohort } from '../../cohort/cohort.js'
import { type ExposureGroup, exposureGroups } from '../../cohort/definition.js'
import { chartedWays } from '../../cohort/exposure.js'
import type { AskedName } from '../../cohort/traits.js'
import { UsageError } from '../../core/errors.js'
import { nearestName } from '../../core/names.js'

/** Two groups of a cohort that are set against each other. */
export interface ComparedGroups {
  /** Name of the group asked about and of its comparator. */
  readonly group: string
  readonly against: string
  /**
   * What tells them apart: tightenings recorded on the day of delivery, what the chart says of them, or another field of
   * the records.
   */
  readonly by: 'measured' | 'chart' | string
  /** For each restoration of the cohort: 1 in the group, 0 in the comparator, −1 in neither. */
  readonly side: Int8Array
}

/** What the records say of the tightening itself. */
export interface ExposureAccount {
  /** Restorations whose group is known from tightenings of the day of delivery, of those known in any way. */
  readonly measuredShare: number
  /** Charted as repeated, or recorded so where the chart is blank. */
  readonly charted: number
  /** Of these, with a second tightening of the day of delivery. */
  readonly documented: number
  /** Share documented; 1 where nothing is charted as repeated. */
  readonly documentedShare: number
  /** In the group as compared, resting on tightenings dated after the day of delivery alone. */
  readonly laterDated: number
}

/** Least share of what is charted as repeated that must be documented before a direction may be claimed. */
export const leastDocumented = 0.9

/** Groups by the chart, where tightenings are recorded for too few. */
export const chartGroups = {
  group: 'repeated, wait not recorded',
  against: 'single, by the chart',
} as const satisfies Record<string, ExposureGroup>

/** Least share of restorations with recorded tightenings for the measured groups to be the ones compared. */
const leastMeasured = 0.5

/**
 * The two groups of the delivery day: those measured, or, where tightenings are recorded for under half of the
 * restorations or one of the ways was never measured, what the chart says, under its own names.
 *
 * @param planned groups that the plan names
 */
export function tighteningGroups(
  cohort: Cohort,
  planned: { readonly group: ExposureGroup; readonly against: ExposureGroup },
): ComparedGroups {
  const measured = measuredGroups(cohort, planned)
  const asked = isByChart(planned.group) || isByChart(planned.against)
  if (asked || (measuredShare(cohort) >= leastMeasured && hasBoth(measured))) return measured
  const charted = chartedGroups(cohort)
  // Where the chart has only one way too, the measured groups say better that there is nothing to compare.
  return hasBoth(charted) ? charted : measured
}

function hasBoth({ side }: ComparedGroups): boolean {
  return side.includes(1) && side.includes(0)
}

const repeatedGroups: readonly ExposureGroup[] = [
  'repeated in the window',
  'repeated outside the window',
  'repeated, wait not recorded',
]

/** The two ways as the chart has them; where it says nothing, as the tightenings of the delivery day say. */
function chartedGroups(cohort: Cohort): ComparedGroups {
  const charted = cohort.charted()
  const [single, repeated] = ['single', 'repeated'].map((one) => chartedWays.indexOf(one as 'single'))
  const side = Int8Array.from({ length: cohort.n }, (_one, row) => {
    if (charted[row] === repeated) return 1
    if (charted[row] === single) return 0
    // A blank chart is read from the tightenings; they say the same in other words.
    if (charted[row] !== 0) return -1
    const name = exposureGroups[cohort.exposure[row]!]!
    return repeatedGroups.includes(name) ? 1 : name === 'single' ? 0 : -1
  })
  return { ...chartGroups, by: 'chart', side }
}

/** The groups of the names given, as the cohort holds them. */
export function measuredGroups(
  cohort: Cohort,
  { group, against }: { readonly group: ExposureGroup; readonly against: ExposureGroup },
): ComparedGroups {
  const [one, other] = [exposureGroups.indexOf(group), exposureGroups.indexOf(against)]
  const side = Int8Array.from(cohort.exposure, (code) => (code === one ? 1 : code === other ? 0 : -1))
  return { group, against, by: isByChart(group) || isByChart(against) ? 'chart' : 'measured', side }
}

function isByChart(group: ExposureGroup): boolean {
  return group === chartGroups.group || group === chartGroups.against
}

/**
 * The groups of the same practice with what is charted as repeated, but not documented on the day of delivery, counted
 * as single.
 */
export function undocumentedAsSingle(cohort: Cohort, groups: ComparedGroups): ComparedGroups {
  const charted = cohort.charted()
  const second = cohort.secondRecorded()
  const repeated = chartedWays.indexOf('repeated')
  const side = groups.side.map((one, row) => (charted[row] === repeated && second[row] === 0 ? 0 : one))
  return { ...groups, side }
}

/** Groups told apart by a field of the records. */
export function fieldGroups(
  cohort: Cohort,
  { by, group, against }: { readonly by: string; readonly group: string; readonly against: string },
): ComparedGroups {
  const values = cohort
    .trait(by as AskedName)
    .map((value) => (value === undefined ? undefined : String(value)))
  const labels = [...new Set(values)].filter((value) => value !== undefined).sort()
  const [first, second] = [group, against].map((name) => {
    const found = labels.find((label) => label === name)
    if (found !== undefined) return found
    const nearest = typeof name === 'string' ? nearestName(name, labels) : undefined
    throw new UsageError({
      code: 'no-such-group',
      problem:
        name === undefined ? `two groups of ${by} are to be named.` : `no restoration has ${by} = ${name}.`,
      expected: `two of ${labels.join(', ') || 'the values recorded, of which there are none'}`,
      mend: nearest === undefined ? 'name groups as the records do.' : `did you mean ${nearest}?`,
    })
  }) as [string, string]
  if (first === second) {
    throw new UsageError({
      code: 'no-such-group',
      problem: `both groups are ${first}.`,
      expected: `two different of ${labels.join(', ')}`,
      mend: 'name the group, and against it another one.',
    })
  }
  const side = Int8Array.from(values, (value) => (value === first ? 1 : value === second ? 0 : -1))
  return { group: first, against: second, by, side }
}

function measuredShare(cohort: Cohort): number {
  const measured = measuredRows(cohort)
  let known = 0
  let sum = 0
  cohort.exposure.forEach((code, row) => {
    if (exposureGroups[code] === 'unknown') return
    known += 1
    sum += measured[row]!
  })
  return known === 0 ? 0 : sum / known
}

/** 1 for each restoration of the cohort whose group is known from tightenings of the day of delivery. */
export function measuredRows(cohort: Cohort): Uint8Array {
  const fromReport = cohort.exposureFromReport()
  return Uint8Array.from(cohort.exposure, (code, row) => {
    const name = exposureGroups[code]!
    return name !== 'unknown' && fromReport[row] === 0 && name !== chartGroups.group ? 1 : 0
  })
}

/** Accounts for where the groups of the delivery day come from. */
export function exposureAccount(cohort: Cohort, groups: ComparedGroups): ExposureAccount {
  const ways = cohort.charted()
  const second = cohort.secondRecorded()
  const later = cohort.laterTighteningDays()
  const repeated = chartedWays.indexOf('repeated')
  let charted = 0
  let documented = 0
  let laterDated = 0
  for (let row = 0; row < cohort.n; row++) {
    const called = ways[row] === repeated || (ways[row] === 0 && second[row] === 1)
    if (called) {
      charted += 1
      documented += second[row]!
    }
    if (groups.side[row] === 1 && second[row] === 0 && later[row]! > 0) laterDated += 1
  }
  return {
    measuredShare: measuredShare(cohort),
    charted,
    documented,
    documentedShare: charted === 0 ? 1 : documented / charted,
    laterDated,
  }
}
