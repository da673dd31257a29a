import type { Cohort } from '../../cohort/cohort.js'
import { covariateValues, labelsTogether } from '../../cohort/covariates.js'
import { exposureGroups } from '../../cohort/definition.js'
import { covariateOf } from '../../vocabulary/fields.js'
import { eventsPerCoefficient } from '../crudeComparison/hazardRatios.js'
import type { AdjustmentKey } from '../plan/planFile.js'
import { commonLevels } from '../rows/adjustment.js'
import { type CohortRows, cohortRows, countStatus, subsetRows } from '../rows/cohortRows.js'
import { columnSpace } from '../rows/columnSpace.js'
import {
  knownInEnough,
  type LeftOut,
  type LeftOutReason,
  type ReadValues,
  reasonNotToEnter,
} from '../rows/knownInEnough.js'

/** What a coefficient sets against what: one level against another, or so much more of a number. */
export interface FactorContrast {
  readonly level?: string
  readonly baseline?: string
  /** Units of the field, or years of delivery. */
  readonly step?: number
}

/** One coefficient of a factor. */
export interface FactorLine {
  /** Name of the design's column. */
  readonly name: string
  readonly contrast: FactorContrast
  /** Restorations of the level, by position among those with every value known; absent for a number. */
  readonly rows?: readonly number[]
}

/** A factor as it enters the model. */
export interface Factor {
  readonly key: string
  /** Columns of numbers by the name of the coefficient. */
  readonly columns: Readonly<Record<string, Float64Array>>
  readonly lines: readonly FactorLine[]
}

/** The factors of a cohort, ready for a model. */
export interface FactorColumns {
  readonly rows: CohortRows
  readonly factors: readonly Factor[]
  readonly coefficients: number
  /** Clinic of each restoration, where there is more than one. */
  readonly strata: readonly string[] | undefined
  readonly leftOut: readonly LeftOut[]
}

/** Reads the factors, handling first, and takes as many as the events bear, in the order given. */
export function factorColumns(cohort: Cohort, keys: readonly AdjustmentKey[]): FactorColumns {
  const all = cohortRows(cohort)
  const leftOut: LeftOut[] = []
  const handling: ReadValues<string> = {
    key: 'handling',
    values: Array.from(all.exposure, (code) => exposureGroups[code]!),
  }
  const read = [handling, ...keys.map((key) => ({ key, values: covariateValues(cohort, all.row, key) }))]
  const { known, complete } = knownInEnough(read, all.n, leftOut)
  const rows = subsetRows(all, complete)
  const space = columnSpace(rows.n)
  const most = Math.floor(countStatus(rows, 1) / eventsPerCoefficient)
  const factors: Factor[] = []
  let coefficients = 0
  for (const { key, values } of known) {
    const factor = factorOf(
      key,
      complete.map((i) => values[i]!),
    )
    const fresh = factor.lines.filter(
      ({ name }) => space.fresh(name, Array.from(factor.columns[name]!)).length > 0,
    )
    const alike = factor.lines.length === 0 ? reasonAlike(complete.map((i) => values[i]!)) : undefined
    const reason = reasonNotToEnter(alike, fresh.length, { taken: coefficients, most })
    if (reason !== undefined) {
      leftOut.push({ key, reason })
      continue
    }
    const entered: FactorLine[] = []
    for (const line of fresh) {
      const added = space.fresh(line.name, Array.from(factor.columns[line.name]!))
      space.take(added)
      if (added.length > 0) entered.push(line)
    }
    coefficients += entered.length
    factors.push({ ...factor, lines: entered })
  }
  return { rows, factors, coefficients, strata: clinicsOf(cohort, rows), leftOut }
}

/** Levels held by few are put together; where only one is left then, the restorations are few, not alike. */
function reasonAlike(values: readonly (string | number)[]): LeftOutReason {
  return values.every((value) => value === values[0]) ? 'all-alike' : 'too-few-events'
}

function factorOf(key: string, values: readonly (string | number)[]): Factor {
  if (values.every((value) => typeof value === 'number')) return numberFactor(key as AdjustmentKey, values)
  const levels = commonLevels(values.map(String))
  const rowsOf = new Map<string, number[]>()
  levels.forEach((level, i) => {
    const rows = rowsOf.get(level)
    if (rows === undefined) rowsOf.set(level, [i])
    else rows.push(i)
  })
  const ordered = [...rowsOf].sort(
    ([leftLevel, left], [rightLevel, right]) =>
      right.length - left.length || (leftLevel < rightLevel ? -1 : 1),
  )
  const baseline = key === 'handling' && rowsOf.has('single') ? 'single' : ordered[0]?.[0]
  const others = ordered.filter(([level]) => level !== baseline)
  return {
    key,
    columns: Object.fromEntries(
      others.map(([level]) => [
        `${key}=${level}`,
        Float64Array.from(levels, (one) => (one === level ? 1 : 0)),
      ]),
    ),
    lines: others.map(([level, rows]) => ({
      name: `${key}=${level}`,
      contrast: { level, baseline: baseline! },
      rows,
    })),
  }
}

function numberFactor(key: AdjustmentKey, values: readonly number[]): Factor {
  const { step = 1 } = covariateOf(key)
  const alike = values.every((value) => value === values[0])
  const column = Float64Array.from(values, (value) => value / step)
  return {
    key,
    columns: alike ? {} : { [key]: column },
    lines: alike ? [] : [{ name: key, contrast: { step } }],
  }
}

function clinicsOf(cohort: Cohort, rows: CohortRows): readonly string[] | undefined {
  const clinics = labelsTogether([cohort.clinic], rows.row)
  return new Set(clinics).size > 1 ? clinics : undefined
}
