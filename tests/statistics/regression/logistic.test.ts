import { describe, expect, it } from 'vitest'
import { inWords } from '../../../src/messages/speaker.js'
import { logisticRegression } from '../../../src/statistics/regression/logistic.js'
import { referenceTable } from '../referenceTable.js'
import { expectClose, refusal } from './closeTo.js'

const birthwt = referenceTable('birthwt_logistic')
const low = birthwt.numbers('low')
const age = birthwt.numbers('age')
const smoke = birthwt.numbers('smoke')
const race = birthwt.texts('race')

describe('logistic regression', () => {
  it('gives the odds ratio of a fourfold table with its log standard error', () => {
    // Hand-worked: 8 of 20 against 5 of 25; log odds ratio and root of the sum of reciprocals (Woolf 1955).
    const events = [8, 12, 5, 20].flatMap((count, cell) => Array<number>(count).fill(cell % 2 === 0 ? 1 : 0))
    const group = [20, 25].flatMap((count, side) => Array<number>(count).fill(1 - side))
    const slope = logisticRegression(events, { group }).coefficients[1]!
    expect(slope.ratio).toBeCloseTo((8 * 20) / (12 * 5), 12)
    expect(slope.standardError).toBeCloseTo(Math.sqrt(1 / 8 + 1 / 12 + 1 / 5 + 1 / 20), 10)
  })

  it('agrees with a reference library on interactions, offset and categories', () => {
    // R 4.2.2 glm, low ~ age*smoke + race + offset(0.01 lwt), data of Hosmer and Lemeshow (1989).
    const fit = logisticRegression(
      low,
      { age, smoke, race },
      { interactions: [['age', 'smoke']], offset: birthwt.numbers('lwt').map((weight) => 0.01 * weight) },
    )
    expect(fit.coefficients.map((one) => one.name)).toEqual([
      'intercept',
      'age',
      'smoke',
      'race=r2',
      'race=r3',
      'age:smoke',
    ])
    const wanted = [-1.61718763720748, -0.0667248051049031, 0.161056149323348, 0.781355420003312]
    expectClose(
      fit.coefficients.map((one) => one.estimate),
      [...wanted, 1.1616401606134, 0.0439869452354911],
      1e-8,
    )
    const errors = [1.17138065754425, 0.0476773086785882, 1.62390478383849, 0.507712681002877]
    expectClose(
      fit.coefficients.map((one) => one.standardError),
      [...errors, 0.412498212980928, 0.0692384430963042],
      1e-8,
    )
  })

  it('agrees with a reference library on weights, and on a model without constant', () => {
    // R 4.2.2 glm with weights 1, 2, 3 in turn; sandwich 3.0-2 for the robust errors.
    const weights = Float64Array.from(low, (_, row) => ((row + 1) % 3) + 1)
    const fit = logisticRegression(low, { age, smoke }, { weights })
    expectClose(
      fit.coefficients.map((one) => one.estimate),
      [0.143749245903212, -0.0539802861077846, 0.729953615737584],
      1e-8,
    )
    expectClose(
      fit.coefficients.map((one) => one.standardError),
      [0.551957887927426, 0.0232172845435313, 0.228029123894232],
      1e-8,
    )
    expectClose([fit.logLikelihood], [-226.244550537113], 1e-12)
    const robust = logisticRegression(low, { age, smoke }, { weights, variance: 'robust' })
    expectClose(
      robust.coefficients.map((one) => one.standardError),
      [0.791084673347894, 0.0314353649110395, 0.351654313671764],
      1e-8,
    )
    const through = logisticRegression(low, { age, smoke }, { intercept: false })
    expectClose(
      through.coefficients.map((one) => one.estimate),
      [-0.0473169963129669, 0.696904479790064],
      1e-8,
    )
    expectClose([through.nullDeviance], [262.009634251659], 1e-12)
  })

  it('gives Wald intervals and P values', () => {
    // R 4.2.2 confint.default and summary of glm, low ~ age + smoke.
    const fit = logisticRegression(low, { age, smoke })
    expectClose(
      fit.coefficients.map((one) => one.pValue),
      [0.93590125653929, 0.119478373283408, 0.0315636902527908],
      1e-8,
    )
    expectClose(
      fit.coefficients.flatMap((one) => [one.interval.lower, one.interval.upper]),
      [
        -1.42341418958408, 1.54522526281011, -0.112443157720433, 0.0128846092038793, 0.0611202753138791,
        1.32257707855958,
      ],
      1e-8,
    )
  })

  it('leaves its input as it was', () => {
    const response = [1, 0, 1, 0, 1, 0]
    const column = [3, 1, 2, 2, 5, 4]
    logisticRegression(response, { column }, { cluster: [1, 1, 2, 2, 3, 3] })
    expect([response, column]).toEqual([
      [1, 0, 1, 0, 1, 0],
      [3, 1, 2, 2, 5, 4],
    ])
  })

  it('is frozen throughout', () => {
    const fit = logisticRegression([1, 0, 0, 1], { x: [1, 2, 3, 3] })
    expect(
      Object.isFrozen(fit) && Object.isFrozen(fit.coefficients[0]) && Object.isFrozen(fit.warnings),
    ).toBe(true)
  })
})

describe('awkward data in logistic regression', () => {
  it('proves complete separation and names the covariate', () => {
    const fit = logisticRegression([0, 0, 0, 0, 1, 1, 1, 1], { x: [1, 2, 3, 4, 5, 6, 7, 8] })
    // Either coefficient may run off in more than one way, so that neither has a direction.
    expect(fit.coefficients.map((one) => (one.estimate as { state: string }).state)).toEqual([
      'not-estimable',
      'not-estimable',
    ])
    expect(fit.logLikelihood).toBe(0)
    expect(fit.warnings.map((one) => one.code)).toContain('separation')
    expect(inWords(fit.warnings.find((one) => one.code === 'separation')!)).toBe(
      'Complete separation: x fixes the response in 8 rows, so that no finite maximum-likelihood estimate exists for it. Use a penalised fit (firthLogisticRegression), or merge or leave out what is named.',
    )
  })

  it('keeps what a clinic without events leaves estimable', () => {
    // The other coefficients are those of the rows of the other clinics alone.
    const event = [0, 1, 0, 1, 0, 0, 0, 1, 1, 0]
    const clinic = ['a', 'a', 'a', 'a', 'b', 'b', 'b', 'c', 'c', 'c']
    const z = [1, 2, 3, 4, 3, 2, 5, 1, 3, 2]
    const fit = logisticRegression(event, { clinic, z })
    const others = clinic.map((name) => name !== 'b')
    const rest = logisticRegression(
      event.filter((_, row) => others[row]),
      { clinic: clinic.filter((_, row) => others[row]), z: z.filter((_, row) => others[row]) },
    )
    expect(fit.coefficients[1]!.estimate).toEqual({ state: 'unbounded', direction: 'below' })
    expect(fit.coefficients[1]!.ratio).toEqual({ state: 'unbounded', direction: 'below' })
    const kept = [0, 2, 3].map((j) => fit.coefficients[j]!)
    expectClose(
      kept.map((one) => one.estimate),
      rest.coefficients.map((one) => one.estimate as number),
      1e-8,
    )
    expectClose(
      kept.map((one) => one.standardError),
      rest.coefficients.map((one) => one.standardError as number),
      1e-8,
    )
    expect(fit.logLikelihood).toBeCloseTo(rest.logLikelihood as number, 10)
    expect(fit.fittedMeans.slice(4, 7)).toEqual([0, 0, 0])
  })

  it('tells an extreme but finite estimate from separation', () => {
    // One exception in 401 rows keeps the estimate finite, however large.
    const x = Array.from({ length: 401 }, (_, i) => i)
    const event = x.map((value) => (value > 200 ? 1 : 0))
    event[100] = 1
    const fit = logisticRegression(event, { x })
    expect(fit.warnings.map((one) => one.code)).not.toContain('separation')
    expect(typeof fit.coefficients[1]!.estimate).toBe('number')
  })

  it('says that nothing can be compared where every outcome is the same', () => {
    const fit = logisticRegression([0, 0, 0], { x: [1, 2, 4] })
    expect(inWords(fit.warnings[0]!)).toBe(
      'Every row has the same outcome (0 events in 3 rows): no ratio can be estimated; give the exact limit of the proportion instead.',
    )
    expect(fit.coefficients.every((one) => typeof one.estimate === 'object')).toBe(true)
  })

  it('refuses by name what carries no information', () => {
    const event = [1, 0, 1, 0]
    expect(refusal(() => logisticRegression(event, { bruxism: [1, 1, 1, 1] }))).toMatchObject({
      code: 'constant-covariate',
      message:
        'covariate bruxism has the same value in every row that counts. Expected: a covariate that differs between rows. Mend: leave bruxism out of the model.',
    })
    expect(refusal(() => logisticRegression(event, { a: [1, 2, 1, 3], b: [2, 4, 2, 6] }))).toMatchObject({
      code: 'collinear-covariate',
      message:
        'covariate b is fixed by a: it adds nothing of its own. Expected: covariates of which none is a sum of multiples of the others. Mend: leave out b or one of a, or merge sparse levels.',
    })
    expect(refusal(() => logisticRegression(event, { clinic: ['x', 'x', 'x', 'x'] })).message).toBe(
      'covariate clinic has the same level in every row. Expected: at least two levels to compare. Mend: leave clinic out of the model.',
    )
    expect(refusal(() => logisticRegression(event, { clinic: ['x', '', 'y', 'x'] })).message).toBe(
      'column clinic has no usable entry, first in row 2 of 4. Expected: a text or a finite number in every row, all of one kind. Mend: leave out rows without clinic, or give them a label of their own.',
    )
    expect(refusal(() => logisticRegression(event, { a: [1, 2, Number.NaN, 3] })).message).toBe(
      'column a holds a missing or infinite value, first in row 3 of 4. Expected: a finite number in every row. Mend: leave out rows without a, or impute them, before the call.',
    )
    expect(refusal(() => logisticRegression([], {})).message).toBe(
      'there is no row to fit. Expected: at least one row that counts. Mend: check the selection that led to these columns.',
    )
    expect(refusal(() => logisticRegression([1, 2], {})).code).toBe('not-zero-one')
    expect(refusal(() => logisticRegression([1, 0], { a: [1] })).code).toBe('unequal-length')
    expect(
      refusal(() => logisticRegression(event, { a: [1, 2, 1, 3] }, { interactions: [['a', 'z']] })).message,
    ).toBe(
      'an interaction names z, which is not among the covariates. Expected: names out of a. Mend: add the covariate or correct the interaction.',
    )
    expect(
      refusal(() => logisticRegression(event, { a: ['x', 'y', 'x', 'y'] }, { baselines: { a: 'q' } }))
        .message,
    ).toBe(
      'the baseline asked for a is not one of its levels. Expected: a level that some row holds. Mend: choose another baseline for a.',
    )
  })

  it('gives no interval from one cluster, and Student t from few', () => {
    const event = [1, 0, 1, 0, 1, 1, 0, 0]
    const x = [1, 2, 3, 4, 5, 2, 3, 1]
    const one = logisticRegression(event, { x }, { cluster: event.map(() => 'p') })
    expect(one.coefficients[1]!.interval.lower).toEqual({
      state: 'not-estimable',
      reason: 'one-cluster',
    })
    expect(one.warnings.map((warned) => warned.code)).toContain('one-cluster')
    const few = logisticRegression(event, { x }, { cluster: [1, 1, 2, 2, 3, 3, 4, 4] })
    const { estimate, standardError, interval } = few.coefficients[1]!
    // Student's t with 3 degrees of freedom: 3.182446305284263 (standard table).
    expect(interval.upper).toBeCloseTo(
      (estimate as number) + 3.182446305284263 * (standardError as number),
      9,
    )
    expect(refusal(() => logisticRegression([1, 0], {}, { cluster: ['a', ''] })).message).toBe(
      'column cluster has no usable entry, first in row 2 of 2. Expected: a text or a finite number in every row, all of one kind. Mend: leave out rows without cluster, or give them a label of their own.',
    )
  })
})
