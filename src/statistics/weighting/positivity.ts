import { notEstimable, type Quantity, type Warning, warning } from '../../core/estimate.js'
import { checked } from '../kernel/checked.js'
import { type CodeColumn, codesOf } from '../kernel/codes.js'
import { type NumberColumn, requireFinite, requireSameLength, requireZeroOne } from '../numeric/columns.js'
import { requireBothGroups } from './propensityScores.js'

/** Whether both groups could have had either treatment, judged by their scores. */
export interface Positivity {
  /** Range of scores that both groups share; not estimable where they share none. */
  readonly commonLower: Quantity
  readonly commonUpper: Quantity
  /** Share of all rows outside the common range. */
  readonly outsideShare: number
  /** Rows with a score below, or above one less, the threshold. */
  readonly nearZero: number
  readonly nearOne: number
  readonly threshold: number
  readonly n: number
  readonly warnings: readonly Warning[]
  readonly reference: string
}

/** How much of the rows lie in cells in which both groups occur. */
export interface SharedCells {
  /** Share of rows in cells that hold both groups. */
  readonly share: number
  readonly cells: number
  readonly sharedCells: number
  /** Whether the share is large enough for an adjusted estimate to lead. */
  readonly sufficient: boolean
  readonly warnings: readonly Warning[]
  readonly reference: string
}

/**
 * Overlap of propensity scores between two groups: the range they share, what lies outside it, and scores near 0 or 1.
 *
 * @param treated 1 in the group of interest, 0 in the other
 * @param scores propensity scores
 * @param options.threshold distance from 0 and 1 that counts as near, default 0.05
 * @throws NumericalError `one-group`, `not-zero-one`, `unequal-length`, `not-finite`
 * @example positivityOf([1, 0, 1, 0], [0.6, 0.4, 0.5, 0.55]).commonUpper // => 0.55
 */
export const positivityOf = checked(
  'positivityOf',
  (
    treated: NumberColumn,
    scores: NumberColumn,
    options: { readonly threshold?: number } = {},
  ): Positivity => {
    const { threshold = 0.05 } = options
    requireSameLength({ treated, scores })
    requireZeroOne('treated', treated)
    requireBothGroups(treated)
    requireFinite('scores', scores)
    const least = [Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY]
    const most = [Number.NEGATIVE_INFINITY, Number.NEGATIVE_INFINITY]
    for (let row = 0; row < scores.length; row++) {
      const group = treated[row]!
      least[group] = Math.min(least[group]!, scores[row]!)
      most[group] = Math.max(most[group]!, scores[row]!)
    }
    const lower = Math.max(least[0]!, least[1]!)
    const upper = Math.min(most[0]!, most[1]!)
    let outside = 0
    let nearZero = 0
    let nearOne = 0
    for (let row = 0; row < scores.length; row++) {
      const score = scores[row]!
      if (score < lower || score > upper) outside++
      if (score < threshold) nearZero++
      if (score > 1 - threshold) nearOne++
    }
    const apart = lower > upper
    const none = notEstimable('no-shared-scores')
    const outsideShare = apart ? 1 : outside / scores.length
    return Object.freeze({
      commonLower: apart ? none : lower,
      commonUpper: apart ? none : upper,
      outsideShare,
      nearZero,
      nearOne,
      threshold,
      n: scores.length,
      warnings: Object.freeze(warningsOf(apart, outsideShare, nearZero + nearOne, scores.length)),
      reference: 'propensity-weights',
    })
  },
)

/**
 * Share of rows in cells (of clinic, operator, period) that hold both groups. Where that is below a threshold there is
 * little to compare, and no adjusted estimate should lead.
 *
 * @param treated 1 in the group of interest, 0 in the other
 * @param cellColumns columns whose combinations make the cells
 * @param options.sufficientShare default 0.5
 * @throws NumericalError `unequal-length`, `not-zero-one`, `missing-code`
 * @example sharedCells([1, 0, 1, 1], { clinic: ['a', 'a', 'b', 'b'] }).share // => 0.5
 */
export const sharedCells = checked(
  'sharedCells',
  (
    treated: NumberColumn,
    cellColumns: Readonly<Record<string, CodeColumn>>,
    options: { readonly sufficientShare?: number } = {},
  ): SharedCells => {
    const { sufficientShare = 0.5 } = options
    const n = requireSameLength({ treated, ...cellColumns })
    requireZeroOne('treated', treated)
    const coded = Object.entries(cellColumns).map(([name, column]) => codesOf(name, column).codes)
    const counts = new Map<string, [number, number]>()
    for (let row = 0; row < n; row++) {
      const key = coded.map((codes) => codes[row]).join(' ')
      const cell = counts.get(key) ?? [0, 0]
      cell[treated[row] as 0 | 1]++
      counts.set(key, cell)
    }
    const shared = [...counts.values()].filter(([zeros, ones]) => zeros > 0 && ones > 0)
    const inShared = shared.reduce((sum, [zeros, ones]) => sum + zeros + ones, 0)
    const share = n === 0 ? 0 : inShared / n
    const sufficient = share >= sufficientShare
    return Object.freeze({
      share,
      cells: counts.size,
      sharedCells: shared.length,
      sufficient,
      warnings: Object.freeze(sufficient ? [] : [tooLittleShared(share)]),
      reference: 'propensity-weights',
    })
  },
)

function tooLittleShared(share: number): Warning {
  return warning('little-overlap', { share })
}

function warningsOf(apart: boolean, outsideShare: number, near: number, n: number): Warning[] {
  const warnings: Warning[] = []
  if (apart) {
    warnings.push(warning('no-overlap'))
  } else if (outsideShare > 0.1) {
    warnings.push(warning('outside-overlap', { share: outsideShare }))
  }
  if (near > 0) {
    warnings.push(warning('scores-near-bounds', { near, rows: n }))
  }
  return warnings
}
