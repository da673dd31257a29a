import { beforeAll, describe, expect, it } from 'vitest'
import { buildCohort, type Cohort } from '../../../src/cohort/cohort.js'
import { dayNumber } from '../../../src/core/calendar.js'
import { randomStream } from '../../../src/core/random.js'
import { speaker } from '../../../src/messages/speaker.js'
import { defaultSettings } from '../../../src/questions/plan/settings.js'
import { type WatchResult, watchPractice } from '../../../src/questions/watching/answer.js'
import { cumulativeFigure, driftFigure } from '../../../src/questions/watching/chart.js'
import { watchedExposure } from '../../../src/questions/watching/exposure.js'
import { watchQuestion } from '../../../src/questions/watching/question.js'
import { pathsOf } from '../../../src/questions/words/place.js'
import { type MemoryRow, memoryRecords } from '../../../src/records/memoryRecords.js'
import { steadyPractice } from '../../../src/verification/simulation/steadyPractice.js'
import {
  devicesFound,
  simulatedDevices,
  watchedPractice,
} from '../../../src/verification/simulation/watching.js'

const start = dayNumber(2015, 1, 1)!

function crown(id: string, delivered: number, operator = 'o1'): MemoryRow {
  return {
    restoration_id: id,
    patient_id: id,
    clinic_id: 'c1',
    operator_id: operator,
    delivery_date: delivered,
    restoration_type: 'single_crown',
    connection: 'internal_hex',
  }
}

function look(id: string, day: number, loose = false): MemoryRow {
  return {
    restoration_id: id,
    days_since_delivery: day,
    visit_type: 'scheduled',
    screw_checked: 'yes',
    finding: loose ? 'screw_loosening' : 'none',
    restoration_status: 'in_place',
  }
}

function words(result: WatchResult): string {
  return watchQuestion
    .section(result, pathsOf(result), {} as never)
    .flatMap((block) => (block.kind === 'paragraph' ? [speaker().text(block.content)] : []))
    .join('\n')
}

describe('who is watched when', () => {
  it('is everyone up to one and a half years after the last look, and to a finding: by hand', () => {
    const cohort = buildCohort(
      memoryRecords(
        {
          restorations: [
            crown('seen', start),
            crown('lost', start),
            crown('late', start),
            crown('unseen', start),
          ],
          tightenings: [],
          visits: [
            look('seen', 365),
            look('seen', 730),
            look('lost', 100),
            look('late', 300),
            look('late', 1000, true),
          ],
        },
        'four crowns',
      ),
    )
    const exposure = watchedExposure(cohort)!
    const days = exposure.stretches.reduce((sum, { from, to }) => sum + to - from, 0)
    // The records end on day 1000. Seen: to it. Lost: 100 + 547.875. Late: 300 + 547.875, then no more, so that its
    // finding on day 1000 is nobody's. Unseen: 547.875.
    expect(days).toBeCloseTo(1000 + (100 + 547.875) + (300 + 547.875) + 547.875, 9)
    expect(exposure.findings).toEqual([])
    expect(exposure.looks.map(({ day }) => day - start).sort((one, two) => one - two)).toEqual([
      100, 300, 365, 730,
    ])
    expect(exposure.lastDay - start).toBe(1000)
  })
})

describe('now against before', () => {
  it('sees a doubling of new deliveries, and says what to do next', () => {
    const found = watchedPractice(400, 'doubled', 1)
    expect(found.reading).toBe('signal')
    expect(found.watched!.signalDay!).toBeGreaterThan(found.startDay)
    expect(found.watched!.events).toBeGreaterThan(found.watched!.expected)
  })

  it('reads nothing better where only attendance falls', () => {
    const found = watchedPractice(400, 'attendance-falls', 2)
    expect(found.lastYear!.looks.upper).toBeLessThan(1)
    expect(found.reading).toBe('looks-changed')
  })
})

describe('the page of a practice watched', () => {
  let cohort: Cohort
  let result: WatchResult
  beforeAll(() => {
    const practice = {
      crownsPerYear: 150,
      years: 8,
      risk: 0.1,
      frailtyVariance: 0.5,
      lossPerYear: 0.04,
      shareRepeated: 0.5,
    }
    cohort = buildCohort(steadyPractice(practice, randomStream(8)))
    result = watchPractice(cohort)
  })

  it('says how much silence could have missed, or what a signal is not', () => {
    expect(words(result)).toMatch(
      /Silence is no proof: if new deliveries loosened twice as often|A signal on /,
    )
    expect(JSON.stringify(cumulativeFigure(result))).toContain('limit')
  })

  it('sets two years side by side with everyone who was delivered', () => {
    const { recent, earlier } = result.nowBefore!.sideBySide!
    expect(recent.restorations).toBeGreaterThan(100)
    expect(earlier.restorations + recent.restorations).toBeLessThanOrEqual(
      cohort.n + cohort.summary.neverChecked,
    )
  })

  it('has words and no empty charts for short records, for none with a device, and for one operator', () => {
    const short = watchPractice(
      buildCohort(
        memoryRecords(
          { restorations: [crown('a', start)], tightenings: [], visits: [look('a', 300)] },
          'one crown',
        ),
      ),
    )
    const blocks = watchQuestion.section(short, pathsOf(short), {} as never)
    expect(blocks.filter(({ kind }) => kind === 'figure')).toEqual([])
    expect(words(short)).toContain('There is not enough to set now against before')
    expect(words(short)).toContain('No tightening names its device')
    expect(words(short)).toContain('One operator is named: from five on')
  })
})

describe('torque devices', () => {
  /** A device of one tightening a week for four years; the reading by its own or another instrument. */
  function practiceOf(
    readingOf: (week: number) => { readonly achieved: number; readonly by?: string },
  ): WatchResult {
    const restorations: MemoryRow[] = []
    const tightenings: MemoryRow[] = []
    const visits: MemoryRow[] = []
    for (let week = 0; week < 208; week++) {
      const id = `r${week}`
      restorations.push(crown(id, start + 7 * week))
      const { achieved, by } = readingOf(week)
      tightenings.push({
        restoration_id: id,
        minutes_since_first: 0,
        days_since_delivery: 0,
        context: 'delivery',
        action: 'tighten',
        target_torque_ncm: 35,
        achieved_torque_ncm: achieved,
        device_id: 'W1',
        ...(by === undefined ? {} : { reading_instrument_id: by }),
      })
      visits.push(look(id, 200))
    }
    return watchPractice(
      buildCohort(memoryRecords({ restorations, tightenings, visits }, 'one device')),
      defaultSettings,
    )
  }
  const random = randomStream(4)
  const noise = (): number => 0.3 * random.normal()

  it('drift where another instrument shows it, with the day past 6 % and who was tightened since', () => {
    const result = practiceOf((week) => ({ achieved: 35 * (1 + 0.0005 * week) + noise(), by: 'M1' }))
    const [device] = result.devices
    expect(device!.state).toBe('drifting')
    // 0.05 % of the target a week: 6 % after 120 weeks, 88 restorations before the end.
    expect(Math.abs(device!.beyondDay! - (start + 840))).toBeLessThan(100)
    expect(Math.abs(device!.restorationsBeyond - 88)).toBeLessThan(15)
    expect(device!.change!).toBeCloseTo(0.1, 1)
    expect(words(result)).toContain('W1 drifts: over the time recorded its readings moved by')
    expect(JSON.stringify(driftFigure(result))).toContain('W1')
  })

  it('show nothing of their own drift, nothing of a setting, and no size where readings are copies', () => {
    expect(practiceOf((week) => ({ achieved: 35 + 0.02 * week })).devices[0]!.state).toBe('own-reading')
    expect(practiceOf(() => ({ achieved: 35, by: 'M1' })).devices[0]!.state).toBe('setting-only')
    const copied = practiceOf((week) => ({
      achieved: week % 3 === 0 ? 35 : 35 * (1 + 0.001 * week),
      by: 'M1',
    }))
    expect(copied.devices[0]!.sizeWithheld).toBe(true)
    expect(copied.devices[0]!.change).toBeUndefined()
    expect(copied.devices[0]!.restorationsBeyond).toBe(0)
  })

  it('are found, and steady ones left alone, as the study says: 60 devices each', () => {
    const [drifting, yearly, late, steady, calibrated] = simulatedDevices.map((device) =>
      devicesFound(device, 60),
    )
    expect(Math.min(drifting!.found, yearly!.found, late!.found)).toBeGreaterThanOrEqual(0.9)
    expect(Math.min(drifting!.size, drifting!.day, late!.onset)).toBeGreaterThanOrEqual(0.9)
    expect(Math.max(steady!.found, calibrated!.found)).toBeLessThanOrEqual(0.1)
  })
})
