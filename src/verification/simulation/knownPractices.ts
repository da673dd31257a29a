import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { buildCohort, type Cohort } from '../../cohort/cohort.js'
import { daysPerYear } from '../../core/calendar.js'
import { HoldfastError } from '../../core/errors.js'
import { isNumber } from '../../core/estimate.js'
import {
  type ComparisonResult,
  compareTightenings,
  defaultComparison,
  outcomeOf,
} from '../../questions/comparison/answer.js'
import { comparedRows } from '../../questions/comparison/choice.js'
import { pooledRange, type Ranged } from '../../questions/comparison/estimate.js'
import { tighteningGroups } from '../../questions/comparison/groups.js'
import { howOften } from '../../questions/howOften/answer.js'
import { defaultSettings } from '../../questions/plan/settings.js'
import { readRecords } from '../../records/read/readDataset.js'
import { coxRegression } from '../../statistics/hazardModels/cox.js'
import { normalUpperTail } from '../../statistics/numeric/distributions.js'
import { filledCells } from '../../statistics/numeric/filledCells.js'
import { overlapRisks } from '../../statistics/weighting/overlapRisks.js'
import type { OverlapScores } from '../../statistics/weighting/overlapScores.js'
import { influenceVariance } from '../../statistics/weighting/patientVariance.js'
import { writePractice } from '../../studies/practices/folder.js'
import { drawPractice, type Practice } from '../../studies/practices/practice.js'
import type { PracticeTraits } from '../../studies/practices/scenario.js'

/** What one practice with a known truth came to, as one line of a study. */
export interface KnownAnswer {
  readonly verdict: string
  readonly reason: string
  readonly years?: number
  readonly difference?: Ranged
  readonly ends?: { readonly found: Ranged; readonly afterLastLook: Ranged }
  readonly patientsWithEvent?: number
  readonly events?: { readonly group: number; readonly against: number }
  readonly contradicts: readonly string[]
  readonly moved: boolean
  readonly documentedShare: number
  readonly openChoice?: number
  readonly loss?: {
    readonly pValue?: number
    readonly hazardRatio?: number
    readonly favoured: number
    readonly difference?: Ranged
  }
  readonly risk?: Ranged
  readonly riskRange?: { readonly lower: number; readonly upper: number }
  readonly riskYears?: number
  readonly oracle?: Oracle
}

/** What who knows the truth about the choice, and about each crown, could say of the same records. */
export interface Oracle {
  /** The difference with the true probability of the choice as score. */
  readonly difference: Ranged
  /** The hazard ratio with every crown's true hazard ratio in the model, within operators. */
  readonly hazard?: { readonly logRatio: number; readonly pValue: number }
}

const planned = { group: 'repeated in the window', against: 'single' } as const
/** 2026-06-30, after the last day of every practice. */
const today = 20_634

/** Draws a practice, reads it as a user's would be, compares, and sets what an all-knowing reader would find beside it. */
export async function knownAnswer(traits: PracticeTraits, seed: number): Promise<KnownAnswer> {
  const practice = drawPractice(traits, seed)
  const cohort = await cohortOf(practice)
  const result = compareTightenings(cohort, planned, { ...defaultComparison })
  const often = howOften(cohort, defaultSettings)
  const risk = often.verdict === 'estimate' ? often.horizon?.risk : undefined
  const range = risk === undefined ? undefined : often.horizon!.betweenLooks.range
  return {
    ...(result === undefined
      ? { verdict: 'no comparison', reason: '', contradicts: [], moved: false, documentedShare: 0 }
      : answered(result)),
    ...(risk === undefined || !isNumber(risk.estimate)
      ? {}
      : {
          risk: {
            estimate: risk.estimate,
            lower: isNumber(risk.interval.lower) ? risk.interval.lower : 0,
            upper: isNumber(risk.interval.upper) ? risk.interval.upper : 1,
          },
          ...(often.years === undefined ? {} : { riskYears: often.years }),
          ...(isNumber(range!.lower) && isNumber(range!.upper)
            ? { riskRange: { lower: range!.lower, upper: range!.upper } }
            : {}),
        }),
    ...oracleOf(practice, cohort, result),
  }
}

/** Reads a practice from files, as a user's would be. */
export async function cohortOf(practice: Practice): Promise<Cohort> {
  const folder = mkdtempSync(join(tmpdir(), 'known-'))
  try {
    writePractice(practice.tables, folder)
    return buildCohort(await readRecords(folder, { today }))
  } finally {
    rmSync(folder, { recursive: true, force: true })
  }
}

function answered(result: ComparisonResult): KnownAnswer {
  const { lead, loss, ends, overlap, challenges, exposure } = result
  const counted = challenges.find(({ code }) => code === 'loss')
  return {
    verdict: result.verdict,
    reason: result.reason,
    contradicts: challenges.filter(({ effect }) => effect === 'contradicts').map(({ code }) => code),
    moved: challenges.some(({ code, effect }) => code === 'undocumented-as-single' && effect === 'weakens'),
    documentedShare: exposure?.documentedShare ?? 1,
    ...(result.horizonYears === undefined ? {} : { years: result.horizonYears }),
    ...(overlap === undefined ? {} : { openChoice: overlap.openChoice }),
    ...(lead === undefined
      ? {}
      : { difference: lead.difference, patientsWithEvent: lead.patientsWithEvent, events: lead.events }),
    ...(ends === undefined ? {} : { ends }),
    ...(loss === undefined
      ? {}
      : {
          loss: {
            favoured: loss.favoured,
            ...(loss.pValue === undefined ? {} : { pValue: loss.pValue }),
            ...(loss.hazardRatio === undefined ? {} : { hazardRatio: loss.hazardRatio }),
            ...(counted?.estimate === undefined
              ? {}
              : {
                  difference: { estimate: counted.estimate, lower: counted.lower!, upper: counted.upper! },
                }),
          },
        }),
  }
}

function oracleOf(
  practice: Practice,
  cohort: Cohort,
  result: ComparisonResult | undefined,
): { readonly oracle?: Oracle } {
  const compared = comparedRows(cohort, tighteningGroups(cohort, planned))
  if (compared === undefined || result?.lead === undefined || result.horizonYears === undefined) return {}
  const { inGroup, patient, patients } = compared
  const crowns = Array.from(compared.row, (row) => practice.truth[cohort.recordRow[row]!]!.fate.crown)
  const outcome = outcomeOf(cohort, compared, 'midpoint')
  const columns = { time: outcome.timeDays, status: outcome.status, entry: outcome.entryDays }
  const score = Float64Array.from(crowns, ({ propensity }) => propensity)
  const constant = new Float64Array(score.length).fill(1)
  const known: OverlapScores = {
    score,
    weight: score.map((e, i) => (inGroup[i] === 1 ? 1 - e : e)),
    width: 1,
    cells: filledCells(constant, score.length, 1),
    coefficients: new Float64Array(1),
    // What is known and not estimated adds nothing.
    solve: () => new Float64Array(1),
    dependent: [],
    converged: true,
    iterations: 0,
  }
  const risks = overlapRisks(columns, inGroup, known, result.horizonYears * daysPerYear)
  const signed = risks.influence.map((one, i) => (inGroup[i] === 1 ? one : -one))
  const difference = pooledRange(
    [risks.difference],
    [influenceVariance(signed, patient, patients)],
    Math.max(1, result.lead.patientsWithEvent - 2),
    0.95,
  )
  const hazard = trueModel(compared, crowns, outcome)
  return {
    oracle: {
      difference: { estimate: difference.estimate, lower: difference.lower, upper: difference.upper },
      ...(hazard === undefined ? {} : { hazard }),
    },
  }
}

function trueModel(
  { inGroup, patient }: NonNullable<ReturnType<typeof comparedRows>>,
  crowns: readonly Practice['truth'][number]['fate']['crown'][],
  outcome: ReturnType<typeof outcomeOf>,
): Oracle['hazard'] {
  try {
    const fit = coxRegression(
      {
        time: Array.from(outcome.timeDays, (one) => Math.max(0.25, one)),
        event: Array.from(outcome.status, (one) => (one === 1 ? 1 : 0)),
      },
      { group: [...inGroup] },
      {
        strata: crowns.map((one) => `${one.patient.operator}`),
        cluster: [...patient],
        offset: crowns.map((one) => Math.log(one.hazardRatio)),
      },
    )
    const ratio = fit.hazardRatios[0]!
    const { logHazardRatio, robustStandardError: error } = ratio
    if (!isNumber(logHazardRatio) || error === undefined || !isNumber(error) || !(error > 0)) return undefined
    return { logRatio: logHazardRatio, pValue: 2 * normalUpperTail(Math.abs(logHazardRatio) / error) }
  } catch (thrown) {
    if (thrown instanceof HoldfastError) return undefined
    throw thrown
  }
}
