import type { RandomStream } from '../../core/random.js'
import { timeOfCumulativeHazard } from './hazards.js'
import type { Crown } from './population.js'
import type { Arm, PracticeTraits } from './scenario.js'

const daysPerYear = 365.25

/** What ends a crown's time for another reason than loosening. */
export type Ending = 'removed' | 'implant-lost' | 'died'

/** What happens to a crown, whether anybody sees it or not. Days since delivery, Infinity where never. */
export interface Fate {
  readonly crown: Crown
  readonly arm: Arm
  /** Exact moment at which the screw comes loose, as a fraction of days. */
  readonly loosensAt: number
  readonly endsOn: number
  readonly ending: Ending | undefined
  /** Whether this loosening brings the patient at once, and after how many days. */
  readonly comesAtOnce: boolean
  readonly delayDays: number
  /** Whether this loosening makes the patient go elsewhere. */
  readonly leavesUnseen: boolean
  /** Moments at which the veneer chips, a finding that no way of tightening touches. */
  readonly chipsAt: number
}

/** What a visit of one crown was like in truth; what is written down comes later. */
export interface Visit {
  readonly day: number
  readonly kind: 'recall' | 'own-accord' | 'telephone' | 'records-only'
  /** Whether the screw was tested for looseness. */
  readonly tested: boolean
  readonly loose: boolean
  readonly chipped: boolean
  readonly ending: Ending | undefined
}

/** Draws what happens to a crown once it is tightened one way. The draws do not depend on the way. */
export function drawFate(traits: PracticeTraits, crown: Crown, arm: Arm, random: RandomStream): Fate {
  const ratio =
    crown.patient.frailty * crown.hazardRatio * (arm === 'repeated' ? traits.treatmentHazardRatio : 1)
  const loosensAt = timeOfCumulativeHazard(traits, random.exponential() / ratio) * daysPerYear
  const ownHazard = traits.removalPerYear + traits.implantLossPerYear
  const ownEnd = Math.ceil((random.exponential() / Math.max(1e-12, ownHazard)) * daysPerYear)
  const removed = random.uniform() * ownHazard < traits.removalPerYear
  const deathDay = crown.patient.diesOn - crown.deliveryDay
  const diesFirst = deathDay <= ownEnd
  return {
    crown,
    arm,
    loosensAt,
    endsOn: Math.min(ownEnd, deathDay),
    ending: diesFirst ? 'died' : removed ? 'removed' : 'implant-lost',
    comesAtOnce: random.uniform() < traits.recall.comesAtOnce,
    delayDays: Math.ceil(random.exponential() * traits.recall.delayDays),
    leavesUnseen: random.uniform() < traits.leaving.onLoosening[arm],
    chipsAt: (random.exponential() / 0.02) * daysPerYear,
  }
}

/**
 * Day of the practice's calendar on which a patient is last seen: leaving without a word, or going elsewhere with
 * the first loosening that makes the patient do so.
 */
export function lastDayOf(fates: readonly Fate[]): number {
  const byLoosening = fates
    .filter((fate) => fate.leavesUnseen && fate.loosensAt < fate.endsOn)
    .map((fate) => fate.crown.deliveryDay + fate.loosensAt)
  return Math.min(fates[0]!.crown.patient.leavesOn, ...byLoosening)
}

/**
 * Walks through the visits of one crown.
 *
 * @param lastDay day of the practice's calendar on which the patient is last seen
 * @param cutOffDay day on which the records end
 */
export function visitsOf(
  traits: PracticeTraits,
  fate: Fate,
  lastDay: number,
  cutOffDay: number,
  random: RandomStream,
): readonly Visit[] {
  const { crown } = fate
  const until = Math.min(lastDay, cutOffDay) - crown.deliveryDay
  const walk = new Walk(traits, fate, until, random)
  const planned = plannedDays(traits, fate, Math.min(until, fate.endsOn - 1), random)
  for (const plan of planned) {
    walk.comeBefore(plan.day)
    walk.attend(plan.day, plan.came, plan.tested)
  }
  walk.comeBefore(Math.min(until, fate.endsOn - 1) + 1)
  if (fate.endsOn <= until) walk.end()
  return walk.visits
}

interface PlannedVisit {
  readonly day: number
  readonly came: 'in-person' | 'telephone'
  readonly tested: boolean
}

/** Days on which a crown comes to recall, in order, and what kind of visit it becomes. */
function plannedDays(
  traits: PracticeTraits,
  fate: Fate,
  until: number,
  random: RandomStream,
): readonly PlannedVisit[] {
  const { recall } = traits
  const interval = recall.intervalYears[fate.arm] * daysPerYear
  const planned: PlannedVisit[] = []
  const jitter = Math.min(recall.jitterDays, interval / 5)
  for (let due = 1; due * interval < until + 4 * jitter; due++) {
    const day = Math.round(due * interval + jitter * random.normal())
    const attended = random.uniform() < recall.attendance && !fate.crown.patient.neverComes
    const rings = random.uniform() < 0.15
    const tested = random.uniform() >= recall.untested
    if (day < 1 || day > until) continue
    if (attended) planned.push({ day, came: 'in-person', tested })
    else if (rings) planned.push({ day, came: 'telephone', tested: false })
  }
  return planned.sort((one, other) => one.day - other.day)
}

/** The state of one crown between visits: loose or tight, chipped or not. */
class Walk {
  readonly visits: Visit[] = []
  private looseSince: number
  private symptomDay: number
  private chipsAt: number

  constructor(
    private readonly traits: PracticeTraits,
    private readonly fate: Fate,
    private readonly until: number,
    private readonly random: RandomStream,
  ) {
    this.looseSince = fate.loosensAt
    this.chipsAt = fate.chipsAt
    this.symptomDay = Number.POSITIVE_INFINITY
    if (traits.recall.lookedAtDaily) this.symptomDay = Math.floor(fate.loosensAt)
    else if (fate.comesAtOnce) this.symptomDay = Math.floor(fate.loosensAt) + fate.delayDays
  }

  /** The visits of the patient's own accord before a day. */
  comeBefore(day: number): void {
    while (this.symptomDay < day) {
      const came = Math.max(this.symptomDay, (this.visits.at(-1)?.day ?? 0) + 1)
      if (came >= day || came > this.until) return
      this.look(came, 'own-accord')
    }
  }

  attend(day: number, came: PlannedVisit['came'], tested: boolean): void {
    if (this.visits.at(-1)?.day === day) return
    if (came === 'telephone') {
      this.visits.push({
        day,
        kind: 'telephone',
        tested: false,
        loose: false,
        chipped: false,
        ending: undefined,
      })
    } else if (tested) {
      this.look(day, 'recall')
    } else {
      this.visits.push({ ...this.seen(day), kind: 'recall', tested: false, loose: false, ending: undefined })
    }
  }

  end(): void {
    const { endsOn, ending } = this.fate
    if (ending === 'died') {
      const nothing = { tested: false, loose: false, chipped: false }
      this.visits.push({ day: endsOn, kind: 'records-only', ...nothing, ending })
      return
    }
    this.visits.push({
      ...this.seen(endsOn),
      kind: 'own-accord',
      tested: true,
      loose: Math.floor(this.looseSince) <= endsOn,
      ending,
    })
  }

  private look(day: number, kind: 'recall' | 'own-accord'): void {
    const loose = Math.floor(this.looseSince) <= day
    if (loose && this.traits.recall.lookedAtDaily) this.lookTheDayBefore(day)
    this.visits.push({ ...this.seen(day), kind, tested: true, loose, ending: undefined })
    if (!loose) return
    this.looseSince = this.loosensAgain(day)
    const comes = this.random.uniform() < this.traits.recall.comesAtOnce
    this.symptomDay = comes ? Math.floor(this.looseSince) + 3 : Number.POSITIVE_INFINITY
  }

  /** A clean look on the day before the screw came loose. */
  private lookTheDayBefore(day: number): void {
    const before = day - 1
    if (before < 1 || this.visits.at(-1)?.day === before) return
    this.visits.push({
      ...this.seen(before),
      kind: 'own-accord',
      tested: true,
      loose: false,
      ending: undefined,
    })
  }

  /** A repaired screw comes loose again in a fifth of the crowns, mostly soon. */
  private loosensAgain(day: number): number {
    return this.random.uniform() < 0.2 ? day + 10 + this.random.exponential() * 300 : Number.POSITIVE_INFINITY
  }

  private seen(day: number): { readonly day: number; readonly chipped: boolean } {
    const chipped = this.chipsAt <= day
    if (chipped) this.chipsAt = Number.POSITIVE_INFINITY
    return { day, chipped }
  }
}
