import type { DayCounts } from './twoGroupScores.js'

/** What only patients can tell: how many there are, and squares of sums over their restorations; groups as 0 and 1. */
export interface PatientParts {
  readonly patients: readonly [number, number]
  readonly patientsWithEvent: readonly [number, number]
  readonly patientsAll: number
  readonly patientsWithEventAll: number
  /** Patients at risk in each interval of the grid and each year: group by group. */
  readonly gridPatients: Float64Array
  readonly yearPatients: Float64Array
  /** For each group, and both together: squared events, events times years, squared years. */
  readonly rateSquares: Float64Array
  /** Squared scores of the model at the nodes, and of the log-rank test. */
  readonly nodeSquares: Float64Array
  readonly logRankSquare: number
}

/** Everything that the sums of an endpoint follow from, whoever holds the rows. */
export interface EndpointParts {
  /** Restorations by clinic and day. */
  readonly clinics: readonly DayCounts[]
  /** Restorations whose group was measured. */
  readonly measured: readonly [number, number]
  readonly patients: PatientParts
  /** With every event on the day of its finding, and right after its last clean look; absent where that is not known. */
  readonly ends?: { readonly found: EndParts; readonly clear: EndParts }
}

/** What the comparison follows from where events are placed elsewhere. */
export interface EndParts {
  readonly clinics: readonly DayCounts[]
  readonly nodeSquares: Float64Array
}
