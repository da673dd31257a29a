import { describe, expect, it } from 'vitest'
import { buildCohort } from '../../src/cohort/cohort.js'
import { groupNameBy } from '../../src/messages/names.js'
import { speaker } from '../../src/messages/speaker.js'
import { fromFrame, toFrame } from '../../src/notebook/frames.js'
import { compare } from '../../src/questions/comparison/asked.js'
import { incidence } from '../../src/questions/incidence/answer.js'
import { retention } from '../../src/questions/retention/answer.js'
import { labelAt } from '../../src/records/columns.js'
import { check, crown, recordsOf } from '../cohort/recordsOf.js'

const loose = { finding: 'screw_loosening', action_taken: 'tightened' }
const connections = ['conical', 'internal_hex', 'external_hex'] as const

/** Sixty crowns in turn conical, internal and external; every fifth comes loose, and the last ten are molars. */
const records = recordsOf({
  restorations: Array.from({ length: 60 }, (_one, i) =>
    crown(`r${i}`, {
      connection: connections[i % 3]!,
      tooth_position: i < 50 ? '11' : '36',
      operator_id: `o${i % 4}`,
    }),
  ),
  visits: Array.from({ length: 60 }, (_one, i) => check(`r${i}`, 200 + i, i % 5 === 0 ? loose : {})),
})
const cohort = buildCohort(records)

describe('a part of a cohort', () => {
  it('is who satisfies all conditions, and says who was left out', () => {
    const molars = cohort.where({ region: 'molar', connection: ['conical', 'internal_hex'] })
    const connection = molars.category('connection')
    expect(molars.n).toBe([50, 51, 52, 53, 54, 55, 56, 57, 58, 59].filter((i) => i % 3 < 2).length)
    expect(Array.from(molars.recordRow, (_one, row) => labelAt(connection, row))).not.toContain(
      'external_hex',
    )
    const step = molars.summary.attrition.steps.find(({ code }) => code === 'not-asked-for')
    expect(step?.leftOut).toBe(60 - molars.n)
    expect(molars.subgroup?.steps).toHaveLength(1)
    expect(cohort.subgroup).toBeUndefined()
  })

  it('names the values that occur, most frequent first, and none of a field that these records lack', () => {
    expect(cohort.levels('region')).toEqual(['anterior', 'molar'])
    expect(cohort.levels('connection')).toEqual(['conical', 'external_hex', 'internal_hex'])
    expect(cohort.where({ connection: ['conical', 'internal_hex'] }).levels('connection')).toEqual([
      'conical',
      'internal_hex',
    ])
    expect(cohort.levels('bruxism')).toEqual([])
    expect(cohort.levels('wait_minutes')).toEqual([])
    expect(() => cohort.levels('conection' as never)).toThrow('did you mean connection?')
  })

  it('has the rate of its rows alone', () => {
    const molars = incidence(cohort.where({ region: 'molar' }))
    const byRegion = incidence(cohort, { by: 'region' }).byGroup.find(({ group }) => group === 'molar')!
    expect(molars.overall.ratePer100Years).toEqual(byRegion.ratePer100Years)
    expect(molars.asked?.warnings.map(({ code }) => code)).toContain('asked-looks')
  })

  it('refuses names that there are not with the nearest, and does not echo keys', () => {
    const refused = (run: () => unknown, ...words: readonly (string | RegExp)[]) => {
      for (const word of words) expect(run).toThrow(word)
    }
    refused(() => cohort.where({ conection: 'conical' } as never), 'did you mean connection?')
    refused(() => cohort.where({ connection: 'conicl' } as never), 'did you mean conical?')
    refused(() => incidence(cohort, { by: 'oprator_id' as never }), 'did you mean operator_id?')
    refused(() => incidence(cohort, { horizonYears: [1] } as never), 'did you mean horizonsYears?')
    refused(() => incidence(cohort, { by: 'bruxism' }), 'these records do not have the field bruxism')
    refused(() => cohort.where({ operator_id: 'Smith' }), /no restoration of these records/)
    expect(() => cohort.where({ operator_id: 'Smith' })).not.toThrow(/Smith/)
    refused(
      () => cohort.where({ region: 'premolar' }),
      expect.objectContaining({ code: 'empty-cohort' }) as never,
    )
    refused(
      () => compare(cohort, { by: 'connection', group: 'conicl', against: 'internal_hex' }),
      'did you mean conical?',
    )
  })
})

describe('groups', () => {
  it('are all of those recorded, in the order of the codes, each with its own events', () => {
    const { byGroup, asked } = incidence(cohort, { by: 'connection' })
    expect(byGroup.map(({ group, restorations }) => [group, restorations])).toEqual([
      ['external_hex', 20],
      ['internal_hex', 20],
      ['conical', 20],
    ])
    expect(byGroup.map(({ events }) => events)).toEqual([4, 4, 4])
    expect(asked?.test?.degreesOfFreedom).toBe(2)
  })

  it('can be cut out of numbers, and rows without a value are counted aloud', () => {
    const { byGroup } = retention(cohort, { by: 'tooth_position', cuts: [20] })
    expect(byGroup.map(({ range, restorations }) => [range, restorations])).toEqual([
      [{ below: 20 }, 50],
      [{ from: 20 }, 10],
    ])
    expect(byGroup.map((one) => speaker().text(groupNameBy(one, 'tooth_position')))).toEqual([
      'below 20',
      '20 and above',
    ])
  })
})

describe('a frame of a cohort', () => {
  it('selects, and gives its columns, by the rows that are left in it', async () => {
    const rows = fromFrame(await toFrame(cohort))
    const columns = [...Object.keys(rows[0]!), 'early']
    const kept = rows.filter((_one, i) => i % 2 === 0)
    const values = (all: typeof rows) => all.map((row) => [...Object.values(row), Number(row.row) < 30])
    expect(cohort.only({ columns, values: values(kept) }).n).toBe(30)
    const own = cohort.withColumns({ columns, values: values(rows) }, 'early')
    expect(incidence(own, { by: 'early' }).byGroup.map(({ group }) => group)).toEqual(['no', 'yes'])
    const moved = values(rows).map((row) => [(Number(row[0]) + 1) % 60, ...row.slice(1)])
    expect(() => cohort.only({ columns, values: moved })).toThrow(/cannot be found in the records/)
    expect(() => cohort.withColumns({ columns, values: values(rows) }, 'erly')).toThrow(/no column "erly"/)
  })
})
