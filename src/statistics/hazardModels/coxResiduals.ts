import { NumericalError } from '../../core/errors.js'
import { checked } from '../kernel/checked.js'
import type { Covariates } from '../regression/design.js'
import { prepareCox } from './coxDesign.js'
import { type CoxCore, fitCore } from './coxFit.js'
import { type CoxHazard, expectedEvents, hazardAt, scoreResiduals } from './coxHazard.js'
import type { CoxOptions } from './coxOptions.js'
import type { TimesAtRisk } from './timesAtRisk.js'

/** Residuals of a Cox regression. Columns by row have one entry per row of the input. */
export interface CoxResiduals {
  /** Names of the covariates: the columns of the row-major tables below. */
  readonly names: readonly string[]
  /** Observed less expected events of each row. */
  readonly martingale: Float64Array
  /** Martingale residuals brought near symmetry. */
  readonly deviance: Float64Array
  /** Each row's part of the score, rows × covariates, without case weights. */
  readonly score: Float64Array
  /** Change of each log hazard ratio when the row is left out, approximately, rows × covariates, with case weights. */
  readonly dfbeta: Float64Array
  /** The same in standard errors (of the model). */
  readonly scaledDfbeta: Float64Array
  /** Events by stratum and time; ties in the order of rows. */
  readonly events: {
    readonly time: Float64Array
    /** Row of the input. */
    readonly row: Uint32Array
    /** Covariates less their mean over the risk set, events × covariates. */
    readonly schoenfeld: Float64Array
    /** Schoenfeld residuals scaled so that they scatter about the log hazard ratio over time. */
    readonly scaledSchoenfeld: Float64Array
  }
}

/**
 * Residuals of a Cox regression, of the same arguments as `coxRegression`.
 *
 * @param options as `coxRegression`; ties `exact` has no residuals
 * @throws NumericalError `no-estimate` where a covariate has no log hazard ratio; else as `coxRegression`
 *
 * Sources: martingale and deviance Therneau, Grambsch and Fleming (1990); Schoenfeld (1982), scaled by Grambsch and
 * Therneau (1994); dfbeta Reid and Crépeau (1985), Cain and Lange (1984).
 *
 * @example coxResiduals({ time: [1, 2, 3], event: [1, 1, 0] }, { x: [1, 0, 1] }).martingale.length // => 3
 */
export const coxResiduals = checked(
  'coxResiduals',
  (times: TimesAtRisk, covariates: Covariates, options: CoxOptions = {}): CoxResiduals => {
    const { core, hazards } = fittedHazards(times, covariates, options)
    const { design } = core
    const { row } = design.order
    const martingale = new Float64Array(design.rows.rows)
    const expected = expectedEvents(design, hazards)
    for (let place = 0; place < row.length; place++) {
      martingale[row[place]!] = design.rows.event[row[place]!]! - expected[place]!
    }
    const scores = scoreResiduals(design, hazards)
    return Object.freeze({
      names: design.names,
      martingale,
      deviance: martingale.map((residual, i) => devianceResidual(residual, design.rows.event[i]!)),
      score: byRow(core, scores, (j) => design.scale[j]!),
      ...dfbetas(core, scores),
      events: eventResiduals(core, hazards),
    })
  },
)

/** The fit behind everything that is read off hazards; refuses covariates without an estimate. */
export function fittedHazards(
  times: TimesAtRisk,
  covariates: Covariates,
  options: CoxOptions,
): { readonly core: CoxCore; readonly hazards: CoxHazard; readonly ties: 'efron' | 'breslow' } {
  const { ties = 'efron' } = options
  if (ties === 'exact') throw noHazards()
  const design = prepareCox(times, covariates, options, { clusters: options.cluster })
  const core = fitCore(design, ties)
  const without = design.names.filter(
    (_, j) => !core.fitted.includes(j) || core.monotone[core.fitted.indexOf(j)],
  )
  if (without.length > 0) throw noEstimate(without)
  return { core, hazards: hazardAt(core.design, { ties }, core.coefficients), ties }
}

function noEstimate(names: readonly string[]): NumericalError {
  return new NumericalError({
    code: 'no-estimate',
    problem: `${names.join(', ')} has no log hazard ratio in these data.`,
    expected: 'covariates that vary among those at risk and do not separate the events from the rest.',
    mend: `leave out ${names.join(', ')}, merge sparse levels, or use the Firth-penalised fit.`,
  })
}

function noHazards(): NumericalError {
  return new NumericalError({
    code: 'no-baseline-hazard',
    problem: 'the exact likelihood has no baseline hazard, and so no residuals or predictions.',
    expected: "ties: 'efron' or 'breslow'.",
    mend: "use ties: 'efron'.",
  })
}

function devianceResidual(martingale: number, event: number): number {
  const log = event === 1 ? Math.log(1 - martingale) : 0
  return Math.sign(martingale) * Math.sqrt(Math.max(0, -2 * (martingale + log)))
}

/** A table by place as one by row of the input, each column multiplied by a factor. */
function byRow(core: CoxCore, table: Float64Array, factor: (column: number) => number): Float64Array {
  const { size, rows, order } = core.design
  const result = new Float64Array(rows.rows * size)
  for (let place = 0; place < order.row.length; place++) {
    const at = order.row[place]! * size
    for (let j = 0; j < size; j++) result[at + j] = table[place * size + j]! * factor(j)
  }
  return result
}

function dfbetas(core: CoxCore, scores: Float64Array): Pick<CoxResiduals, 'dfbeta' | 'scaledDfbeta'> {
  const { size, weight, scale } = core.design
  const changes = new Float64Array(scores.length)
  for (let start = 0, place = 0; start < scores.length; start += size, place++) {
    const share = weight === undefined ? 1 : weight[place]!
    for (let a = 0; a < size; a++) {
      let sum = 0
      for (let b = 0; b < size; b++) sum += core.covariance[a * size + b]! * scores[start + b]!
      changes[start + a] = share * sum
    }
  }
  const error = (j: number): number => Math.sqrt(core.covariance[j * size + j]!)
  return {
    dfbeta: byRow(core, changes, (j) => 1 / scale[j]!),
    scaledDfbeta: byRow(core, changes, (j) => 1 / error(j)),
  }
}

function eventResiduals(core: CoxCore, hazards: CoxHazard): CoxResiduals['events'] {
  const { design, coefficients, covariance } = core
  const { size, x, scale, order, rows } = design
  const time = new Float64Array(rows.events)
  const row = new Uint32Array(rows.events)
  const schoenfeld = new Float64Array(rows.events * size)
  const scaledSchoenfeld = new Float64Array(rows.events * size)
  let i = 0
  for (let k = 0; k < order.eventTime.length; k++) {
    for (let place = order.bucketStart[k]!; place < order.eventEnd[k]!; place++, i++) {
      time[i] = order.eventTime[k]!
      row[i] = order.row[place]!
      const residual = Float64Array.from(
        { length: size },
        (_, j) => x[place * size + j]! - hazards.mean[k * size + j]!,
      )
      for (let a = 0; a < size; a++) {
        let sum = 0
        for (let b = 0; b < size; b++) sum += covariance[a * size + b]! * residual[b]!
        schoenfeld[i * size + a] = residual[a]! * scale[a]!
        scaledSchoenfeld[i * size + a] = (coefficients[a]! + rows.events * sum) / scale[a]!
      }
    }
  }
  return Object.freeze({ time, row, schoenfeld, scaledSchoenfeld })
}
