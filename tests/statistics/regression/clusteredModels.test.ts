import { describe, expect, it } from 'vitest'
import { streamOfHashes } from '../../../src/core/random.js'
import { inWords } from '../../../src/messages/speaker.js'
import { estimatingEquations } from '../../../src/statistics/regression/estimatingEquations.js'
import { logisticRegression } from '../../../src/statistics/regression/logistic.js'
import { randomInterceptRegression } from '../../../src/statistics/regression/mixed.js'
import { poissonRegression } from '../../../src/statistics/regression/poisson.js'
import { referenceTable } from '../referenceTable.js'
import { expectClose, refusal } from './closeTo.js'

const ohio = referenceTable('ohio_gee')
const kidney = referenceTable('kidney_gee_poisson')

describe('estimating equations', () => {
  it('gives the mean of clusters its hand-worked robust variance', () => {
    // Proportion 1/2 of four rows in two pure clusters: score ±1 each, information 1, so variance 1·2·1 = 2.
    const fit = estimatingEquations([1, 1, 0, 0], {}, ['a', 'a', 'b', 'b'])
    expect(fit.coefficients[0]!.estimate).toBeCloseTo(0, 12)
    expect(fit.coefficients[0]!.standardError).toBeCloseTo(Math.SQRT2, 12)
  })

  it('equals the cluster-robust regression under independence', () => {
    const data = { age: ohio.numbers('age'), smoke: ohio.numbers('smoke') }
    const clusters = ohio.texts('id')
    const equations = estimatingEquations(ohio.numbers('resp'), data, clusters)
    const regression = logisticRegression(ohio.numbers('resp'), data, { cluster: clusters })
    expectClose(
      equations.coefficients.flatMap((one) => [one.estimate, one.standardError]),
      regression.coefficients.flatMap((one) => [one.estimate as number, one.standardError as number]),
      1e-9,
    )
  })

  it('agrees with a reference library where clusters differ in size', () => {
    // R 4.2.2, geepack 1.3.9 (tolerance 1e-12), data ohio without every fifth row, exchangeable correlation.
    const kept = Array.from({ length: ohio.rowCount }, (_, row) => row).filter((row) => (row + 1) % 5 !== 0)
    const some = <T>(column: ArrayLike<T>): T[] => kept.map((row) => column[row]!)
    const covariates = { age: some(ohio.numbers('age')), smoke: some(ohio.numbers('smoke')) }
    const fit = estimatingEquations(some(ohio.numbers('resp')), covariates, some(ohio.texts('id')), {
      correlation: 'exchangeable',
    })
    expectClose(
      fit.coefficients.flatMap((one) => [one.estimate, one.standardError]),
      [
        -1.88613247533291, 0.119537862149488, -0.111689305645493, 0.051219038942758, 0.259106819599483,
        0.183868479821443,
      ],
      1e-8,
    )
    expectClose([fit.withinClusterCorrelation, fit.scale], [0.347878664608308, 0.997821715544414], 1e-8)
  })

  it('says what singletons, an extreme correlation and one cluster leave open', () => {
    const single = estimatingEquations([1, 0, 1, 0], { x: [1, 2, 4, 3] }, [1, 2, 3, 4], {
      correlation: 'exchangeable',
    })
    expect(single.warnings.map((one) => one.code)).toContain('no-pairs')
    expect(single.withinClusterCorrelation).toEqual({
      state: 'not-estimable',
      reason: 'no-cluster-repeats',
    })
    const opposed = estimatingEquations([1, 0, 0, 1, 1, 0], {}, ['a', 'a', 'b', 'b', 'c', 'c'], {
      correlation: 'exchangeable',
    })
    // Opposed pairs correlate −1 by moments; the mean is that of all rows whatever the weighting.
    expect(inWords(opposed.warnings.find((one) => one.code === 'correlation-cut-short')!)).toBe(
      'The correlation within clusters by moments is −1.00, which clusters of up to 2 rows hardly allow; −0.95 was used for weighting. The robust interval holds either way.',
    )
    expect(opposed.coefficients[0]!.estimate).toBeCloseTo(0, 12)
    const one = estimatingEquations([1, 0, 0], {}, ['a', 'a', 'a'])
    expect(one.coefficients[0]!.interval.upper).toMatchObject({ reason: 'one-cluster' })
  })

  it('keeps what a group without events leaves estimable', () => {
    const counts = [0, 3, 2, 0, 0, 0, 1, 2]
    const group = ['a', 'a', 'a', 'b', 'b', 'b', 'a', 'a']
    const fit = estimatingEquations(counts, { group }, [1, 1, 2, 2, 3, 3, 4, 4], {
      model: 'poisson',
      correlation: 'exchangeable',
    })
    expect(fit.coefficients[1]!.estimate).toEqual({ state: 'unbounded', direction: 'below' })
    expect(typeof fit.coefficients[0]!.standardError).toBe('number')
  })
})

describe('random intercepts', () => {
  // Contagious bovine pleuropneumonia in 15 herds over 4 periods: herd period incidence size (Lesnoff et al. 2004,
  // Preventive Veterinary Medicine 66:235-251; R lme4::cbpp).
  const cbpp =
    '1 1 2 14; 1 2 3 12; 1 3 4 9; 1 4 0 5; 2 1 3 22; 2 2 1 18; 2 3 1 21; 3 1 8 22; 3 2 2 16; 3 3 0 16; 3 4 2 20; 4 1 2 10; 4 2 0 10; 4 3 2 9; 4 4 0 6; 5 1 5 18; 5 2 0 25; 5 3 0 24; 5 4 1 4; 6 1 3 17; 6 2 0 17; 6 3 0 18; 6 4 1 20; 7 1 8 16; 7 2 1 10; 7 3 3 9; 7 4 0 5; 8 1 12 34; 9 1 2 9; 9 2 0 6; 9 3 0 8; 9 4 0 6; 10 1 1 22; 10 2 1 22; 10 3 0 18; 10 4 2 22; 11 1 0 25; 11 2 5 27; 11 3 3 22; 11 4 1 22; 12 1 2 10; 12 2 1 8; 12 3 0 6; 12 4 0 5; 13 1 1 21; 13 2 2 24; 13 3 0 19; 13 4 0 23; 14 1 11 19; 14 2 0 2; 14 3 0 3; 14 4 0 2; 15 1 1 19; 15 2 1 15; 15 3 1 15; 15 4 0 15'
      .split('; ')
      .flatMap((cell) => {
        const [herd, period, incidence, size] = cell.split(' ')
        return Array.from({ length: Number(size) }, (_, i) => ({
          herd: herd!,
          period: period!,
          sick: i < Number(incidence) ? 1 : 0,
        }))
      })

  it('agrees with a reference library on coefficients, spread and shrunken effects', () => {
    // R 4.2.2, lme4 1.1-31 glmer, nAGQ = 25; its optimiser ends near 1e-6, its standard errors come from differences.
    const fit = randomInterceptRegression(
      cbpp.map((one) => one.sick),
      { period: cbpp.map((one) => one.period) },
      cbpp.map((one) => one.herd),
    )
    expectClose(
      [...fit.coefficients.map((one) => one.estimate), fit.spread],
      [-1.39923046772884, -0.991403652643108, -1.12781946612771, -1.57947070270904, 0.647518472015017],
      2e-5,
    )
    expectClose(
      fit.coefficients.map((one) => one.standardError),
      [0.233511600167877, 0.306767988163, 0.32676838597806, 0.42759445270847],
      1e-4,
    )
    expectClose(
      fit.effects.slice(0, 4).flatMap((one) => [one.effect, one.standardError]),
      [
        0.593024835354097, 0.348896700965573, -0.300258272679827, 0.366675629071814, 0.407864013933514,
        0.297725576621149, 0.0396878962300381, 0.417788971191456,
      ],
      1e-4,
    )
    expect(fit.effects[7]).toMatchObject({ cluster: '8', n: 34, events: 12 })
  })

  it('agrees with a reference library on counts with time at risk', () => {
    // R 4.2.2, lme4 1.1-31 glmer, nAGQ = 25, status ~ age + sex + offset(log(time)), patients of data kidney.
    const fit = randomInterceptRegression(
      kidney.numbers('status'),
      { age: kidney.numbers('age'), sex: kidney.numbers('sex') },
      kidney.texts('id'),
      { model: 'poisson', exposure: kidney.numbers('time') },
    )
    expectClose(
      [...fit.coefficients.map((one) => one.estimate), fit.spread],
      [-2.57666234180568, 0.00447430605241, -1.35123258933934, 0.57486532137],
      1e-5,
    )
  })

  it('integrates the likelihood as a fine grid does, and stands at its maximum', () => {
    const event = [1, 1, 0, 1, 0, 0, 0, 1, 1, 1, 1, 0, 0, 0, 0, 0]
    const clinic = ['a', 'a', 'a', 'a', 'b', 'b', 'b', 'b', 'c', 'c', 'c', 'c', 'd', 'd', 'd', 'd']
    const fit = randomInterceptRegression(event, {}, clinic)
    const marginal = (constant: number, spread: number): number =>
      ['a', 'b', 'c', 'd'].reduce((sum, name) => {
        const own = event.filter((_, row) => clinic[row] === name)
        let integral = 0
        for (let z = -12; z <= 12; z += 0.002) {
          const chance = 1 / (1 + Math.exp(-constant - spread * z))
          const likelihood = own.reduce((product, one) => product * (one === 1 ? chance : 1 - chance), 1)
          integral += (likelihood * Math.exp(-0.5 * z * z) * 0.002) / Math.sqrt(2 * Math.PI)
        }
        return sum + Math.log(integral)
      }, 0)
    const constant = fit.coefficients[0]!.estimate as number
    const spread = fit.spread as number
    const best = marginal(constant, spread)
    expect(fit.logLikelihood).toBeCloseTo(best, 8)
    for (const step of [-0.05, 0.05]) {
      expect(marginal(constant + step, spread)).toBeLessThan(best)
      expect(marginal(constant, spread + step)).toBeLessThan(best)
    }
  })

  it('gives effects their sign whichever way the search went, and converges on wide spreads', () => {
    // Counts with a spread of 3 between 15 clusters, many of them without an event.
    const random = streamOfHashes(12, 0)
    const clinic = Array.from({ length: 120 }, (_, row) => `c${row % 15}`)
    const effects = Array.from({ length: 15 }, () => 3 * random.normal())
    const counts = clinic.map((_, row) =>
      Math.floor(Math.exp(effects[row % 15]! - 0.5) * (0.5 + random.uniform())),
    )
    const fit = randomInterceptRegression(counts, {}, clinic, { model: 'poisson' })
    expect(fit.converged).toBe(true)
    const most = fit.effects.reduce((one, other) => (other.events > one.events ? other : one))
    const least = fit.effects.reduce((one, other) => (other.events < one.events ? other : one))
    expect(most.effect).toBeGreaterThan(0)
    expect(least.effect).toBeLessThan(0)
    const finer = randomInterceptRegression(counts, {}, clinic, { model: 'poisson', points: 100 })
    expectClose(
      [fit.spread, fit.coefficients[0]!.estimate],
      [finer.spread as number, finer.coefficients[0]!.estimate as number],
      1e-5,
    )
  })

  it('does not depend on the number of points where clusters without events differ much from the rest', () => {
    // Reference: R 4.2, likelihood summed over 40,001 equally spaced effects from -14 to 14, optim by BFGS.
    const counts = [0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 1, 0, 0, 0, 2, 1, 7, 3, 5, 20, 31, 18]
    counts.push(0, 1, 0, 90, 120, 75, 0, 0, 0, 3, 6, 2)
    const visit = counts.map((_, row) => row % 3)
    const clinic = counts.map((_, row) => Math.floor(row / 3))
    for (const points of [20, 50]) {
      const fit = randomInterceptRegression(counts, { visit }, clinic, { model: 'poisson', points })
      expect(fit.converged).toBe(true)
      const [constant, slope] = fit.coefficients
      expectClose(
        [constant!.estimate, slope!.estimate, fit.spread, fit.logLikelihood],
        [-0.8554632445, -0.0780010776, 3.1491215041, -66.708426496471],
        1e-6,
      )
      expectClose([constant!.standardError, slope!.standardError], [1.104055279, 0.062513738], 1e-5)
    }
  })

  it('falls back on no spread where clusters differ no more than chance', () => {
    const event = [1, 0, 1, 0, 0, 1, 0, 1]
    const clinic = ['a', 'a', 'b', 'b', 'c', 'c', 'd', 'd']
    const fit = randomInterceptRegression(event, {}, clinic)
    expect(fit.spread).toBe(0)
    expect(fit.effects.every((one) => one.effect === 0)).toBe(true)
    expect(fit.warnings.map((one) => one.code)).toEqual([
      'no-spread-between-clusters',
      'few-clusters-for-spread',
    ])
    expectClose([fit.logLikelihood], [logisticRegression(event, {}).logLikelihood as number], 1e-12)
  })

  it('gives a clinic without events a finite, shrunken effect', () => {
    const counts = [3, 4, 0, 0, 6, 5, 2, 1]
    const clinic = ['a', 'a', 'b', 'b', 'c', 'c', 'd', 'd']
    const fit = randomInterceptRegression(counts, {}, clinic, { model: 'poisson' })
    const silent = fit.effects[1]!
    expect(silent.events).toBe(0)
    expect(silent.effect).toBeLessThan(0)
    expect(Number.isFinite(silent.effect)).toBe(true)
    const separate = poissonRegression(counts, { clinic })
    expect(separate.coefficients[1]!.estimate).toMatchObject({ state: 'unbounded' })
  })

  it('says so where the spread runs off', () => {
    const pure = [1, 1, 1, 0, 0, 0, 1, 1, 1, 0, 0, 0]
    const fit = randomInterceptRegression(pure, {}, [
      'a',
      'a',
      'a',
      'b',
      'b',
      'b',
      'c',
      'c',
      'c',
      'd',
      'd',
      'd',
    ])
    expect(fit.converged).toBe(false)
    expect(fit.spread).toMatchObject({ state: 'not-estimable' })
    expect(fit.effects).toEqual([])
    expect(fit.warnings.map((one) => one.code)).toContain('spread-runs-off')
  })

  it('refuses one cluster, clusters without repeats and too many points', () => {
    expect(refusal(() => randomInterceptRegression([1, 0], {}, ['a', 'a'])).message).toBe(
      'all rows belong to one cluster. Expected: at least two clusters, for there to be a spread between them. Mend: use a regression without random intercepts.',
    )
    expect(refusal(() => randomInterceptRegression([1, 0], {}, ['a', 'b'])).message).toBe(
      'no cluster holds two rows, so that a spread between clusters cannot be told from chance. Expected: clusters of which some hold several rows. Mend: use logisticRegression, or name a coarser cluster such as the clinic.',
    )
    expect(refusal(() => randomInterceptRegression([1, 0], {}, ['a', 'a'], { points: 0 })).message).toBe(
      '0 quadrature points were asked for. Expected: a whole number from 20 to 100. Mend: leave the option out: 50 points are enough for almost any data.',
    )
  })
})
