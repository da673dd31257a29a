import { daysPerYear } from '../../core/calendar.js'
import type { RandomStream } from '../../core/random.js'
import type { Protocol } from '../../pooling/protocol/protocol.js'
import type { SiteRows } from '../../pooling/site/siteRows.js'
import { normalUpperTail } from '../../statistics/numeric/distributions.js'

/** What is true of a simulated study group; docs/verification/study-group.md states the scenarios. */
export interface GroupScenario {
  readonly clinics: number
  /** Mean of the clinics' log rate ratios, and their variance. */
  readonly meanLogRatio: number
  readonly tauSquared: number
  /** Fewest and most patients of a clinic, even on the log scale; default 60 and 400. */
  readonly patients?: readonly [number, number]
}

/** Correlation of the times of one patient's restorations on the normal scale. */
const correlation = 0.5
const competingPerYear = 0.01
const longestYears = 7

/** Log rate ratio of one clinic like those of the scenario. */
export function drawnLogRatio({ meanLogRatio, tauSquared }: GroupScenario, stream: RandomStream): number {
  return meanLogRatio + Math.sqrt(tauSquared) * stream.normal()
}

/**
 * Rows of one clinic: times are exponential with the clinic's rate, times its rate ratio for the group, and those of one
 * patient go together by a normal copula, so that the rate ratio over all patients is exactly that of the clinic.
 */
export function simulatedClinic(
  clinic: string,
  logRatio: number,
  protocol: Protocol,
  stream: RandomStream,
  [fewest, most]: readonly [number, number] = [60, 400],
): SiteRows {
  const rate = 0.04 * Math.exp(0.3 * stream.normal())
  const patients = Math.round(fewest * (most / fewest) ** stream.uniform())
  const groupShare = 0.25 + 0.5 * stream.uniform()
  const last = protocol.gridDays[protocol.gridDays.length - 1]!
  const rows: { time: number; status: number; group: number; patient: number }[] = []
  for (let patient = 0; patient < patients; patient++) {
    const shared = stream.normal()
    const usual = stream.uniform() < groupShare ? 1 : 0
    const followed = daysPerYear * (0.5 + (longestYears - 0.5) * stream.uniform())
    const restorations = [1, 1, 1, 1, 1, 1, 2, 2, 3, 4][stream.index(10)]!
    for (let k = 0; k < restorations; k++) {
      const group = stream.uniform() < 0.8 ? usual : 1 - usual
      const normal = Math.sqrt(correlation) * shared + Math.sqrt(1 - correlation) * stream.normal()
      const hazard = rate * Math.exp(group * logRatio)
      const event = (-Math.log(normalUpperTail(normal)) / hazard) * daysPerYear
      const competing = (stream.exponential() / competingPerYear) * daysPerYear
      const end = Math.min(followed, last)
      const time = Math.min(event, competing, end)
      const status = time === end ? 0 : time === event ? 1 : 2
      rows.push({ time: Math.ceil(time), status, group, patient })
    }
  }
  const timeDays = Float64Array.from(rows, ({ time }) => time)
  return {
    clinics: [clinic],
    n: rows.length,
    clinic: new Int32Array(rows.length),
    timeDays,
    foundDays: timeDays,
    clearDays: timeDays,
    entryDays: new Float64Array(rows.length).fill(-1),
    status: Uint8Array.from(rows, ({ status }) => status),
    group: Uint8Array.from(rows, ({ group }) => group),
    patient: Int32Array.from(rows, ({ patient }) => patient),
    measured: new Uint8Array(rows.length).fill(1),
    covariates: [],
  }
}
