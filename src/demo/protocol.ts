import type { DayNumber } from '../core/calendar.js'
import type { RandomStream } from '../core/random.js'
import { drawLabel, drawWhole, happens, timesOdds, weightOf } from './draws.js'
import { type DemoPatient, scenarioDay } from './patient.js'
import type { DemoOperator, DemoScenario, TrueProtocol } from './scenario.js'
import type { DemoSite } from './site.js'

/** How the screws of one restoration were tightened on the day of delivery, and what the chart kept of it. */
export interface DemoProtocol {
  readonly truth: TrueProtocol
  readonly waitMinutes: number
  readonly reason: string
  /** `tightening_group` as written down; undefined where it was left empty. */
  readonly statedGroup: string | undefined
  /** Whether the tightenings themselves were written down. */
  readonly eventsWritten: boolean
}

/** Draws the protocol: the clinic's policy, the maker's instruction or the operator's preference, moved by the site. */
export function drawProtocol(
  scenario: DemoScenario,
  random: RandomStream,
  patient: DemoPatient,
  operator: DemoOperator,
  site: DemoSite,
  delivery: DayNumber,
): DemoProtocol {
  const again = happens(random, repeatProbability(scenario, patient, operator, site, delivery))
  const { inWindow, outsideWindow, undone } = scenario.repeats
  const truth: TrueProtocol = again
    ? drawLabel(random, {
        repeated_in_window: inWindow,
        repeated_outside_window: outsideWindow,
        undone_then_tightened: undone,
      })
    : 'single'
  const fate = random.uniform()
  const { protocolUnknown, groupOnly, groupMisstated } = scenario.charting
  const unknown = fate < protocolUnknown
  const eventsMissing = fate < protocolUnknown + groupOnly
  const misstated = !eventsMissing && fate < protocolUnknown + groupOnly + groupMisstated
  return {
    truth,
    waitMinutes: drawWait(random, truth),
    reason: patient.clinic.reason,
    statedGroup: unknown ? undefined : misstated ? otherGroup(truth) : statedGroup(truth),
    eventsWritten: !eventsMissing,
  }
}

function repeatProbability(
  scenario: DemoScenario,
  patient: DemoPatient,
  operator: DemoOperator,
  site: DemoSite,
  delivery: DayNumber,
): number {
  const { clinic } = patient
  const { protocolChange, instructedRepeated } = clinic
  if (protocolChange !== undefined) {
    return delivery < scenarioDay(protocolChange.date) ? protocolChange.before : protocolChange.after
  }
  const usual =
    instructedRepeated === undefined ? operator.prefersRepeated : weightOf(instructedRepeated, site.system)
  const grinds = patient.bruxism === 'probable' || patient.bruxism === 'definite'
  const oddsRatio =
    (site.region === 'molar' ? scenario.choice.molar : 1) * (grinds ? scenario.choice.bruxism : 1)
  return timesOdds(usual, oddsRatio)
}

function drawWait(random: RandomStream, truth: TrueProtocol): number {
  if (truth === 'single') return 0
  if (truth === 'undone_then_tightened') return drawWhole(random, 2, 12)
  if (truth === 'repeated_in_window') return happens(random, 0.45) ? 10 : drawWhole(random, 10, 15)
  return happens(random, 0.7) ? drawWhole(random, 2, 8) : drawWhole(random, 18, 45)
}

function statedGroup(truth: TrueProtocol): string {
  if (truth === 'single') return 'single'
  return truth === 'undone_then_tightened' ? 'other' : 'repeated'
}

function otherGroup(truth: TrueProtocol): string {
  return truth === 'single' ? 'repeated' : 'single'
}
