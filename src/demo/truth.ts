import { deepFreeze } from '../core/plain.js'
import { trueRisk } from './hazards.js'
import type { ExpectedMistake } from './mistakes.js'
import type { RestorationRecords } from './patientRecords.js'
import type { DemoScenario, TrueProtocol } from './scenario.js'
import type { DemoSettings } from './settings.js'

/** Counts of restorations that were really tightened in one way, whatever the chart says. */
export interface ProtocolCount {
  readonly restorations: number
  readonly foundLoose: number
}

/** What is true of a generated study group: what was put in, and what came out before anyone wrote mistakes into it. */
export interface DemoTruth {
  readonly title: string
  readonly generated: true
  readonly seed: number
  readonly patientsOffered: number
  readonly mistakesPer1000Patients: number
  /** Conditional (given the patient's frailty) effect of tightening again within the window against once. */
  readonly repeatedAgainstSingle: {
    readonly conditionalHazardRatio: number
    readonly conditionalLogHazardRatio: number
    readonly frailtyDistribution: 'gamma'
    readonly frailtyVariance: number
  }
  readonly scenario: DemoScenario
  /**
   * Risk of a first loosening, seen or not, in the presence of implant loss, removal and death, had every single crown
   * of the records been tightened in one way; the mean over those crowns, whoever treated them.
   */
  readonly trueRisks: readonly {
    readonly years: number
    readonly single: number
    readonly repeatedInWindow: number
    readonly difference: number
  }[]
  readonly counts: {
    readonly patients: number
    readonly restorations: number
    readonly foundLoose: number
    readonly implantLosses: number
    readonly removedForOtherCauses: number
    readonly byTrueProtocol: Readonly<Record<TrueProtocol, ProtocolCount>>
  }
  readonly expectedMistakes: readonly ExpectedMistake[]
}

/** Title of everything made from the generator. */
export const demoTitle = 'Generated demo data: a study group of five invented clinics'

/** Counts what was generated, patient by patient. */
export interface TruthTally {
  add(records: readonly RestorationRecords[]): void
  addMistakes(mistakes: readonly ExpectedMistake[]): void
  truth(settings: DemoSettings): DemoTruth
}

/** Years by which the true risk is stated. */
const riskYears = [1, 3, 5] as const

/** Mean risks to six decimals, beyond which the same machine alone would give the same digits. */
function meanRisks(
  years: number,
  sums: { readonly single: number; readonly repeated: number },
  crowns: number,
): DemoTruth['trueRisks'][number] {
  const mean = (sum: number): number => Number((crowns === 0 ? 0 : sum / crowns).toFixed(6))
  const single = mean(sums.single)
  const repeatedInWindow = mean(sums.repeated)
  return { years, single, repeatedInWindow, difference: Number((repeatedInWindow - single).toFixed(6)) }
}

/** Opens a tally. */
export function truthTally(scenario: DemoScenario): TruthTally {
  const mistakes: ExpectedMistake[] = []
  const risks = riskYears.map(() => ({ single: 0, repeated: 0 }))
  let crowns = 0
  const counts = { patients: 0, restorations: 0, foundLoose: 0, implantLosses: 0, removedForOtherCauses: 0 }
  const byTrueProtocol: Record<TrueProtocol, { restorations: number; foundLoose: number }> = {
    single: { restorations: 0, foundLoose: 0 },
    repeated_in_window: { restorations: 0, foundLoose: 0 },
    repeated_outside_window: { restorations: 0, foundLoose: 0 },
    undone_then_tightened: { restorations: 0, foundLoose: 0 },
  }
  const addRisks = ({ multiplier, ageYears }: NonNullable<RestorationRecords['atRisk']>): void => {
    const { single, repeated_in_window: repeated } = scenario.hazardRatios.tightening
    riskYears.forEach((years, at) => {
      risks[at]!.single += trueRisk(scenario, multiplier * single, ageYears, years)
      risks[at]!.repeated += trueRisk(scenario, multiplier * repeated, ageYears, years)
    })
  }
  return {
    add: (records) => {
      if (records.length > 0) counts.patients++
      for (const one of records) {
        const found = one.foundLoose ? 1 : 0
        counts.restorations++
        if (one.atRisk !== undefined) {
          crowns++
          addRisks(one.atRisk)
        }
        counts.foundLoose += found
        byTrueProtocol[one.protocol].restorations++
        byTrueProtocol[one.protocol].foundLoose += found
        if (one.ending === 'implant loss') counts.implantLosses++
        else if (one.ending !== undefined) counts.removedForOtherCauses++
      }
    },
    addMistakes: (more) => {
      mistakes.push(...more)
    },
    truth: (settings) => {
      const ratio =
        scenario.hazardRatios.tightening.repeated_in_window / scenario.hazardRatios.tightening.single
      return deepFreeze({
        title: demoTitle,
        generated: true,
        seed: settings.seed,
        patientsOffered: settings.patients,
        mistakesPer1000Patients: settings.mistakesPer1000Patients,
        repeatedAgainstSingle: {
          conditionalHazardRatio: ratio,
          conditionalLogHazardRatio: Math.log(ratio),
          frailtyDistribution: 'gamma',
          frailtyVariance: scenario.frailtyVariance,
        },
        scenario,
        trueRisks: riskYears.map((years, at) => meanRisks(years, risks[at]!, crowns)),
        counts: { ...counts, byTrueProtocol: structuredClone(byTrueProtocol) },
        expectedMistakes: [...mistakes],
      })
    },
  }
}
