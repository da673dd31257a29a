import { describe, expect, it } from 'vitest'
import { checkRecords, readRecords } from '../../src/records/read/readDataset.js'
import {
  csvOf,
  oneSheet,
  type Practice,
  practice,
  type Row,
  today,
  written,
  writtenFile,
} from './practice.js'

/** What stops a practice of sixty after one change, and how many restorations are left where it is set aside by name. */
async function told(change: (tables: Practice) => void) {
  const tables = practice(60)
  change(tables)
  const folder = written(tables)
  const { problems } = await checkRecords(folder, { today })
  const stops = problems.filter((one) => one.severity === 'stop')
  const named = await readRecords(folder, { today, setAside: [...new Set(stops.map((one) => one.code))] })
  return {
    stops: stops.map((one) => `${one.code} ${one.place.file} ${one.place.column} ${one.rows}`),
    left: named.restorations.rowCount,
    setAside: named.quality.problems
      .filter((one) => one.severity === 'set-aside' && one.place.file === 'visits.csv')
      .map((one) => `${one.code} ${one.rows}`),
  }
}

function visitOf(tables: Practice, id: string, change: Row): void {
  const last = tables.visits.filter((row) => row.restoration_id === id).at(-1)!
  tables.visits.push({ ...last, ...change })
}

describe('what rows of one patient and of two tables say of each other', () => {
  // R0001 and R0002 are of one patient, delivered on 2019-01-07 and 2019-01-18, and seen in 2020 and 2021.
  const death = { visit_date: '2020-06-01', visit_type: 'records_only', screw_checked: 'no', finding: 'none' }

  it('stops at a finding after a death that stands at another restoration of the patient', async () => {
    const found = await told((tables) => {
      tables.visits = tables.visits.filter(
        (row) => row.restoration_id !== 'R0001' || row.visit_date! < '2020-06-01',
      )
      visitOf(tables, 'R0001', { ...death, patient_status: 'deceased' })
      tables.visits.filter((row) => row.restoration_id === 'R0002').at(-1)!.finding = 'screw_loosening'
    })
    expect(found.stops).toEqual(['event-after-death visits.csv patient_status 4'])
    expect(found.left).toBe(59)
  })

  it('sets a clean visit after such a death aside', async () => {
    const found = await told((tables) => {
      tables.visits = tables.visits.filter(
        (row) => row.restoration_id !== 'R0001' || row.visit_date! < '2020-06-01',
      )
      visitOf(tables, 'R0001', { ...death, patient_status: 'deceased' })
    })
    expect(found.stops).toEqual([])
    expect(found.setAside).toEqual(['after-death 4'])
  })

  it('stops at a delivery after such a death', async () => {
    const found = await told((tables) => {
      tables.restorations[1]!.delivery_date = '2020-07-01'
      tables.visits = tables.visits.filter(
        (row) =>
          row.restoration_id !== 'R0002' &&
          (row.restoration_id !== 'R0001' || row.visit_date! < '2020-06-01'),
      )
      visitOf(tables, 'R0001', { ...death, patient_status: 'deceased' })
    })
    expect(found.stops).toEqual(['delivery-after-death restorations.csv delivery_date 3'])
    expect(found.left).toBe(59)
  })

  it('stops at a tightening after a loosening that no visit up to its day found', async () => {
    const again = { ...practice(1).tightenings[0]!, sequence: '2', context: 'after_loosening' }
    const found = await told((tables) => tables.tightenings.push({ ...again, days_since_delivery: '400' }))
    expect(found.stops).toEqual(['loosening-not-in-visits tightenings.csv context 92'])
    expect(found.left).toBe(59)
    // R0004 was found loose in its second year.
    const sought = { ...again, restoration_id: 'R0004', sequence: '3', days_since_delivery: '740' }
    expect((await told((tables) => tables.tightenings.push(sought))).stops).toEqual([])
  })

  it.each([
    [
      'a reason for a removal beside in place',
      { removal_reason: 'elective', restoration_status: 'in_place' },
    ],
    ['a reason for a removal beside nothing', { removal_reason: 'elective', restoration_status: '' }],
  ])('stops at %s', async (_name, change) => {
    const found = await told((tables) => {
      for (const row of tables.visits) row.removal_reason = ''
      Object.assign(tables.visits[1]!, change)
    })
    expect(found.stops).toEqual(['removal-not-in-status visits.csv removal_reason 3'])
    expect(found.left).toBe(59)
  })

  it('stops at a tightening after the removal, or after a death at another restoration of the patient', async () => {
    const check = { ...practice(1).tightenings[0]!, sequence: '2', context: 'recall_check' }
    const removed = await told((tables) => {
      tables.visits[0]!.restoration_status = 'removed'
      tables.visits.splice(1, 1)
      tables.tightenings.push({ ...check, days_since_delivery: '400' })
    })
    expect(removed.stops).toEqual(['tightening-after-end tightenings.csv days_since_delivery 92'])
    expect(removed.left).toBe(59)
    const died = await told((tables) => {
      tables.visits = tables.visits.filter(
        (row) => row.visit_date! < '2020-06-01' || row.restoration_id! > 'R0002',
      )
      visitOf(tables, 'R0001', { ...death, patient_status: 'deceased' })
      tables.tightenings.push({
        ...check,
        restoration_id: 'R0002',
        sequence: '3',
        days_since_delivery: '700',
      })
    })
    expect(died.stops).toEqual(['tightening-after-end tightenings.csv days_since_delivery 92'])
    const before = await told((tables) => tables.tightenings.push({ ...check, days_since_delivery: '400' }))
    expect(before.stops).toEqual([])
  })

  it('stops at rows of one day that do not agree on whether the restoration is gone or the patient alive', async () => {
    const gone = await told((tables) => {
      tables.visits.push({ ...tables.visits[1]!, finding: 'other', restoration_status: 'removed' })
    })
    expect(gone.stops).toEqual(['visit-rows-disagree visits.csv restoration_status 122'])
    expect(gone.left).toBe(59)
    const dead = await told((tables) => {
      for (const row of tables.visits) row.patient_status = 'active'
      tables.visits.push({ ...tables.visits[1]!, finding: 'other', patient_status: 'deceased' })
    })
    expect(dead.stops).toEqual(['visit-rows-disagree visits.csv patient_status 122'])
  })

  it('stops at a restoration that was remade, or whose implant was removed, and is in place', async () => {
    const doing = (action: string, change: Row = {}) =>
      told((tables) => {
        for (const row of tables.visits) row.action_taken = ''
        Object.assign(tables.visits[1]!, { action_taken: action, ...change })
      })
    const remade = await doing('remade')
    expect(remade.stops).toEqual(['replaced-in-place visits.csv restoration_status 3'])
    expect(remade.left).toBe(59)
    expect((await doing('implant_removed')).stops).toEqual(remade.stops)
    expect((await doing('remade', { restoration_status: 'in_place_modified' })).stops).toEqual([])
    expect((await doing('remade', { restoration_status: 'removed' })).stops).toEqual([])
  })

  it('lists a screw that was tightened where nothing was found and no tightening tells of the day', async () => {
    const listed = async (change: (tables: Practice) => void) => {
      const tables = practice(60)
      for (const row of tables.visits) row.action_taken = ''
      tables.visits[0]!.action_taken = 'tightened'
      change(tables)
      const { problems } = await checkRecords(written(tables), { today })
      return problems.map((one) => `${one.severity} ${one.code} ${one.place.column} ${one.rows}`)
    }
    expect(await listed(() => {})).toEqual(['warn action-without-finding action_taken 2'])
    const told = await listed(({ tightenings }) =>
      tightenings.push({
        ...tightenings[0]!,
        sequence: '2',
        context: 'recall_check',
        days_since_delivery: '365',
      }),
    )
    expect(told).toEqual([])
    const found = await listed(({ visits }) => visits.push({ ...visits[0]!, finding: 'screw_loosening' }))
    expect(found).toEqual([])
  })

  it.each(['#REF!', 'NULL', 'none', '...', 'TRUE', '########'])(
    'stops at %s for the identifier of a patient',
    async (none) => {
      const found = await told((tables) => {
        tables.restorations[0]!.patient_id = none
      })
      expect(found.stops).toEqual(['identifier-is-placeholder restorations.csv patient_id 2'])
      expect(found.left).toBe(59)
    },
  )

  it('warns of one patient in two clinics, or of two sexes', async () => {
    const warned = async (change: (tables: Practice) => void) => {
      const tables = practice(60)
      change(tables)
      const { problems } = await checkRecords(written(tables), { today })
      return problems.map((one) => `${one.severity} ${one.code} ${one.place.column} ${one.rows}`)
    }
    const clinics = await warned(({ restorations }) => {
      restorations[1]!.clinic_id = 'B'
    })
    expect(clinics).toEqual(['warn patient-in-two-clinics clinic_id 3'])
    const sexes = await warned(({ restorations }) => {
      for (const row of restorations) row.sex = 'female'
      restorations[1]!.sex = 'male'
    })
    expect(sexes).toEqual(['warn patient-of-two-sexes sex 3'])
  })

  it('stops at an onset where nothing was found', async () => {
    const found = await told((tables) => {
      for (const row of tables.visits) row.onset_date = ''
      tables.visits[1]!.onset_date = tables.visits[1]!.visit_date!
    })
    expect(found.stops).toEqual(['onset-without-finding visits.csv onset_date 3'])
    expect(found.left).toBe(59)
  })

  it('stops at identifiers of patients that differ in spelling only', async () => {
    const found = await told((tables) => {
      tables.restorations[1]!.patient_id = 'p-0001'
    })
    expect(found.stops).toEqual(['same-but-for-spelling restorations.csv patient_id 3'])
    expect(found.left).toBe(59)
  })

  it('stops at a tightening of another day that is called delivery, and at a wait from a first that is not there', async () => {
    const later = await told((tables) => {
      tables.tightenings[2]!.days_since_delivery = '1'
    })
    expect(later.stops).toEqual(['delivery-on-another-day tightenings.csv context 4'])
    expect(later.left).toBe(59)
    const headless = await told((tables) => {
      tables.tightenings[0]!.minutes_since_first = '12'
    })
    expect(headless.stops).toEqual(['first-tightening-missing tightenings.csv minutes_since_first 2'])
    expect(headless.left).toBe(59)
  })

  it('stops at a last check before a loosening that has no date, unless the count says that there was none', async () => {
    const sheet = (count: string): string => {
      const rows: Row[] = oneSheet(60).map((row) => ({ ...row, loosening_count: '' }))
      rows[0]!.last_check_before_loosening_date = rows[0]!.last_check_date!
      rows[0]!.loosening_count = count
      return writtenFile('sheet.csv', csvOf(rows))
    }
    const { problems } = await checkRecords(sheet(''), { today })
    expect(problems.filter((one) => one.severity === 'stop').map((one) => `${one.code} ${one.rows}`)).toEqual(
      ['check-before-nothing 2'],
    )
    const zero = await checkRecords(sheet('0'), { today })
    expect(zero.problems.filter((one) => one.severity === 'stop')).toEqual([])
  })
})
