import {
  casesBetweenChart,
  exactRunLength,
  funnelLimits,
  riskAdjustedChart,
} from '../../statistics/monitoring/index.js'
import type { ReferenceCase, ReferenceMethod } from '../referenceCase.js'
import { numberOf, numbersOf } from './columns.js'

export const monitoringMethods: Readonly<Record<string, ReferenceMethod>> = {
  'monitoring.funnel': funnel,
  'monitoring.cumulative': cumulative,
  'monitoring.run_length': runLength,
  'monitoring.between': between,
}

function funnel(reference: ReferenceCase): unknown {
  const tails = Array.from(numbersOf(reference, 'p'))
  const poisson = reference.data.n === undefined
  const limits = poisson
    ? funnelLimits(numbersOf(reference, 'expected'), numberOf(reference, 'target', 1), {
        family: 'poisson',
        tails,
      })
    : funnelLimits(numbersOf(reference, 'n'), numberOf(reference, 'target'), { tails })
  return {
    limits: limits.map((one) => one.exact),
    normal_approx: limits.map((one) => one.normal),
  }
}

function cumulative(reference: ReferenceCase): unknown {
  const chart = riskAdjustedChart(
    numbersOf(reference, 'y'),
    numbersOf(reference, 'p'),
    numberOf(reference, 'h'),
    { acceptable: numberOf(reference, 'R0', 1), toDetect: numberOf(reference, 'RA', 2) },
  )
  return {
    w: chart.rows.map((row) => row.weight),
    S_up: chart.rows.map((row) => row.up),
    S_down: chart.rows.map((row) => row.down),
    first_signal: chart.firstSignal,
    first_signal_down: chart.firstSignalDown,
    cumulative_O_minus_E: chart.rows.map((row) => row.observedLessExpected),
  }
}

function runLength(reference: ReferenceCase): unknown {
  const event = numberOf(reference, 'score_event')
  const other = numberOf(reference, 'score_no_event')
  const lengths = Array.from(numbersOf(reference, 'p'), (risk) =>
    exactRunLength(
      [
        { score: event, probability: risk },
        { score: other, probability: 1 - risk },
      ],
      numberOf(reference, 'h'),
    ),
  )
  return { arl_exact: lengths }
}

function between(reference: ReferenceCase): unknown {
  const chart = casesBetweenChart(numbersOf(reference, 'gaps'))
  return {
    gbar: chart.mean,
    p_hat: chart.risk,
    sd: chart.standardDeviation,
    ucl_3sigma: chart.upperLimit,
    lcl_3sigma: chart.lowerLimit,
    ucl_probability: chart.upperProbabilityLimit,
    lcl_probability: chart.lowerProbabilityLimit,
    points_above_ucl: chart.above,
  }
}
