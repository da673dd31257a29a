import { methodOf } from '../../core/method.js'
import { checked } from '../kernel/checked.js'
import {
  type ComparisonOptions,
  type Planned,
  quantileSum,
  requireAbove,
  requireDifference,
  requireShare,
  roundedUp,
} from './planningOptions.js'

/** Options of planning a log-rank test. */
export interface LogRankOptions extends ComparisonOptions {
  /** Share of units in the group of interest; default 0.5. */
  readonly allocation?: number
}

/** Events that a log-rank test needs. */
export interface PlannedEvents extends Planned {
  readonly events: number
  readonly eventsRoundedUp: number
}

/** Hazard ratios that a given number of events can detect. */
export interface DetectableHazardRatio extends Planned {
  readonly above: number
  readonly below: number
}

/** Units that a log-rank test needs. */
export interface PlannedLogRankSize extends PlannedEvents {
  /** Share of all units expected to have the event. */
  readonly eventShare: number
  readonly size: number
  readonly sizeRoundedUp: number
}

const reference = 'planning-events'

/**
 * Events that a log-rank test needs to detect a hazard ratio (Schoenfeld 1983): (z₁ + z₂)² / (w(1 − w) log² HR).
 *
 * Counts both groups together, assumes proportional hazards and independent units; see plannedDesignEffect
 * where patients hold several.
 *
 * @param hazardRatio above 0 and not 1
 * @param options.alpha two-sided, default 0.05; power default 0.8; allocation default 0.5
 * @throws NumericalError `share-out-of-range`, `not-above`, `no-difference`, `power-below-error`
 * @example eventsForLogRank(0.5).eventsRoundedUp // => 66
 */
export const eventsForLogRank = checked(
  'eventsForLogRank',
  (hazardRatio: number, options: LogRankOptions = {}): PlannedEvents => {
    const { allocation = 0.5 } = options
    requireAbove('hazardRatio', hazardRatio)
    requireDifference('hazards', 1, hazardRatio)
    requireShare('allocation', allocation)
    const { sum } = quantileSum(options)
    const events = sum ** 2 / (allocation * (1 - allocation) * Math.log(hazardRatio) ** 2)
    return Object.freeze({
      events,
      eventsRoundedUp: roundedUp(events),
      method: methodOf('schoenfeld', 'log-rank-test'),
      warnings: Object.freeze([]),
      reference,
    })
  },
)

/**
 * Hazard ratios, one above and one below 1, that a log-rank test detects with the events at hand.
 *
 * @param events events in both groups together, above 0
 * @param options as eventsForLogRank
 * @throws NumericalError `share-out-of-range`, `not-above`, `power-below-error`
 * @example detectableHazardRatio(100).above // => 1.75
 */
export const detectableHazardRatio = checked(
  'detectableHazardRatio',
  (events: number, options: LogRankOptions = {}): DetectableHazardRatio => {
    const { allocation = 0.5 } = options
    requireAbove('events', events)
    requireShare('allocation', allocation)
    const { sum } = quantileSum(options)
    const distance = sum / Math.sqrt(events * allocation * (1 - allocation))
    return Object.freeze({
      above: Math.exp(distance),
      below: Math.exp(-distance),
      method: methodOf('schoenfeld', 'log-rank-test'),
      warnings: Object.freeze([]),
      reference,
    })
  },
)

/**
 * Units that a log-rank test needs: its events over the share of units expected to have one by the end
 * of follow-up, given the risk in the comparison group and proportional hazards.
 *
 * @param hazardRatio group of interest against comparison group, above 0 and not 1
 * @param riskInComparison risk of the event in the comparison group over the planned follow-up, in (0, 1)
 * @param options as eventsForLogRank
 * @throws NumericalError `share-out-of-range`, `not-above`, `no-difference`, `power-below-error`
 * @example sizeForLogRank(0.5, 0.1).sizeRoundedUp // => 864
 */
export const sizeForLogRank = checked(
  'sizeForLogRank',
  (hazardRatio: number, riskInComparison: number, options: LogRankOptions = {}): PlannedLogRankSize => {
    const { allocation = 0.5 } = options
    requireShare('riskInComparison', riskInComparison)
    const planned = eventsForLogRank(hazardRatio, options)
    const riskOfInterest = -Math.expm1(hazardRatio * Math.log1p(-riskInComparison))
    const eventShare = allocation * riskOfInterest + (1 - allocation) * riskInComparison
    const size = planned.events / eventShare
    return Object.freeze({
      ...planned,
      eventShare,
      size,
      sizeRoundedUp: roundedUp(size),
    })
  },
)
