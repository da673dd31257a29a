import { describe, expect, it } from 'vitest'
import { missingDay } from '../../src/records/columns.js'
import type { RecordProblem } from '../../src/records/dataset.js'
import { problemInWords } from '../../src/records/problems.js'
import { checkRecords, readRecords } from '../../src/records/read/readDataset.js'
import { csvOf, oneSheet, type Practice, practice, today, written, writtenFile } from './practice.js'

/** The problems of a practice after one change, with the records. */
async function readAfter(change: (tables: Practice) => void, count = 40, setAside: readonly string[] = []) {
  const tables = practice(count)
  change(tables)
  const records = await readRecords(written(tables), { today, setAside })
  return { records, problems: records.quality.problems }
}

/** What stops a practice after one change, and what is left of it where that is set aside by name. */
async function stoppedAfter(change: (tables: Practice) => void) {
  const tables = practice()
  change(tables)
  const folder = written(tables)
  const { problems, records } = await checkRecords(folder, { today })
  expect(records).toBeUndefined()
  const stops = problems.filter((one) => one.severity === 'stop')
  const setAside = [...new Set(stops.map((one) => one.code))]
  const named = await readRecords(folder, { today, setAside })
  return { stops: stops.map((one) => `${one.code} ${one.place.file} ${one.place.column} ${one.rows}`), named }
}

function inWords(problems: readonly RecordProblem[]): readonly string[] {
  return problems.map((one) => `${one.severity} ${one.code} ${one.count}: ${problemInWords(one)}`)
}

describe('what is set aside', () => {
  it('keeps a practice without a fault as it is', async () => {
    const { records, problems } = await readAfter(() => undefined)
    expect(problems).toEqual([])
    expect(records.quality.rows).toEqual({
      restorations: { read: 40, setAside: 0 },
      tightenings: { read: 60, setAside: 0 },
      visits: { read: 80, setAside: 0 },
    })
  })

  it('sets aside both rows of a duplicate restoration, with their visits', async () => {
    const { records, problems } = await readAfter((tables) => {
      tables.restorations.push({ ...tables.restorations[0]!, tooth_position: '37' })
    })
    expect(inWords(problems)).toEqual([
      'set-aside duplicate-restoration 2: restorations.csv, column restoration_id, rows 2, 42: several rows with different values share one restoration_id; all of them and their visits are set aside. Expected: each restoration on one row. Mend: keep the true row, or give the rows identifiers of their own, in a copy.',
      'set-aside restoration-set-aside 1: tightenings.csv, column restoration_id, row 2: the row belongs to a restoration that is set aside, and goes with it. Expected: rows of restorations that are kept. Mend: mend the restoration.',
      'set-aside restoration-set-aside 2: visits.csv, column restoration_id, rows 2, 3: the row belongs to a restoration that is set aside, and goes with it. Expected: rows of restorations that are kept. Mend: mend the restoration.',
    ])
    expect(records.quality.rows.restorations).toEqual({ read: 41, setAside: 2 })
    expect(records.restorations.rowCount).toBe(39)
    expect(records.visits.rowCount).toBe(78)
  })

  it('counts an identical restoration once', async () => {
    const { records, problems } = await readAfter((tables) => {
      tables.restorations.push({ ...tables.restorations[0]! })
      tables.visits.push({ ...tables.visits[0]! })
    })
    expect(problems.map((one) => `${one.severity} ${one.code} ${one.place.file} ${one.rows}`)).toEqual([
      'note identical-row restorations.csv 42',
      'note identical-row visits.csv 82',
    ])
    expect(records.restorations.rowCount).toBe(40)
    expect(records.quality.rows.restorations).toEqual({ read: 41, setAside: 0 })
  })

  it('sets aside one patient, position and day under two identifiers', async () => {
    const { problems } = await readAfter((tables) => {
      tables.restorations.push({ ...tables.restorations[0]!, restoration_id: 'R0900' })
    })
    expect(problems.find((one) => one.code === 'duplicate-site')?.rows).toEqual([2, 42])
  })

  it('sets aside a visit before delivery and a negative day', async () => {
    const early = await readAfter((tables) => {
      tables.visits[0]!.visit_date = '2018-12-31'
    })
    expect(inWords(early.problems)).toEqual([
      'set-aside visit-before-delivery 1: visits.csv, column visit_date, row 2: the date lies before the delivery of the restoration. Expected: dates on or after delivery_date. Mend: correct one of the two dates, in a copy.',
    ])
    const negative = await readAfter((tables) => {
      for (const row of tables.visits) {
        row.days_since_delivery = '400'
        row.visit_date = ''
      }
      tables.visits[0]!.days_since_delivery = '-3'
    })
    expect(inWords(negative.problems).slice(0, 1)).toEqual([
      'set-aside negative-day 1: visits.csv, column days_since_delivery, row 2: the days since delivery are negative. Expected: 0 at delivery, and more after it. Mend: correct the number, in a copy.',
    ])
    const tightening = await readAfter((tables) => {
      tables.tightenings[0]!.days_since_delivery = '-1'
    })
    expect(tightening.problems.map((one) => `${one.severity} ${one.code}`)).toEqual([
      'set-aside negative-day',
      'warn no-tightening-at-delivery',
    ])
  })

  it('lets a try-in come before delivery', async () => {
    const { problems, records } = await readAfter((tables) => {
      tables.tightenings.push({
        ...tables.tightenings[0]!,
        sequence: '2',
        days_since_delivery: '-14',
        context: 'try_in',
      })
    })
    expect(problems.map((one) => one.code)).toEqual(['sequence-against-time'])
    expect(records.tightenings.day('days_since_delivery')[0]).toBe(-14)
  })

  it('sets aside dates in the future, and by name rows of no restoration', async () => {
    const { problems } = await readAfter(
      (tables) => {
        tables.restorations[39]!.delivery_date = '2031-01-01'
        tables.visits[0]!.visit_date = '2030-01-01'
        tables.visits[4]!.restoration_id = 'R9999'
      },
      40,
      ['no-such-restoration'],
    )
    const found = problems.filter((one) => one.code !== 'restoration-set-aside')
    expect(found.map((one) => `${one.severity} ${one.code} ${one.place.file} ${one.rows}`)).toEqual([
      'set-aside delivery-in-future restorations.csv 41',
      'set-aside no-such-restoration visits.csv 6',
      'set-aside date-in-future visits.csv 2',
    ])
  })

  it('sets aside what is claimed of a restoration after its removal, and no more', async () => {
    const { problems, records } = await readAfter((tables) => {
      tables.visits[0]!.restoration_status = 'removed'
      tables.visits[2]!.restoration_status = 'lost'
      tables.visits[3]!.restoration_status = 'lost'
      tables.visits[3]!.screw_checked = 'no'
    })
    expect(problems.map((one) => `${one.severity} ${one.code} ${one.rows}`)).toEqual([
      'set-aside after-removal 3',
    ])
    expect(records.visits.rowCount).toBe(79)
  })

  it('sets aside a deciduous position with that reason', async () => {
    const { problems } = await readAfter((tables) => {
      tables.restorations[0]!.tooth_position = '55'
    })
    expect(inWords(problems).slice(0, 1)).toEqual([
      'set-aside deciduous-position 1: restorations.csv, column tooth_position, row 2: the tooth position is that of a deciduous tooth (51 to 85), where no implant restoration stands. Expected: 11 to 18, 21 to 28, 31 to 38 or 41 to 48 (ISO 3950). Mend: correct the position in a copy.',
    ])
  })

  it('stops at rows without a value that every row needs; by name their restorations are left out', async () => {
    const { stops, named } = await stoppedAfter((tables) => {
      tables.restorations[0]!.patient_id = ''
      tables.visits[5]!.visit_date = 'unknown'
      tables.visits[6]!.visit_date = '2020-02-31'
    })
    expect(stops).toEqual([
      'missing-value restorations.csv patient_id 2',
      'not-a-date visits.csv visit_date 8',
      'missing-value visits.csv visit_date 7',
    ])
    // Three restorations: that of the first row, and those of the visits that cannot be placed.
    expect(named.restorations.rowCount).toBe(37)
    expect(named.quality.setAsideByName).toEqual([
      { code: 'missing-value', count: 2 },
      { code: 'not-a-date', count: 1 },
    ])
  })

  it('never lets a finding that cannot be placed become "no event"', async () => {
    const { stops, named } = await stoppedAfter((tables) => {
      tables.visits[7]!.visit_date = '2018-01-01'
      tables.visits[27]!.visit_date = '2031-01-01'
    })
    expect(stops).toEqual([
      'event-before-delivery visits.csv visit_date 9',
      'event-in-future visits.csv visit_date 29',
    ])
    expect(named.restorations.rowCount).toBe(38)
    const found = named.quality.problems.find((one) => one.code === 'event-in-future')
    expect(found?.problem).toBe(
      "a finding, a removal or a death is dated in the future: the restorations concerned are left out by the user's word (--set-aside event-in-future).",
    )
  })

  it('knows no rule of another name, and says which there are', async () => {
    const folder = written(practice(10))
    await expect(readRecords(folder, { today, setAside: ['all'] })).rejects.toThrow(
      /^no problem that can be set aside is called all\. Expected: one of not-a-date, not-a-number, /,
    )
  })
})

describe('what is kept and warned about', () => {
  it('warns where chart and tightenings disagree', async () => {
    const { problems } = await readAfter((tables) => {
      tables.restorations[0]!.tightening_group = 'repeated'
      tables.restorations[1]!.tightening_group = 'single'
      tables.tightenings[5]!.minutes_since_first = '90'
      tables.tightenings = tables.tightenings.filter((row) => row.restoration_id !== 'R0007')
    })
    expect(problems.map((one) => `${one.severity} ${one.code} ${one.rows}`)).toEqual([
      'warn repeated-not-in-events 2,5',
      'warn single-not-in-events 3',
      'warn no-tightening-at-delivery 8',
    ])
  })

  it('warns about loosening without a check and a check from afar', async () => {
    const { problems } = await readAfter((tables) => {
      tables.visits[7]!.screw_checked = 'no'
      tables.visits[1]!.visit_type = 'telephone'
    })
    expect(problems.map((one) => `${one.severity} ${one.code} ${one.rows}`)).toEqual([
      'warn check-without-visit 3',
      'warn loosening-without-check 9',
    ])
  })

  it('stops at an onset out of its place; by name it counts as unknown', async () => {
    const { stops, named } = await stoppedAfter((tables) => {
      for (const row of tables.visits) row.onset_date = ''
      tables.visits[27]!.onset_date = tables.visits[26]!.visit_date!
    })
    expect(stops).toEqual(['onset-outside-interval visits.csv onset_date 29'])
    expect(named.visits.day('onset_day')[27]).toBe(missingDay)
    expect(named.restorations.rowCount).toBe(40)
  })

  it('warns about a delivery before the placement of the implant or too long after it', async () => {
    const { problems } = await readAfter((tables) => {
      for (const row of tables.restorations) row.implant_placement_date = '2018-11-20'
      tables.restorations[0]!.implant_placement_date = '2019-01-08'
      // Delivered on 18 January 2019: 1,825 days before it is the last day that is not too long, 1,826 the first that is.
      tables.restorations[1]!.implant_placement_date = '2014-01-19'
      tables.restorations[2]!.implant_placement_date = '2014-01-29'
    })
    expect(problems.map((one) => `${one.severity} ${one.code} ${one.rows}`)).toEqual([
      'warn placement-gap 2,4',
    ])
  })

  it('warns about two restorations on one site at a time', async () => {
    const { problems } = await readAfter((tables) => {
      tables.restorations.push({
        ...tables.restorations[0]!,
        restoration_id: 'R0900',
        delivery_date: '2021-03-01',
      })
    })
    expect(problems.map((one) => `${one.severity} ${one.code} ${one.rows}`)).toEqual([
      'warn no-tightening-at-delivery 42',
      'warn two-restorations-on-one-site 2',
    ])
  })

  it('warns about torque off target, old calibration and numbers out of range', async () => {
    const { problems, records } = await readAfter((tables) => {
      for (const row of tables.tightenings) Object.assign(row, { achieved_torque_ncm: '35' })
      tables.tightenings[0]!.achieved_torque_ncm = '38.6'
      tables.tightenings[1]!.achieved_torque_ncm = '38.5'
      tables.tightenings[2]!.target_torque_ncm = '55'
      for (const row of tables.tightenings) row.device_last_calibration_date = '2019-01-01'
      for (const row of tables.restorations) row.implant_diameter_mm = '4.1'
      tables.restorations[0]!.implant_diameter_mm = '41'
    })
    expect(problems.map((one) => `${one.severity} ${one.code} ${one.count}`)).toContain(
      'warn torque-off-target 2',
    )
    expect(problems.map((one) => `${one.severity} ${one.code} ${one.rows}`)).toContain('warn out-of-range 4')
    expect(records.restorations.number('implant_diameter_mm')[0]).toBeNaN()
    expect(records.restorations.number('implant_diameter_mm')[1]).toBe(4.1)
    expect(problems.find((one) => one.code === 'calibration-old')?.count).toBe(11)
  })

  it('reads ages above 89 as 90 and says so', async () => {
    const { problems, records } = await readAfter((tables) => {
      for (const row of tables.restorations) row.age_at_delivery_years = '54'
      tables.restorations[0]!.age_at_delivery_years = '93'
      tables.restorations[1]!.age_at_delivery_years = '15'
      tables.restorations[2]!.age_at_delivery_years = '90+'
    })
    expect(problems.map((one) => `${one.severity} ${one.code} ${one.rows}`)).toEqual([
      'warn age-above-89 2',
      'warn age-below-16 3',
      'note age-90-or-above 4',
    ])
    expect([...records.restorations.number('age_at_delivery_years').slice(0, 3)]).toEqual([90, 15, 90])
  })
})

describe('the one-sheet form', () => {
  it('unfolds into the three tables', async () => {
    const records = await readRecords(writtenFile('sheet.csv', csvOf(oneSheet())), { today })
    expect(records.quality.problems).toEqual([])
    expect(records.source.form).toBe('one-sheet')
    expect(records.source.cannotAnswer).toEqual([
      'dated-repeats',
      'other-complications',
      'every-visit',
      'undoing-between-tightenings',
    ])
    const { visits, tightenings } = records
    const at = visits.firstRow[3]!
    const finding = visits.category('finding')
    expect([...visits.day('visit_date').slice(at, visits.firstRow[4])]).toEqual([365, 730])
    expect([finding.labels[finding.codes[at]!], finding.labels[finding.codes[at + 1]!]]).toEqual([
      'none',
      'screw_loosening',
    ])
    expect(tightenings.rowCount).toBe(60)
    expect([...tightenings.number('minutes_since_first').slice(0, 3)]).toEqual([0, 0, 10])
    const action = tightenings.category('action')
    expect([...action.codes.slice(0, 3)].map((code) => action.labels[code])).toEqual([
      'tighten',
      'tighten',
      'tighten_again',
    ])
  })

  it('takes a removal on the day of a check for one visit', async () => {
    const rows: Record<string, string>[] = oneSheet(10)
    rows[0]!.removed_date = rows[0]!.last_check_date!
    rows[1]!.removed_date = '2022-01-01'
    rows[1]!.removal_reason = 'implant_loss'
    rows[2]!.deceased_date = '2022-02-02'
    for (const row of rows) row.removal_reason ??= ''
    const records = await readRecords(writtenFile('sheet.csv', csvOf(rows)), { today })
    expect(records.quality.problems).toEqual([])
    const { visits } = records
    const labelsOf = (field: string, restoration: number): readonly (string | undefined)[] => {
      const { labels, codes } = visits.category(field)
      return [...codes.slice(visits.firstRow[restoration], visits.firstRow[restoration + 1])].map(
        (code) => labels[code],
      )
    }
    expect(labelsOf('screw_checked', 0)).toEqual(['yes', undefined])
    expect(labelsOf('restoration_status', 0)).toEqual([undefined, 'removed'])
    expect(labelsOf('finding', 1)).toEqual(['none', 'implant_loss'])
    expect(labelsOf('patient_status', 2)).toEqual([undefined, 'deceased'])
  })

  it('makes identifiers where there are none and says so', async () => {
    const rows = oneSheet(10).map(({ restoration_id: _without, ...row }) => row)
    const records = await readRecords(writtenFile('sheet.csv', csvOf([...rows, rows[0]!])), { today })
    expect(records.quality.problems.map((one) => `${one.severity} ${one.code} ${one.count}`)).toEqual([
      'note identical-row 1',
      'note restoration-ids-made 11',
    ])
    expect(records.restorations.category('restoration_id').labels[0]).toBe('P0001-36-1')
    expect(records.restorations.rowCount).toBe(10)
    expect(records.visits.rowCount).toBe(11)
  })

  it.each([
    ['removal-without-date', { removal_reason: 'complication' }],
    ['wait-unit-in-doubt', { tightenings_at_delivery: '2', wait_minutes: '0.15' }],
    ['wait-without-second-tightening', { tightenings_at_delivery: '1', wait_minutes: '10' }],
    ['torque-without-tightening', { tightenings_at_delivery: '0', wait_minutes: '' }],
    ['delivery-before-implants', { delivery_date: '1899-12-30' }],
    ['observation-start-impossible', { observation_start_date: '2099-01-01' }],
  ])('stops at %s, until it is set aside by name', async (code, wrong) => {
    const rows = oneSheet(60).map(
      (row): Record<string, string> => ({
        ...row,
        removal_reason: '',
        observation_start_date: '',
      }),
    )
    Object.assign(rows[1]!, wrong)
    const path = writtenFile('sheet.csv', csvOf(rows))
    const { problems } = await checkRecords(path, { today })
    const stops = problems.filter((one) => one.severity === 'stop')
    expect(stops.map((one) => `${one.code} ${one.rows}`)).toEqual([`${code} 3`])
    const { restorations } = await readRecords(path, { today, setAside: [code] })
    expect(restorations.rowCount).toBe(59)
  })

  it('counts what is empty in columns that no table has', async () => {
    const rows: Record<string, string>[] = oneSheet(20)
    rows[0]!.last_check_date = ''
    rows[1]!.tightenings_at_delivery = ''
    rows[1]!.wait_minutes = ''
    rows[3]!.last_check_before_loosening_date = ''
    const { quality } = await readRecords(writtenFile('sheet.csv', csvOf(rows)), { today })
    const own = quality.completeness.filter((one) =>
      ['tightenings_at_delivery', 'last_check_date', 'last_check_before_loosening_date'].includes(one.field),
    )
    expect(own.map(({ field, known, unknown }) => [field, known, unknown])).toEqual([
      ['tightenings_at_delivery', 19, 1],
      ['last_check_date', 19, 1],
      ['last_check_before_loosening_date', 1, 19],
    ])
  })

  it('stops where some tightenings of a restoration name their screw and others do not', async () => {
    const tables = practice(60)
    for (const row of tables.tightenings) row.screw_position = ''
    tables.tightenings.find((row) => row.sequence === '2')!.screw_position = '36'
    const path = written(tables)
    const { problems } = await checkRecords(path, { today })
    expect(problems.filter((one) => one.severity === 'stop').map((one) => one.code)).toEqual([
      'screw-partly-named',
    ])
    const { restorations } = await readRecords(path, { today, setAside: ['screw-partly-named'] })
    expect(restorations.rowCount).toBe(59)
  })

  it('stops at rows in which no course of events can be read, until they are set aside by name', async () => {
    const rows: Record<string, string>[] = oneSheet(145).map((row) => ({ ...row, loosening_count: '' }))
    rows[0]!.last_check_date = '2018-01-01'
    rows[1]!.first_loosening_date = '2030-01-01'
    rows[2]!.loosening_count = '2'
    rows[3]!.loosening_count = '0'
    rows[13]!.last_check_before_loosening_date = rows[13]!.first_loosening_date!
    rows[4]!.removed_date = '2019-09-01'
    rows[5]!.deceased_date = '2019-09-01'
    const path = writtenFile('sheet.csv', csvOf(rows))
    const { problems } = await checkRecords(path, { today })
    const setAside = problems.filter((one) => one.severity === 'stop').map((one) => one.code)
    const records = await readRecords(path, { today, setAside })
    const found = records.quality.problems.filter((one) => one.place.column !== 'restoration_id')
    expect(found.map((one) => `${one.severity} ${one.code} ${one.rows}`).sort()).toEqual(
      [
        'set-aside course-before-delivery 2',
        'set-aside course-in-future 3',
        'set-aside loosening-without-date 4',
        'set-aside loosening-not-counted 5',
        'set-aside course-after-removal 6',
        'set-aside course-after-death 7',
        'set-aside check-not-before-loosening 15',
      ].sort(),
    )
    expect(records.restorations.rowCount).toBe(138)
  })
})
