import { prepareCox } from '../../statistics/hazardModels/coxDesign.js'
import { partialLikelihood } from '../../statistics/hazardModels/coxLikelihood.js'
import { clusterScores, outerProducts } from '../../statistics/hazardModels/coxRobust.js'
import { startsOfRisk } from '../../statistics/hazardModels/timesAtRisk.js'
import type { ModelRowsRecord } from '../identity/practice.js'
import { coefficientNames, type Sums } from '../protocol/layout.js'
import type { Protocol } from '../protocol/protocol.js'
import { patientCodes } from './patientParts.js'
import type { SiteRows } from './siteRows.js'

/** The rows of the model in rounds: those of which every covariate is known. */
export function modelRows(rows: SiteRows, protocol: Protocol): ModelRowsRecord {
  const kept: number[] = []
  for (let row = 0; row < rows.n; row++) {
    if (protocol.covariates.every(({ levels }, c) => rows.covariates[c]![row]! < levels.length))
      kept.push(row)
  }
  const taken = (column: ArrayLike<number>): number[] => kept.map((row) => column[row]!)
  return {
    clinic: taken(rows.clinic),
    entryDays: taken(rows.entryDays),
    timeDays: taken(rows.timeDays),
    status: taken(rows.status),
    group: taken(rows.group),
    patient: taken(rows.patient),
    covariates: rows.covariates.map(taken),
  }
}

/**
 * What a practice adds to the model in rounds at given coefficients: score, information and patient-summed outer
 * products of Cox's model stratified by clinic (ties by Efron), as lower triangles.
 */
export function modelSums(
  rows: ModelRowsRecord,
  protocol: Protocol,
  endpoint: string,
  coefficients: readonly number[],
): Sums {
  const names = coefficientNames(protocol)
  const events = rows.status.filter((one) => one === 1).length
  const found = events === 0 ? undefined : sumsAt(rows, protocol, names, coefficients)
  const size = names.length
  const triangle = (matrix: ((a: number, b: number) => number) | undefined): Float64Array =>
    Float64Array.from(
      names.flatMap((_row, a) => names.slice(0, a + 1).map((_column, b) => matrix?.(a, b) ?? 0)),
    )
  return {
    [`${endpoint}/model/counts`]: Float64Array.of(rows.status.length, events),
    [`${endpoint}/model/score`]: found?.score ?? new Float64Array(size),
    [`${endpoint}/model/information`]: triangle(found?.information),
    [`${endpoint}/model/patientSquares`]: triangle(found?.squares),
  }
}

function sumsAt(
  rows: ModelRowsRecord,
  protocol: Protocol,
  names: readonly string[],
  coefficients: readonly number[],
): {
  readonly score: Float64Array
  readonly information: (a: number, b: number) => number
  readonly squares: (a: number, b: number) => number
} {
  const indicator = (column: readonly number[], level: number): Float64Array =>
    Float64Array.from(column, (one) => (one === level ? 1 : 0))
  const columns = [
    indicator(rows.group, 1),
    ...protocol.covariates.flatMap(({ levels }, c) =>
      levels.slice(1).map((_level, l) => indicator(rows.covariates[c]!, l + 1)),
    ),
  ]
  const design = prepareCox(
    {
      start: startsOfRisk(rows.entryDays),
      stop: rows.timeDays,
      event: rows.status.map((one) => (one === 1 ? 1 : 0)),
    },
    Object.fromEntries(names.map((name, j) => [name, columns[j]!])),
    { strata: rows.clinic },
  )
  const { size, scale } = design
  const at = Float64Array.from(coefficients, (one, j) => one * scale[j]!)
  const point = partialLikelihood(design, { ties: 'efron' })(at)
  const codes = patientCodes({ patient: Int32Array.from(rows.patient) })
  const meat = outerProducts(clusterScores(design, { ties: 'efron' }, at, codes), size)
  return {
    score: Float64Array.from(point.gradient, (one, j) => one * scale[j]!),
    information: (a, b) => point.information[a * size + b]! * scale[a]! * scale[b]!,
    squares: (a, b) => meat[a * size + b]! * scale[a]! * scale[b]!,
  }
}
