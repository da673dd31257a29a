import { describe, expect, it } from 'vitest'
import { buildCohort } from '../../src/cohort/cohort.js'
import { dayFromIso } from '../../src/core/calendar.js'
import { ledgerKeys, newPractice } from '../../src/pooling/identity/practice.js'
import type { Protocol } from '../../src/pooling/protocol/protocol.js'
import { knownRestorations, numbersOf, recordNumbers } from '../../src/pooling/site/numbers.js'
import {
  groupNames,
  type Ledger,
  ledgerAfter,
  protocolDefinition,
  releaseRows,
} from '../../src/pooling/site/siteRows.js'
import { check, crown, recordsOf, tightening } from '../cohort/recordsOf.js'
import { agreedOn } from './syntheticGroup.js'

const delivered = dayFromIso('2020-01-01')!
const loose = { finding: 'screw_loosening', action_taken: 'tightened' }
const endpoint = 'screw_loosening'
const agreed = agreedOn({
  gridDays: [365, 731],
  horizonsYears: [1],
  covariates: [
    { field: 'sex', levels: ['female', 'male'] },
    { field: 'region', levels: ['anterior', 'premolar', 'molar'] },
  ],
})
const { protocol } = agreed

/** a and b single, c and d repeated, e of another group, f by the chart; two clinics, one of them without a name. */
const records = recordsOf({
  restorations: [
    crown('a', {
      delivery_date: delivered,
      patient_id: 'p',
      clinic_id: 'South',
      sex: 'male',
      tooth_position: 36,
    }),
    crown('b', { delivery_date: delivered, patient_id: 'q', clinic_id: 'North', sex: 'female' }),
    crown('c', {
      delivery_date: delivered,
      patient_id: 'p',
      clinic_id: 'North',
      sex: 'other',
      tooth_position: 14,
    }),
    crown('d', { delivery_date: delivered, observation_start_date: 100, tooth_position: 21 }),
    crown('e', { delivery_date: delivered, clinic_id: 'East' }),
    crown('f', { delivery_date: delivered, tightening_group: 'single' }),
  ],
  tightenings: [
    tightening('a', 0),
    tightening('b', 0),
    tightening('c', 0),
    tightening('c', 12),
    tightening('d', 0),
    tightening('d', 13),
    tightening('e', 0),
    tightening('e', 30),
  ],
  visits: [
    check('a', 100),
    check('a', 300, loose),
    check('b', 900),
    check('c', 200),
    check('c', 400, { screw_checked: 'no', restoration_status: 'removed' }),
    check('d', 700),
    check('d', 760, loose),
    check('e', 100),
    check('f', 100),
  ],
})
const cohort = buildCohort(records, protocolDefinition(protocol, endpoint))
const asked = (changes: Partial<Protocol>): Protocol => ({ ...protocol, ...changes })

describe('the rows of a release', () => {
  const { rows, notes } = releaseRows(cohort, protocol, undefined)

  it('are those of the two groups, events halfway and capped at the last day of the grid', () => {
    expect(rows.n).toBe(4)
    expect([...rows.group]).toEqual([0, 0, 1, 1])
    expect([...rows.entryDays]).toEqual([-1, -1, -1, 100])
    // Found on day 760, halfway from day 700 is day 730, still on the grid.
    expect([...rows.timeDays]).toEqual([200, 731, 400, 730])
    expect([...rows.status]).toEqual([1, 0, 2, 1])
    expect([...rows.foundDays]).toEqual([300, 731, 400, 731])
    expect([...rows.clearDays]).toEqual([100.5, 731, 400, 700.5])
    expect([...rows.measured]).toEqual([1, 1, 1, 1])
    expect([...rows.patient]).toEqual([0, 1, 0, 2])
    expect(rows.clinics).toEqual(['North', 'South', 'clinic'])
    expect([...rows.clinic]).toEqual([1, 0, 0, 2])
    expect(Object.isFrozen(rows)).toBe(true)
    expect(notes).toEqual([
      { keys: { id: '', content: '' }, day: 200, ended: true },
      { keys: { id: '', content: '' }, day: 731, ended: false },
      { keys: { id: '', content: '' }, day: 400, ended: true },
      { keys: { id: '', content: '' }, day: 730, ended: true },
    ])
  })

  it('have the agreed levels of each covariate, and all else as unknown', () => {
    expect(rows.covariates.map((column) => [...column])).toEqual([
      [1, 0, 2, 2],
      [2, 3, 1, 0],
    ])
  })

  it('say which groups were taken from the chart', () => {
    const charted = asked({ groups: { against: 'single, by the chart', group: 'single' } })
    const all = buildCohort(records, protocolDefinition(charted, endpoint))
    const { rows: own } = releaseRows(all, charted, undefined)
    expect([...own.group]).toEqual([1, 1, 0])
    expect([...own.measured]).toEqual([1, 1, 0])
    expect(groupNames(charted)).toEqual(['single, by the chart', 'single'])
  })

  it('follow the definition that the protocol names', () => {
    expect(protocolDefinition(protocol, 'veneer_chipping')).toEqual({
      endpoint: 'veneer_chipping',
      restorationTypes: protocol.restorationTypes,
      recallIntervalDays: 400,
      waitWindowMinutes: { from: 10, to: 15 },
    })
    expect(Object.isFrozen(protocolDefinition(protocol, endpoint))).toBe(true)
  })
})

describe('the rows of a later release', () => {
  const keys = (id: string, patient: string) =>
    ledgerKeys('salt', { restoration: id, patient, deliveryDay: delivered })
  const ledgerOf = (
    known: Readonly<Record<string, { readonly day: number; readonly ended: boolean }>>,
    cutoff: string | null = null,
  ): Ledger => ({
    salt: 'salt',
    ledger: {
      cutoff,
      release: null,
      restorations: Object.fromEntries(
        Object.entries(known).map(([id, through]) => {
          const patient = { a: 'p', b: 'q', c: 'p' }[id] ?? `patient_${id}`
          return [
            keys(id, patient).id,
            { content: keys(id, patient).content, through: { [endpoint]: through } },
          ]
        }),
      ),
    },
  })
  const left = (ledger: Ledger, changes: Partial<Protocol> = {}) => {
    const { rows, notes } = releaseRows(cohort, asked(changes), ledger)
    return notes.map((one, row) => [
      ['a', 'b', 'c', 'd'].find(
        (id) => one.keys.id === keys(id, { a: 'p', b: 'q', c: 'p' }[id] ?? `patient_${id}`).id,
      ),
      rows.entryDays[row],
      rows.timeDays[row],
      rows.status[row],
    ])
  }

  it('go on where those before ended, and leave out what has ended', () => {
    const known = {
      a: { day: 150, ended: false },
      b: { day: 731, ended: false },
      c: { day: 400, ended: true },
      d: { day: 50, ended: false },
    }
    // b was followed to the last day of the grid, c is over; the entry of d is that of its own records.
    expect(left(ledgerOf(known))).toEqual([
      ['a', 150, 200, 1],
      ['d', 100, 730, 1],
    ])
  })

  it('count an event that was placed before the days already shared on the first day after them', () => {
    expect(left(ledgerOf({ a: { day: 200, ended: false }, c: { day: 500, ended: false } }))).toEqual([
      ['a', 200, 201, 1],
      ['b', -1, 731, 0],
      ['c', 500, 501, 2],
      ['d', 100, 730, 1],
    ])
    const { rows } = releaseRows(cohort, protocol, ledgerOf({ a: { day: 250, ended: false } }))
    expect([rows.foundDays[0], rows.clearDays[0]]).toEqual([300, 251])
  })

  it('have nothing more of a follow-up that did not go on', () => {
    const known = { b: { day: 900, ended: false } }
    const longer = asked({ gridDays: [365, 731, 1200] })
    const notes = releaseRows(cohort, longer, ledgerOf(known)).notes.map((one) => one.keys.id)
    expect(notes).toContain(keys('a', 'p').id)
    expect(notes).not.toContain(keys('b', 'q').id)
    expect(releaseRows(cohort, longer, ledgerOf({ b: { day: 899, ended: false } })).notes).toHaveLength(4)
  })

  it('of a restoration that was not shared begin at the later of the cut-offs before', () => {
    const release = { from: '2020-04-10', cutoff: '2025-12-31' }
    // 2020-04-10 is 100 days after delivery, 2020-07-19 is 200.
    expect(left(ledgerOf({}), { release })[0]).toEqual(['a', 100, 200, 1])
    expect(left(ledgerOf({}, '2020-07-18'), { release })[0]).toEqual(['a', 199, 200, 1])
    expect(left(ledgerOf({}, '2020-01-31'), { release })[0]).toEqual(['a', 100, 200, 1])
    expect(left(ledgerOf({}, '2019-12-01'))[0]).toEqual(['a', -1, 200, 1])
    expect(left(ledgerOf({}))[0]).toEqual(['a', -1, 200, 1])
  })

  it('cannot be told without dates of delivery', () => {
    const { delivery_date: _date, ...undated } = crown('a')
    const other = buildCohort(
      recordsOf({
        restorations: [undated as never],
        tightenings: [tightening('a', 0)],
        visits: [check('a', 100)],
      }),
    )
    expect(() => releaseRows(other, protocol, ledgerOf({}))).toThrow(
      'some restorations have no date of delivery, so that the days of the release cannot be told. Expected: the local records of the practice, with dates. They stay in the practice. Mend: name the records themselves, not the shareable form made of them; nothing but masked sums leaves.',
    )
    expect(releaseRows(other, protocol, undefined).rows.n).toBe(1)
  })
})

describe('the ledger after a release', () => {
  it('keeps for each restoration how far it was shared, by endpoint, and leaves what it knew of others', () => {
    const key = { id: 'i', content: 'c' }
    const before = { i: { content: 'c', through: { removal: { day: 90, ended: false } } } }
    expect(
      ledgerAfter(before, [
        { endpoint: 'screw_loosening', notes: [{ keys: key, day: 200, ended: true }] },
        {
          endpoint: 'screw_fracture',
          notes: [
            { keys: key, day: 300, ended: false },
            { keys: { id: 'j', content: 'd' }, day: 10, ended: false },
          ],
        },
      ]),
    ).toEqual({
      i: {
        content: 'c',
        through: {
          removal: { day: 90, ended: false },
          screw_loosening: { day: 200, ended: true },
          screw_fracture: { day: 300, ended: false },
        },
      },
      j: { content: 'd', through: { screw_fracture: { day: 10, ended: false } } },
    })
    expect(before.i.through).toEqual({ removal: { day: 90, ended: false } })
  })
})

describe('the numbers of a practice', () => {
  it('are those of its records as they stood on the cut-off day', () => {
    // 300 days after delivery is 2020-10-27: found on that day, and not known the day before.
    const events = (cutoff: string): readonly number[] => [
      ...recordNumbers(records, agreedOn({ release: { from: null, cutoff } }), newPractice('P', 5)).sums[
        `${endpoint}/events`
      ]!,
    ]
    expect(events('2020-10-26')).toEqual([0, 0])
    expect(events('2020-10-27')).toEqual([1, 0])
    expect(events('2025-12-31')).toEqual([1, 1])
  })

  it('are noughts where an endpoint has nobody, and one practice all the same', () => {
    const none = recordNumbers(
      records,
      agreedOn({ release: { from: null, cutoff: '2019-06-30' } }),
      newPractice('P', 5),
    )
    expect(none.restorations).toBe(0)
    expect([...none.sums.one!]).toEqual([1])
    expect(Object.values(none.sums).filter((values) => values.some((one) => one !== 0))).toHaveLength(1)
    expect(none).toMatchObject({ open: [], notes: {}, generated: false })
    const modelled = numbersOf({ [endpoint]: undefined }, protocol, {}, true)
    expect(modelled.modelRows[endpoint]).toEqual({
      clinic: [],
      entryDays: [],
      timeDays: [],
      status: [],
      group: [],
      patient: [],
      covariates: [[], []],
    })
    expect(modelled.generated).toBe(true)
  })

  it('count restorations by the endpoint that has most', () => {
    const two = agreedOn({ endpoints: ['screw_loosening', 'removal'] })
    const ended = Object.fromEntries(
      ['a', 'b'].map((id) => {
        const key = ledgerKeys('salt', {
          restoration: id,
          patient: id === 'a' ? 'p' : 'q',
          deliveryDay: delivered,
        })
        return [key.id, { content: key.content, through: { screw_loosening: { day: 99, ended: true } } }]
      }),
    )
    const practice = newPractice('P', 5)
    const known = { ...practice, salt: 'salt', ledger: { ...practice.ledger, restorations: ended } }
    const numbers = recordNumbers(records, two, known)
    expect([...numbers.sums['screw_loosening/restorations']!]).toEqual([0, 2])
    expect([...numbers.sums['removal/restorations']!]).toEqual([2, 2])
    expect(numbers.restorations).toBe(4)
    expect(
      numbers.open.map(({ endpoint: name, restorations, events }) => [name, restorations, events]),
    ).toEqual([
      ['screw_loosening', [0, 2], [0, 1]],
      ['removal', [2, 2], [0, 1]],
    ])
  })

  it('of an open practice hold its own hazard ratio where both groups are at risk, by a closed form', () => {
    // One event on day 50 with one at risk in each other place: a of the group, two of the comparator, then one of each.
    const rows = (exits: readonly (readonly [number, number, number])[]) => ({
      clinics: ['A'],
      n: exits.length,
      clinic: new Int32Array(exits.length),
      entryDays: new Float64Array(exits.length).fill(-1),
      timeDays: Float64Array.from(exits, ([, day]) => day),
      foundDays: Float64Array.from(exits, ([, day]) => day),
      clearDays: Float64Array.from(exits, ([, day]) => day),
      status: Uint8Array.from(exits, ([, , status]) => status),
      group: Uint8Array.from(exits, ([group]) => group),
      patient: Int32Array.from(exits.keys()),
      measured: new Uint8Array(exits.length).fill(1),
      covariates: [],
    })
    const plain = agreedOn().protocol
    const openOf = (exits: readonly (readonly [number, number, number])[]) =>
      numbersOf({ [endpoint]: { rows: rows(exits), notes: [] } }, plain, {}, false).open[0]!
    // Events on days 10 (group) and 20 (comparator), two and two at risk, then two of the comparator and one of the group:
    // the score 1 − 2r/(2+2r) − r/(2+r) is 0 where r² = 2.
    const found = openOf([
      [1, 10, 1],
      [0, 20, 1],
      [1, 30, 0],
      [0, 30, 0],
    ])
    expect(found.logHazardRatio).toBeCloseTo(Math.log(2) / 2, 9)
    const r = Math.SQRT2
    const information = (2 * r * 2) / (2 + 2 * r) ** 2 + (r * 2) / (2 + r) ** 2
    expect(found.standardError).toBeCloseTo(1 / Math.sqrt(information), 9)
    // All events in one group: no ratio.
    expect(
      openOf([
        [1, 10, 1],
        [0, 20, 0],
      ]),
    ).toEqual({ endpoint, restorations: [1, 1], events: [0, 1] })
    expect(
      openOf([
        [1, 10, 1],
        [1, 20, 0],
      ]),
    ).toEqual({ endpoint, restorations: [0, 2], events: [0, 1] })
  })

  it('know their restorations again by content, whatever they are called now', () => {
    const practice = { ...newPractice('P', 5), salt: 'salt' }
    const content = (id: string, patient: string) =>
      ledgerKeys('salt', { restoration: id, patient, deliveryDay: delivered }).content
    const entry = (id: string, patient: string) => ({
      [`renamed ${id}`]: { content: content(id, patient), through: {} },
    })
    expect(knownRestorations(records, practice)).toBe(0)
    const shared = { ...practice, ledger: { ...practice.ledger, restorations: entry('a', 'p') } }
    expect(knownRestorations(records, shared)).toBe(1)
    const fixed = { ...shared, releases: [{ notes: { ...entry('b', 'q'), ...entry('z', 'z') } }] }
    expect(knownRestorations(records, fixed as never)).toBe(2)
  })
})
