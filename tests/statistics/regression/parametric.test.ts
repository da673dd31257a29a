import { readFileSync } from 'node:fs'
import { parse } from 'csv-parse/sync'
import { describe, expect, it } from 'vitest'
import {
  type LifetimeDistribution,
  parametricRegression,
} from '../../../src/statistics/regression/parametric.js'
import { parametricSurvival } from '../../../src/statistics/regression/parametricSurvival.js'

const lung = parse(readFileSync(new URL('../../reference/data/lung_cox.csv', import.meta.url)), {
  columns: true,
}) as Record<string, string>[]
const column = (name: string, rows = lung): number[] => rows.map((row) => Number(row[name]))
const intervals = (rows = lung): { lower: number[]; upper: number[] } => ({
  lower: column('time', rows),
  upper: rows.map((row) => (row.status === '1' ? Number(row.time) : Number.POSITIVE_INFINITY)),
})
const close = (found: unknown, wanted: number, relative = 1e-8): void => {
  expect(typeof found).toBe('number')
  expect(Math.abs((found as number) - wanted)).toBeLessThanOrEqual(relative * Math.abs(wanted))
}

describe('parametric regression of known and right-censored times', () => {
  // survreg of R survival 3.5-3 on lung_cox.csv, rel.tolerance 1e-14: coefficients, log scale, standard errors
  // (log scale last) and log-likelihoods without and with covariates.
  const wanted: Readonly<Record<LifetimeDistribution, readonly number[]>> = {
    weibull: [
      6.4662442870165719, -0.014350221128073425, 0.37099610745885864, -0.30644334678845658,
      0.4941116536774236, 0.0071455281156154894, 0.1297863271184459, 0.064678966906830865,
      -1062.5579094806503, -1055.6917117854696,
    ],
    exponential: [
      6.6014742058624885, -0.018608035231526387, 0.47945753503604555, 0, 0.66676382437143289,
      0.009540728150583596, 0.17417335371337148, 0, -1071.6698264477191, -1065.3374863630329,
    ],
    'log-logistic': [
      6.188926366063332, -0.016976040539314275, 0.45993235162097656, -0.5886708133375711, 0.54340067138970782,
      0.0078699313794379187, 0.14299853539913426, 0.068448807232874442, -1069.6603336128971,
      -1061.4997136343611,
    ],
    'log-normal': [
      6.7044942733264588, -0.026530344597834956, 0.49048211624477994, 0.042763240560163271,
      0.60814218185305979, 0.0085585429199510604, 0.15963378113635876, 0.058463051735300066,
      -1078.4657622587777, -1067.8197985101044,
    ],
  }
  it.each(Object.entries(wanted))('%s agrees with R', (distribution, values) => {
    const fit = parametricRegression(
      intervals(),
      { age: column('age'), sex: column('sex') },
      distribution as LifetimeDistribution,
    )
    fit.coefficients.forEach((one, j) => {
      close(one.estimate, values[j]!)
      close(one.standardError, values[4 + j]!, 1e-7)
    })
    if (distribution === 'exponential') expect(fit.scale).toBe(1)
    else {
      close(fit.logScale, values[3]!, 1e-7)
      close(fit.logScaleStandardError, values[7]!, 1e-7)
    }
    close(fit.logLikelihoodAtNull, values[8]!)
    close(fit.logLikelihood, values[9]!)
  })

  it('sums the variance over clusters as R does', () => {
    const rows = lung.filter((row) => row.inst !== '')
    const fit = parametricRegression(intervals(rows), { sex: column('sex', rows) }, 'weibull', {
      cluster: column('inst', rows),
    })
    close(fit.coefficients[0]!.standardError, 0.17656972286386374, 1e-7)
    close(fit.coefficients[1]!.standardError, 0.12803076598032387, 1e-7)
    close(fit.logScaleStandardError, 0.060842813984185028, 1e-7)
  })

  it('puts half of the rows before the median that R predicts', () => {
    const fit = parametricRegression(intervals(), { sex: column('sex') }, 'weibull')
    close(parametricSurvival(fit, { sex: 1 }, [287.49267912322682])[0]!.survival, 0.5, 1e-6)
  })
})

describe('parametric regression by hand', () => {
  it('exponential, known times: the mean', () => {
    const fit = parametricRegression({ lower: [1, 2, 6], upper: [1, 2, 6] }, {}, 'exponential')
    close(fit.coefficients[0]!.estimate, Math.log(3))
    close(fit.coefficients[0]!.standardError, 1 / Math.sqrt(3), 1e-7)
    close(fit.logLikelihood, -3 * Math.log(3) - 3)
  })

  it('exponential, all seen at one visit: the share', () => {
    // 3 of 4 had the event by time 2: S(2) = 1/4, mean = 2 / ln 4.
    const fit = parametricRegression(
      { lower: [0, 0, 0, 2], upper: [2, 2, 2, Number.POSITIVE_INFINITY] },
      {},
      'exponential',
    )
    close(fit.coefficients[0]!.estimate, Math.log(2 / Math.log(4)))
  })

  it('a narrow interval stands for a known time', () => {
    const known = parametricRegression({ lower: [1, 2, 6, 3], upper: [1, 2, 6, 3] }, {}, 'log-normal')
    const width = 1e-5
    const narrow = parametricRegression(
      { lower: [1, 2, 6, 3], upper: [1, 2, 6, 3].map((time) => time + width) },
      {},
      'log-normal',
    )
    close(narrow.coefficients[0]!.estimate, known.coefficients[0]!.estimate as number, 1e-5)
    close(narrow.logLikelihood - 4 * Math.log(width), known.logLikelihood, 1e-4)
  })

  it('takes a weight for so many rows', () => {
    const times = { lower: [1, 2, 6, 3], upper: [1, 5, 6, Number.POSITIVE_INFINITY] }
    const weighted = parametricRegression(times, {}, 'weibull', { weights: [2, 1, 0, 3] })
    const written = parametricRegression(
      {
        lower: [1, 1, 2, 3, 3, 3],
        upper: [1, 1, 5, ...Array.from({ length: 3 }, () => Number.POSITIVE_INFINITY)],
      },
      {},
      'weibull',
    )
    close(weighted.coefficients[0]!.estimate, written.coefficients[0]!.estimate as number)
    close(weighted.logScaleStandardError, written.logScaleStandardError as number, 1e-6)
    expect(weighted.n).toBe(3)
  })
})

describe('parametric regression of awkward data', () => {
  it('refuses an event at time 0, with the mend', () => {
    expect(() => parametricRegression({ lower: [0, 1], upper: [0, 2] }, {}, 'weibull')).toThrow(
      'an event is known to have happened at time 0, first in row 1 of 2. Expected: events after time 0, since these distributions give time 0 no probability. Mend: give such a row the interval from 0 to the first time at which the event could be seen.',
    )
  })

  it('refuses a reversed interval', () => {
    expect(() => parametricRegression({ lower: [3], upper: [2] }, {}, 'weibull')).toThrow(
      'upper lies before lower',
    )
  })

  it('has no estimate where nobody had the event, or none in one group', () => {
    const none = parametricRegression(
      { lower: [3, 4], upper: [Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY] },
      {},
      'exponential',
    )
    expect(none.coefficients[0]!.estimate).toMatchObject({ state: 'not-estimable' })
    expect(none.warnings.map((one) => one.code)).toEqual(['no-event-known'])
    const separated = parametricRegression(
      { lower: [1, 2, 4, 5], upper: [1, 2, Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY] },
      { x: [1, 1, 0, 0] },
      'weibull',
    )
    expect(separated.coefficients[1]!.estimate).toMatchObject({ state: 'not-estimable' })
    expect(separated.warnings.map((one) => one.code)).toEqual(['no-maximum'])
    expect(parametricSurvival(separated, {}, [1])[0]!.survival).toMatchObject({ state: 'not-estimable' })
  })

  it('gives no interval for one cluster', () => {
    const fit = parametricRegression({ lower: [1, 2, 3], upper: [1, 2, 3] }, {}, 'weibull', {
      cluster: [5, 5, 5],
    })
    expect(fit.coefficients[0]!.estimate).toBeTypeOf('number')
    expect(fit.coefficients[0]!.interval.lower).toMatchObject({ state: 'not-estimable' })
    expect(fit.warnings.map((one) => one.code)).toEqual(['one-cluster'])
  })
})
