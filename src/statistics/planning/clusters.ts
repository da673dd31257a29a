import { NumericalError } from '../../core/errors.js'
import { methodOf } from '../../core/method.js'
import { checked } from '../kernel/checked.js'
import { type Planned, requireAbove, roundedUp } from './planningOptions.js'

/** Options of a planned design effect. */
export interface DesignEffectOptions {
  /** Standard deviation of the cluster sizes over their mean; default 0, equal sizes. */
  readonly coefficientOfVariation?: number
}

/** What clustering costs. */
export interface PlannedDesignEffect extends Planned {
  /** With equal cluster sizes: 1 + (m − 1)ρ. */
  readonly equal: number
  /** With the given spread of sizes: 1 + ((1 + cv²)m − 1)ρ. */
  readonly unequal: number
}

/** A size inflated for clustering and losses. */
export interface InflatedSize extends Planned {
  readonly size: number
  readonly sizeRoundedUp: number
}

const reference = 'design-effect-planning'

/**
 * Factor by which clustering inflates a sample size, for equal cluster sizes and for sizes that vary (Eldridge, Ashby
 * and Kerry 2006).
 *
 * @param meanClusterSize units per patient, at least 1
 * @param intraclassCorrelation within-patient correlation of the outcome, from 0 to 1
 * @param options.coefficientOfVariation of the cluster sizes, default 0
 * @throws NumericalError `not-above`, `correlation-out-of-range`
 * @example plannedDesignEffect(1.7, 0.1).equal // => 1.07
 */
export const plannedDesignEffect = checked(
  'plannedDesignEffect',
  (
    meanClusterSize: number,
    intraclassCorrelation: number,
    options: DesignEffectOptions = {},
  ): PlannedDesignEffect => {
    const { coefficientOfVariation = 0 } = options
    requireAbove('meanClusterSize', meanClusterSize, 1 - 1e-12)
    requireAbove('coefficientOfVariation', coefficientOfVariation, -Number.MIN_VALUE)
    requireFromZeroToOne('intraclassCorrelation', intraclassCorrelation, true)
    const spread = 1 + coefficientOfVariation ** 2
    return Object.freeze({
      equal: 1 + (meanClusterSize - 1) * intraclassCorrelation,
      unequal: 1 + (spread * meanClusterSize - 1) * intraclassCorrelation,
      method: methodOf('design-effect-of-cluster-size-and-intraclass-correlation'),
      warnings: Object.freeze([]),
      reference,
    })
  },
)

/**
 * Inflates a size that was planned for independent units by the design effect and by the share that will be
 * lost: n · effect / (1 − lost).
 *
 * @param size planned for independent units without losses, above 0
 * @param options.designEffect default 1; lostShare, from 0 to below 1, default 0
 * @throws NumericalError `not-above`, `correlation-out-of-range`
 * @example inflatedSize(200, { designEffect: 1.07, lostShare: 0.1 }).sizeRoundedUp // => 238
 */
export const inflatedSize = checked(
  'inflatedSize',
  (
    size: number,
    options: { readonly designEffect?: number; readonly lostShare?: number } = {},
  ): InflatedSize => {
    const { designEffect = 1, lostShare = 0 } = options
    requireAbove('size', size)
    requireAbove('designEffect', designEffect)
    requireFromZeroToOne('lostShare', lostShare, false)
    const inflated = (size * designEffect) / (1 - lostShare)
    return Object.freeze({
      size: inflated,
      sizeRoundedUp: roundedUp(inflated),
      method: methodOf('inflated-by-design-effect-and-losses'),
      warnings: Object.freeze([]),
      reference,
    })
  },
)

/**
 * Independent units that a clustered number is worth: n / design effect.
 *
 * @param size units, above 0
 * @param designEffect above 0
 * @throws NumericalError `not-above`
 * @example effectiveSize(200, 1.07) // => 186.92
 */
export const effectiveSize = checked('effectiveSize', (size: number, designEffect: number): number => {
  requireAbove('size', size)
  requireAbove('designEffect', designEffect)
  return size / designEffect
})

function requireFromZeroToOne(name: string, value: number, withOne: boolean): void {
  if (value >= 0 && (withOne ? value <= 1 : value < 1)) return
  throw new NumericalError({
    code: 'correlation-out-of-range',
    problem: `${name} is ${value}.`,
    expected: withOne ? 'a number from 0 to 1.' : 'a share from 0 to below 1.',
    mend: `check ${name}.`,
  })
}
