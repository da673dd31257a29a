import { daysPerYear } from '../../core/calendar.js'
import { nodesOf } from '../protocol/layout.js'
import { type Protocol, yearEnds } from '../protocol/protocol.js'
import type { PatientParts } from './parts.js'
import type { SiteRows } from './siteRows.js'
import { positionAfter, type RiskDays, rowScore, scoreAt } from './twoGroupScores.js'

/** What only patients can tell of rows in memory. */
export function patientParts(rows: SiteRows, risks: readonly RiskDays[], protocol: Protocol): PatientParts {
  const counted = (wanted: (row: number) => boolean): number => {
    const seen = new Set<number>()
    for (let row = 0; row < rows.n; row++) if (wanted(row)) seen.add(rows.patient[row]!)
    return seen.size
  }
  const both = (wanted: (row: number) => boolean): readonly [number, number] => [
    counted((row) => rows.group[row] === 0 && wanted(row)),
    counted((row) => rows.group[row] === 1 && wanted(row)),
  ]
  const hasEvent = (row: number): boolean => rows.status[row] === 1
  const patients = patientCodes(rows)
  return {
    patients: both(() => true),
    patientsWithEvent: both(hasEvent),
    patientsAll: patients.count,
    patientsWithEventAll: counted(hasEvent),
    gridPatients: patientsAtRisk(rows, protocol.gridDays),
    yearPatients: patientsAtRisk(rows, yearEnds(protocol)),
    rateSquares: rateSquares(rows, patients),
    nodeSquares: nodeSquares(rows, risks, protocol),
    logRankSquare: scoreSquares(rows, risks)(0, 'breslow'),
  }
}

/** Squared scores of patients at the nodes of the log hazard ratio. */
export function nodeSquares(rows: SiteRows, risks: readonly RiskDays[], protocol: Protocol): Float64Array {
  const squaresAt = scoreSquares(rows, risks)
  return Float64Array.from(nodesOf(protocol), (node) => squaresAt(node, 'efron'))
}

function scoreSquares(
  rows: SiteRows,
  risks: readonly RiskDays[],
): (logHazardRatio: number, ties: 'efron' | 'breslow') => number {
  const patients = patientCodes(rows)
  const places = placesOf(rows, risks)
  return (logHazardRatio, ties) => {
    const at = risks.map((risk) => scoreAt(risk, logHazardRatio, ties))
    return squared(patients, (row) =>
      rowScore(
        at[rows.clinic[row]!]!,
        rows.group[row]!,
        rows.status[row] === 1,
        places.entered[row]!,
        places.left[row]!,
      ),
    )
  }
}

interface PatientCodes {
  readonly codes: Int32Array
  readonly count: number
}

/** Patients numbered from 0 without gaps. */
export function patientCodes(rows: Pick<SiteRows, 'patient'>): PatientCodes {
  const seen = new Map<number, number>()
  const codes = rows.patient.map((patient) => {
    const known = seen.get(patient) ?? seen.size
    seen.set(patient, known)
    return known
  })
  return { codes, count: seen.size }
}

function placesOf(
  rows: SiteRows,
  risks: readonly RiskDays[],
): { readonly entered: Int32Array; readonly left: Int32Array } {
  const at = (days: Float64Array): Int32Array =>
    Int32Array.from(days, (day, row) => positionAfter(risks[rows.clinic[row]!]!.day, day, true))
  return { entered: at(rows.entryDays), left: at(rows.timeDays) }
}

function squared({ codes, count }: PatientCodes, scoreOf: (row: number) => number): number {
  const sums = new Float64Array(count)
  for (let row = 0; row < codes.length; row++) sums[codes[row]!]! += scoreOf(row)
  return sums.reduce((sum, one) => sum + one * one, 0)
}

/** Patients with a restoration at risk in each interval, group by group. */
function patientsAtRisk(rows: SiteRows, ends: readonly number[]): Float64Array {
  const seen = Array.from({ length: 2 * ends.length }, () => new Set<number>())
  for (let row = 0; row < rows.n; row++) {
    ends.forEach((end, j) => {
      const from = j === 0 ? -1 : ends[j - 1]!
      if (rows.timeDays[row]! > from && rows.entryDays[row]! < end)
        seen[rows.group[row]! * ends.length + j]!.add(rows.patient[row]!)
    })
  }
  return Float64Array.from(seen, ({ size }) => size)
}

function rateSquares(rows: SiteRows, { codes, count }: PatientCodes): Float64Array {
  const events = [new Float64Array(count), new Float64Array(count)] as const
  const years = [new Float64Array(count), new Float64Array(count)] as const
  for (let row = 0; row < rows.n; row++) {
    const group = rows.group[row] as 0 | 1
    events[group][codes[row]!]! += rows.status[row] === 1 ? 1 : 0
    years[group][codes[row]!]! += (rows.timeDays[row]! - Math.max(0, rows.entryDays[row]!)) / daysPerYear
  }
  const sums = new Float64Array(9)
  const add = (at: number, d: number, t: number): void => {
    sums[at]! += d * d
    sums[at + 1]! += d * t
    sums[at + 2]! += t * t
  }
  for (let patient = 0; patient < count; patient++) {
    for (const group of [0, 1] as const) add(group * 3, events[group][patient]!, years[group][patient]!)
    add(6, events[0][patient]! + events[1][patient]!, years[0][patient]! + years[1][patient]!)
  }
  return sums
}
