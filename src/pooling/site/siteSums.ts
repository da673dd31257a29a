import { daysPerYear } from '../../core/calendar.js'
import { cellParts, nodesOf, type Sums } from '../protocol/layout.js'
import { type Protocol, yearEnds } from '../protocol/protocol.js'
import type { EndParts, EndpointParts } from './parts.js'
import { nodeSquares, patientParts } from './patientParts.js'
import type { SiteRows } from './siteRows.js'
import { type DayCounts, logRankParts, type RiskDays, riskDays, scoreAt } from './twoGroupScores.js'

/** Sums of one endpoint of a practice. */
export function endpointSums(parts: EndpointParts, protocol: Protocol, endpoint: string): Sums {
  const risks = parts.clinics.map(riskDays)
  const { patients } = parts
  const midpoint = { clinics: parts.clinics, nodeSquares: patients.nodeSquares }
  const pair = (values: readonly [number, number]): Float64Array => Float64Array.from(values)
  const restorations = byGroup(parts.clinics, () => true)
  const grid = cellSums(parts.clinics, protocol.gridDays, patients.gridPatients)
  const years = cellSums(parts.clinics, yearEnds(protocol), patients.yearPatients)
  const logRank = risks.map(logRankParts)
  const named: Readonly<Record<string, Float64Array>> = {
    restorations: pair(restorations),
    events: pair(byGroup(parts.clinics, (status) => status === 1)),
    competing: pair(byGroup(parts.clinics, (status) => status === 2)),
    patients: pair(patients.patients),
    patientsWithEvent: pair(patients.patientsWithEvent),
    measured: pair(parts.measured),
    contributing: pair([Math.min(1, restorations[0]), Math.min(1, restorations[1])]),
    patientsAll: Float64Array.of(patients.patientsAll),
    patientsWithEventAll: Float64Array.of(patients.patientsWithEventAll),
    comparing: Float64Array.of(total(logRank, 1) > 0 ? 1 : 0),
    days: pair([daysAtRisk(parts.clinics, 0), daysAtRisk(parts.clinics, 1)]),
    patientRateSquares: patients.rateSquares,
    grid: grid.cells,
    gridDays: grid.days,
    years: years.cells,
    yearDays: years.days,
    logRank: Float64Array.of(total(logRank, 0), total(logRank, 1), patients.logRankSquare),
    mantelHaenszel: mantelHaenszelParts(parts.clinics),
    nodes: nodeSums(risks, patients.nodeSquares, nodesOf(protocol)),
    nodesFound: endSums(parts.ends?.found ?? midpoint, nodesOf(protocol)),
    nodesClear: endSums(parts.ends?.clear ?? midpoint, nodesOf(protocol)),
  }
  return Object.fromEntries(Object.entries(named).map(([name, values]) => [`${endpoint}/${name}`, values]))
}

/** Restorations of one practice put together by clinic and day, with what only patients can tell. */
export function partsOfRows(rows: SiteRows, protocol: Protocol): EndpointParts {
  const clinics = dayCounts(rows)
  const measured: [number, number] = [0, 0]
  for (let row = 0; row < rows.n; row++) measured[rows.group[row] as 0 | 1] += rows.measured[row]!
  const end = (timeDays: Float64Array): EndParts => {
    const moved = { ...rows, timeDays }
    const counts = dayCounts(moved)
    return { clinics: counts, nodeSquares: nodeSquares(moved, counts.map(riskDays), protocol) }
  }
  return {
    clinics,
    measured,
    patients: patientParts(rows, clinics.map(riskDays), protocol),
    ends: { found: end(rows.foundDays), clear: end(rows.clearDays) },
  }
}

/** Exits and entries of each clinic, put together by group, way of leaving and day. */
export function dayCounts(rows: SiteRows): readonly DayCounts[] {
  const exits = rows.clinics.map(() => new Map<string, number>())
  const entries = rows.clinics.map(() => new Map<string, number>())
  const add = (map: Map<string, number>, key: string): void => void map.set(key, (map.get(key) ?? 0) + 1)
  for (let row = 0; row < rows.n; row++) {
    const clinic = rows.clinic[row]!
    add(exits[clinic]!, `${rows.group[row]} ${rows.timeDays[row]} ${rows.status[row]}`)
    add(entries[clinic]!, `${rows.group[row]} ${rows.entryDays[row]}`)
  }
  return rows.clinics.map((_name, clinic) => ({
    exits: [...exits[clinic]!].map(([key, count]) => {
      const [group, day, status] = key.split(' ').map(Number)
      return { group: group!, day: day!, status: status!, count }
    }),
    entries: [...entries[clinic]!].map(([key, count]) => {
      const [group, day] = key.split(' ').map(Number)
      return { group: group!, day: day!, count }
    }),
  }))
}

function byGroup(
  clinics: readonly DayCounts[],
  wanted: (status: number) => boolean,
): readonly [number, number] {
  const counts: [number, number] = [0, 0]
  for (const { exits } of clinics) {
    for (const { group, status, count } of exits) if (wanted(status)) counts[group as 0 | 1] += count
  }
  return counts
}

function daysAtRisk(clinics: readonly DayCounts[], group: number): number {
  let days = 0
  for (const { exits, entries } of clinics) {
    for (const one of exits) if (one.group === group) days += one.count * one.day
    for (const one of entries) if (one.group === group) days -= one.count * Math.max(0, one.day)
  }
  return days
}

function cellSums(
  clinics: readonly DayCounts[],
  ends: readonly number[],
  patients: Float64Array,
): { readonly cells: Float64Array; readonly days: Float64Array } {
  const parts = cellParts.length
  const cells = new Float64Array(2 * ends.length * parts)
  const days = new Float64Array(2 * ends.length)
  for (const { exits, entries } of clinics) {
    for (const [moves, sign] of [
      [exits, 1],
      [entries, -1],
    ] as const) {
      for (const { group, day, count, ...way } of moves) {
        ends.forEach((end, j) => {
          const from = j === 0 ? -1 : ends[j - 1]!
          const at = (group * ends.length + j) * parts
          days[group * ends.length + j]! +=
            sign * count * (Math.min(Math.max(day, from, 0), end) - Math.max(from, 0))
          if (sign === -1) {
            if (day < end) cells[at]! += count
            return
          }
          if (day <= from) cells[at]! -= count
          const status = (way as { readonly status?: number }).status
          if (day > from && day <= end && status === 1) cells[at + 1]! += count
          if (day > from && day <= end && status === 2) cells[at + 2]! += count
        })
      }
    }
  }
  patients.forEach((count, i) => {
    cells[i * parts + 3] = count
    cells[i * parts + 4] = Math.min(1, count)
  })
  return { cells, days }
}

/**
 * Numerator, denominator and variance part of the rate ratio by Mantel and Haenszel over clinics (Greenland and Robins
 * 1985); time in years.
 */
function mantelHaenszelParts(clinics: readonly DayCounts[]): Float64Array {
  const sums = new Float64Array(3)
  for (const clinic of clinics) {
    const [against, group] = byGroup([clinic], (status) => status === 1)
    const years = [daysAtRisk([clinic], 0) / daysPerYear, daysAtRisk([clinic], 1) / daysPerYear] as const
    const all = years[0] + years[1]
    if (!(all > 0)) continue
    sums[0]! += (group * years[0]) / all
    sums[1]! += (against * years[1]) / all
    sums[2]! += ((group + against) * years[0] * years[1]) / (all * all)
  }
  return sums
}

function nodeSums(risks: readonly RiskDays[], squares: Float64Array, nodes: readonly number[]): Float64Array {
  return Float64Array.from(
    nodes.flatMap((node, j) => {
      const at = risks.map((risk) => scoreAt(risk, node))
      const score = at.reduce((sum, one) => sum + one.score, 0)
      const information = at.reduce((sum, one) => sum + one.information, 0)
      return [score, information, squares[j]!, score * score, information * information]
    }),
  )
}

function endSums({ clinics, nodeSquares: squares }: EndParts, nodes: readonly number[]): Float64Array {
  const risks = clinics.map(riskDays)
  return Float64Array.from(
    nodes.flatMap((node, j) => {
      const at = risks.map((risk) => scoreAt(risk, node))
      return [
        at.reduce((sum, one) => sum + one.score, 0),
        at.reduce((sum, one) => sum + one.information, 0),
        squares[j]!,
      ]
    }),
  )
}

function total(parts: readonly (readonly [number, number])[], at: 0 | 1): number {
  return parts.reduce((sum, one) => sum + one[at], 0)
}
