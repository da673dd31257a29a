import { describe, expect, it } from 'vitest'
import { dayFromIso } from '../../src/core/calendar.js'
import { checkRecords } from '../../src/records/read/readDataset.js'
import { coarseDay } from '../../src/records/understand/roundedDays.js'
import { type Practice, practice, type Row, today, written } from './practice.js'

/** The practice with the year of delivery and days since it in place of dates. */
function inDays(count = 60): Practice {
  const { restorations, tightenings, visits } = practice(count)
  const delivered = new Map(restorations.map((row) => [row.restoration_id, row.delivery_date!]))
  return {
    restorations: restorations.map(({ delivery_date, ...row }) => ({
      ...row,
      delivery_year: delivery_date!.slice(0, 4),
      observation_start_day: '',
    })),
    tightenings,
    visits: visits.map(({ restoration_id, visit_date, ...row }) => ({
      restoration_id: restoration_id!,
      days_since_delivery: String(dayFromIso(visit_date!)! - dayFromIso(delivered.get(restoration_id)!)!),
      ...row,
    })),
  }
}

/** What is told of the practice in days after one change, other than notes: severity, code, column and rows. */
async function told(change: (tables: Practice) => void): Promise<readonly string[]> {
  const tables = inDays()
  change(tables)
  const { problems } = await checkRecords(written(tables), { today })
  return problems
    .filter((one) => one.severity !== 'note')
    .map((one) => `${one.severity} ${one.code} ${one.place.column} ${one.rows}`)
}

/** The second visit of R0001 in 2020 or later, with a change. */
const secondVisit = (change: Row) => (tables: Practice) => {
  Object.assign(tables.visits[1]!, change)
}

// All was delivered from 2019-01-07 on; the run is of 2025-06-30, at most 2,372 days after a delivery in 2019.
describe('days since a delivery of which the year alone is known', () => {
  it('takes the practice as it is', async () => {
    expect(await told(() => {})).toEqual([])
  })

  it('sets a visit aside that lies in the future on whatever day of its year the delivery was', async () => {
    const serial = await told(secondVisit({ days_since_delivery: '45123' }))
    expect(serial).toEqual(['set-aside date-in-future days_since_delivery 3'])
    expect(await told(secondVisit({ days_since_delivery: '2373' }))).toEqual(serial)
    expect(await told(secondVisit({ days_since_delivery: '2372' }))).toEqual([])
  })

  it('allows for days that were rounded, as the shareable form may have them', async () => {
    const rounded = (rule: 'weeks' | 'years', today: string) => (tables: Practice) => {
      tables.restorations[0]!.delivery_year = '2025'
      tables.visits.splice(1, 1)
      for (const row of tables.visits) {
        const isFirst = row.restoration_id === 'R0001'
        row.days_since_delivery = isFirst ? today : String(coarseDay(Number(row.days_since_delivery), rule))
      }
    }
    // Seen 100 days after a delivery in early 2025, to the nearest whole year.
    expect(await told(rounded('years', '365'))).toEqual([])
    // The run is 180 days after the first of the year: 182 are within a week of it, 364 are not.
    expect(await told(rounded('weeks', '182'))).toEqual([])
    expect(await told(rounded('weeks', '364'))).toEqual(['set-aside date-in-future days_since_delivery 2'])
  })

  it('takes visits that rounding brings onto one day for several, which need not agree', async () => {
    const twoVisits = (rule: 'exact' | 'weeks') => (tables: Practice) => {
      const [first] = tables.visits
      tables.visits.push({ ...first!, screw_checked: 'no', finding: 'access_filling_loss' })
      for (const row of tables.visits)
        row.days_since_delivery = String(coarseDay(Number(row.days_since_delivery), rule))
    }
    expect(await told(twoVisits('exact'))).toEqual(['stop visit-rows-disagree screw_checked 122'])
    expect(await told(twoVisits('weeks'))).toEqual([])
  })

  it('sets two rows of one site, year and course aside, of which one is true', async () => {
    const twice = await told((tables) => {
      tables.restorations.push({ ...tables.restorations[0]!, restoration_id: 'R0900' })
      tables.tightenings.push({ ...tables.tightenings[0]!, restoration_id: 'R0900' })
      const course = tables.visits.filter((row) => row.restoration_id === 'R0001')
      tables.visits.push(...course.map((row) => ({ ...row, restoration_id: 'R0900' })))
    })
    expect(twice).toEqual(['set-aside duplicate-site tooth_position 2,62'])
  })

  it('stops at a finding that lies in the future', async () => {
    const change = { days_since_delivery: '45123', finding: 'screw_loosening' }
    expect(await told(secondVisit(change))).toEqual(['stop event-in-future days_since_delivery 3'])
  })

  it('stops at a number that no count of days is, and at two numbers in one cell', async () => {
    const long = await told(secondVisit({ days_since_delivery: '4294967396' }))
    expect(long).toEqual(['stop not-a-number days_since_delivery 3'])
    const two = await told(secondVisit({ days_since_delivery: '681 681' }))
    expect(two).toEqual(['set-aside date-in-future days_since_delivery 3'])
  })

  it('sets a tightening aside that lies in the future', async () => {
    const found = await told(({ tightenings }) =>
      tightenings.push({
        ...tightenings[0]!,
        sequence: '2',
        context: 'recall_check',
        days_since_delivery: '4000',
      }),
    )
    expect(found).toEqual(['set-aside date-in-future days_since_delivery 92'])
  })

  it('sets a delivery of a year to come aside, and stops at a start of observation to come', async () => {
    const future = await told(({ restorations }) => {
      restorations[0]!.delivery_year = '2026'
    })
    expect(future).toContain('set-aside delivery-in-future delivery_year 2')
    const start = await told(({ restorations }) => {
      restorations[0]!.observation_start_day = '4000'
    })
    expect(start).toEqual(['stop observation-start-impossible observation_start_date 2'])
  })

  it('stops at a date of delivery beside another year', async () => {
    const tables = practice(60)
    for (const row of tables.restorations) row.delivery_year = row.delivery_date!.slice(0, 4)
    tables.restorations[0]!.delivery_year = '2017'
    const { problems } = await checkRecords(written(tables), { today })
    expect(problems.map((one) => `${one.severity} ${one.code} ${one.place.column} ${one.rows}`)).toEqual([
      'stop delivery-date-and-year-differ delivery_year 2',
    ])
  })

  it('tells of two restorations on one site of which the first was never removed', async () => {
    const second = (year: string) => (tables: Practice) => {
      tables.restorations.push({
        ...tables.restorations[0]!,
        restoration_id: 'R0900',
        delivery_year: year,
      })
      tables.tightenings.push({ ...tables.tightenings[0]!, restoration_id: 'R0900' })
    }
    expect(await told(second('2019'))).toEqual(['warn two-restorations-on-one-site tooth_position 2'])
    expect(await told(second('2022'))).toEqual(['warn two-restorations-on-one-site tooth_position 2'])
    const removed = await told((tables) => {
      second('2019')(tables)
      tables.visits[1]!.restoration_status = 'removed'
    })
    expect(removed).toEqual([])
  })

  it('sets a visit aside that lies after a death at another restoration whatever the days of delivery were', async () => {
    // R0001 and R0002 are of one patient, delivered in 2019; a year apart says nothing, two years do.
    const death = (day: string) => (tables: Practice) => {
      for (const row of tables.visits) row.patient_status = ''
      tables.visits.splice(1, 1)
      Object.assign(tables.visits[0]!, {
        days_since_delivery: day,
        visit_type: 'records_only',
        screw_checked: 'no',
        patient_status: 'deceased',
      })
    }
    expect(await told(death('300'))).toEqual(['set-aside after-death patient_status 4'])
    expect(await told(death('400'))).toEqual([])
  })
})
