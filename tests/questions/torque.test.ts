import { describe, expect, test } from 'vitest'
import { buildCohort, type Cohort } from '../../src/cohort/cohort.js'
import { inWords, speaker, warningOf } from '../../src/messages/speaker.js'
import { removalTorque } from '../../src/questions/removalTorque/answer.js'
import { type BenchGroup, compareBench } from '../../src/questions/removalTorque/benchTorque.js'
import { torqueAdherence } from '../../src/questions/torque/answer.js'
import { mainSentence as torqueSentence } from '../../src/questions/torque/section.js'
import { pathsOf } from '../../src/questions/words/place.js'
import { check, crown, recordsOf, tightening } from '../cohort/recordsOf.js'

interface Applied {
  readonly id: number
  readonly minutes?: number
  readonly target?: number
  readonly reached?: number
  readonly removal?: number
  readonly device?: string
  readonly calibrated?: number | undefined
  readonly context?: string
  readonly action?: string
  readonly day?: number
  readonly instruction?: number
}

/** A practice of crowns, all checked once, with these applications of torque. */
function applied(rows: readonly Applied[], followed = 30): Cohort {
  const ids = [...new Set(rows.map(({ id }) => id))]
  return buildCohort(
    recordsOf({
      restorations: ids.map((id) => crown(`R${id}`)),
      visits: ids.slice(0, followed).map((id) => check(`R${id}`, 400)),
      tightenings: rows.map(({ id, minutes = 0, ...one }) => {
        const fields = {
          target_torque_ncm: one.target,
          achieved_torque_ncm: one.reached,
          removal_torque_ncm: one.removal,
          device_id: one.device,
          device_type: one.device === undefined ? undefined : 'beam',
          device_last_calibration_day: one.calibrated,
          days_since_delivery: one.day ?? 0,
          instruction_torque_ncm: one.instruction,
          context: one.context ?? 'delivery',
          action: one.action ?? (minutes === 0 ? 'tighten' : 'tighten_again'),
        }
        const known = Object.entries(fields).filter(([, value]) => value !== undefined)
        return tightening(`R${id}`, minutes, Object.fromEntries(known) as Record<string, string | number>)
      }),
    }),
  )
}

/** Eight of 35 N·cm: on the limit above and below, beyond it, and within. */
const eight = [35, 38.5, 31.5, 38.6, 31.4, 36, 33, 34].map((reached, id) => ({
  id,
  target: 35,
  reached,
  device: id < 6 ? 'W1' : 'W2',
  calibrated: [-10, -181, -365, -366, 5, -10, -10, undefined][id],
  instruction: id === 0 ? 30 : 35,
}))

describe('torque reached against torque aimed at', () => {
  const torque = torqueAdherence(applied(eight))!

  test('counts what lies on the limit as within it, by hand', () => {
    expect(torque.overall).toMatchObject({ applications: 8, within: 6, over: 1, under: 1 })
    expect(torque.overall!.shareWithin.estimate).toBe(0.75)
    // 6% of 35 is 2.1: 38.5, 31.5, 38.6 and 31.4 lie beyond.
    expect(torque.strict).toMatchObject({ within: 4, over: 2, under: 2 })
    expect([torque.withInstruction, torque.offInstruction]).toEqual([8, 1])
  })

  test('does not let binary fractions push a torque over its limit', () => {
    // 35.2 − 32 is 3.2000000000000028.
    expect(torqueAdherence(applied([{ id: 1, target: 32, reached: 35.2 }]))!.overall!.within).toBe(1)
  })

  test('keeps together what one device tightened, and patients where there is one device', () => {
    expect(torque.clusteredBy).toBe('device')
    expect(torque.overall!.shareWithin.clusters).toBe(2)
    const one = torqueAdherence(applied(eight.map((row) => ({ ...row, device: 'W1' }))))!
    expect([one.clusteredBy, one.overall!.shareWithin.clusters]).toEqual(['patient', 8])
  })

  test('gives mean deviation and limits of agreement where a device has five tightenings (Bland and Altman 1986)', () => {
    const [first, second] = torque.byDevice
    const own = [0, 3.5, -3.5, 3.6, -3.6, 1]
    const mean = own.reduce((sum, one) => sum + one, 0) / 6
    const deviation = Math.sqrt(own.reduce((sum, one) => sum + (one - mean) ** 2, 0) / 5)
    expect(first!.deviation!.mean.estimate).toBeCloseTo(mean, 12)
    expect(first!.deviation!.upperLimit.estimate).toBeCloseTo(mean + 1.959963984540054 * deviation, 10)
    expect([second!.applications, second!.deviation]).toEqual([2, undefined])
    expect([first!.longestSinceCalibrationDays, second!.longestSinceCalibrationDays]).toEqual([366, 10])
  })

  test('bands the age of the calibration; one dated later is not known', () => {
    expect(torque.byCalibration.map(({ band, applications }) => [band, applications])).toEqual([
      ['half-year', 3],
      ['year', 2],
      ['older', 1],
      ['unknown', 2],
    ])
  })

  test('counts tightenings of the delivery day only, also of restorations that were never followed', () => {
    const rows = [...eight, { id: 8, target: 35, reached: 20, context: 'recall_check', day: 300 }]
    expect(torqueAdherence(applied(rows))!.applications).toBe(8)
    expect(torqueAdherence(applied(eight, 2))!.restorations).toBe(8)
  })

  test('says that nothing can be known where no torque was read, and is absent without tightenings', () => {
    const cohort = applied([{ id: 1, target: 35 }])
    const torqueOnly = torqueAdherence(cohort)!
    expect(torqueOnly.overall).toBeUndefined()
    expect(torqueOnly.byDevice).toEqual([])
    expect(speaker().text(torqueSentence(torqueOnly, pathsOf(torqueOnly, 'torque')))).toContain(
      'whether the target was met cannot be known',
    )
    expect(torqueAdherence(applied([{ id: 1, context: 'recall_check', day: 3 }]))).toBeUndefined()
  })
})

describe('torque of removal', () => {
  /** Tightened once to 35, or twice, and undone at 28 + i. */
  const measured = [0, 1, 2, 3].flatMap((i): Applied[] => [
    { id: i, target: 35, reached: 35 },
    { id: i, minutes: 20, target: 35, removal: 28 + i, action: 'removal_measurement' },
    { id: 10 + i, target: 35, reached: 35 },
    { id: 10 + i, minutes: 12, target: 35, reached: 35 },
    { id: 10 + i, minutes: 30, target: 35, removal: 30 + i, action: 'removal_measurement' },
  ])
  const result = removalTorque(applied(measured))!

  test('is compared between handlings, by hand: means 29.5 and 31.5, Welch t = -2 / sqrt(2 · 5/3 / 4)', () => {
    expect(result.removal.groups.map(({ name, n, mean }) => [name, n, mean])).toEqual([
      ['single', 4, 29.5],
      ['repeated in the window', 4, 31.5],
    ])
    const [pair] = result.removal.pairs
    expect(pair!.difference).toBe(-2)
    // Student's t with 6 degrees of freedom at 0.975 is 2.446912 (any table).
    expect(pair!.interval.lower).toBeCloseTo(-2 - 2.4469118511 * Math.sqrt((2 * (5 / 3)) / 4), 7)
    expect(result.loss!.groups[0]!.mean).toBeCloseTo((35 - 29.5) / 35, 12)
  })

  test('takes the torque reached just before, of the same screw, and none that is not recorded', () => {
    const undone = removalTorque(
      applied([
        { id: 1, target: 35, reached: 30 },
        { id: 1, minutes: 5, target: 35, reached: 36, removal: 27, action: 'undo_then_tighten' },
        { id: 2, target: 35 },
        { id: 2, minutes: 5, target: 35, removal: 30, action: 'removal_measurement' },
      ]),
    )!
    expect(undone.measurements).toBe(2)
    expect(undone.loss!.groups.map(({ name, n, mean }) => [name, n, mean])).toEqual([
      ['undone and tightened again', 1, 0.1],
    ])
  })

  test('averages several measurements of one restoration, and warns', () => {
    const twice = removalTorque(
      applied([...measured, { id: 0, minutes: 40, removal: 30, action: 'removal_measurement' }]),
    )!
    expect(twice.measuredRepeatedly).toBe(1)
    expect(twice.removal.groups[0]).toMatchObject({ n: 4, mean: (29 + 29 + 30 + 31) / 4 })
    expect(speaker().text(warningOf(twice.warnings[0]!))).toContain('measured more than once')
  })

  test('is absent where none was measured', () => {
    expect(removalTorque(applied(eight))).toBeUndefined()
  })
})

const groups = (...figures: readonly (readonly [string, number, number, number, number?])[]): BenchGroup[] =>
  figures.map(([name, n, mean, standardDeviation, implants]) => ({
    name,
    n,
    mean,
    standardDeviation,
    ...(implants === undefined ? {} : { implants }),
  }))

describe('bench figures of published studies', () => {
  test('Ebadian 2021 (Int J Dent 3595064): Welch F(3, 19.99) = 11.224, recomputed from the printed figures', () => {
    const { welch, pairs } = compareBench(
      groups(
        ['once', 10, 26.8, 1.3],
        ['three times', 10, 24.9, 1.2],
        ['undone', 10, 25.1, 1.3],
        ['35', 10, 27.8, 1.3],
      ),
    )
    expect(welch!.statistic).toBeCloseTo(11.224, 3)
    expect(welch!.denominatorDegreesOfFreedom).toBeCloseTo(19.99, 2)
    expect(pairs).toHaveLength(6)
    expect(pairs[0]).toMatchObject({ group: 'once', against: 'three times' })
    expect(pairs[0]!.difference).toBeCloseTo(1.9, 12)
  })

  test('Alotaibi 2023 (J Biomater Tissue Eng): again after ten minutes is lower; Welch F(2, 28.1) = 20.35', () => {
    const { welch, pairs } = compareBench(
      groups(['immediate', 16, 32.5, 0.93], ['again', 16, 30.54, 0.9], ['held', 16, 32.68, 2.04]),
    )
    expect(welch!.statistic).toBeCloseTo(20.35, 2)
    expect(pairs[0]!.difference).toBeGreaterThan(0)
    expect(pairs[0]!.interval.lower).toBeGreaterThan(0)
  })

  test('McCracken 2009 (J Prosthodont): toggle and beam alike in the mean, Welch P = .35', () => {
    const { pairs, method } = compareBench(groups(['toggle', 9, 38.1, 16], ['beam', 8, 32.8, 1.1]))
    expect(pairs[0]!.pValue).toBeCloseTo(0.35, 2)
    expect(method).toEqual(['welch-t'])
  })

  test('asks whether values came from implants of their own, and names pseudo-replication (PMID 31560132)', () => {
    const asked = compareBench(groups(['0°', 16, 31.16, 1.12], ['10°', 16, 32.07, 0.97]))
    expect(asked.warnings.map(({ code }) => code)).toEqual(['ask-about-replication'])
    const repeated = compareBench(groups(['0°', 16, 31.16, 1.12, 1], ['10°', 16, 32.07, 0.97, 1]))
    expect(repeated.warnings).toEqual([
      { code: 'pseudo-replication', parameters: { group: '0°', values: 16, implants: 1 } },
      { code: 'pseudo-replication', parameters: { group: '10°', values: 16, implants: 1 } },
    ])
    expect(inWords(repeated.warnings[0]!)).toContain('0° (16 values on 1)')
    expect(compareBench(groups(['a', 4, 1, 1, 4], ['b', 4, 1, 1, 4])).warnings).toEqual([])
  })

  test('tests equivalence only where a margin is given', () => {
    const two = groups(['once', 20, 30, 1, 20], ['again', 20, 30.1, 1, 20])
    expect(compareBench(two).pairs[0]!.equivalence).toBeUndefined()
    expect(compareBench(two, { margin: 1 }).pairs[0]!.equivalence!.equivalent).toBe(true)
    expect(compareBench(two, { margin: 0.2 }).pairs[0]!.equivalence!.equivalent).toBe(false)
  })

  test('compares nothing where fewer than two groups have two values', () => {
    const none = compareBench(groups(['once', 1, 30, 0, 1], ['again', 9, 30, 1, 9]))
    expect([none.welch, none.pairs]).toEqual([undefined, []])
  })
})

describe('the device that most of what lay beside the target came from', () => {
  const said = (beside: Readonly<Record<string, number>>): string => {
    const rows = Object.entries(beside).flatMap(([device, count], at) =>
      Array.from({ length: 10 }, (_one, i) => ({
        id: 10 * at + i,
        target: 35,
        reached: i < count ? 30 : 35,
        device,
        calibrated: device === 'W1' ? -700 : undefined,
      })),
    )
    const result = torqueAdherence(applied(rows))!
    return speaker().text(torqueSentence(result, pathsOf(result)))
  }

  test('is named from five on, where it has more than half of them, with the age of its calibration', () => {
    expect(said({ W1: 6, W2: 1, W3: 0 })).toContain(
      'Most of them came from W1: 6 under, of its 10 tightenings, up to 700 days after its calibration. Have it checked.',
    )
    expect(said({ W1: 0, W2: 5 })).toContain('came from W2: 5 under, of its 10 tightenings. Have it checked.')
  })

  test.each([
    ['fewer than five', { W1: 4, W2: 0 }],
    ['no more than half', { W1: 5, W2: 5 }],
    ['one device only', { W1: 9 }],
  ])('is not named: %s', (_why, beside) => {
    expect(said(beside)).not.toContain('Most of them')
  })
})
