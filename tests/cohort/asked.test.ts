import { describe, expect, it } from 'vitest'
import { buildCohort } from '../../src/cohort/cohort.js'
import { exposureGroups } from '../../src/cohort/definition.js'
import { type RowsWithColumns, rowColumn } from '../../src/cohort/subgroup.js'
import { askedNames, codesOf } from '../../src/cohort/traits.js'
import { CohortError, UsageError } from '../../src/core/errors.js'
import { restorationEntries } from '../../src/vocabulary/restorations.js'
import { check, crown, recordsOf, tightening } from './recordsOf.js'

/** Five crowns of which everything that is asked for is known, and a sixth of which nothing is; the fourth was never seen. */
const records = recordsOf({
  restorations: [
    crown('a', { age_at_delivery_years: 30, bruxism: 'none', connection: 'conical', tooth_position: 11 }),
    crown('b', { age_at_delivery_years: 40, bruxism: 'none', tooth_position: 24 }),
    crown('c', { age_at_delivery_years: 50, bruxism: 'definite', tooth_position: 36 }),
    crown('d', { age_at_delivery_years: 60, bruxism: 'definite', tooth_position: 46 }),
    crown('e', { age_at_delivery_years: 60, bruxism: 'definite', connection: 'conical', tooth_position: 47 }),
    { restoration_id: 'f', patient_id: 'patient_f', restoration_type: 'single_crown', delivery_date: 18_400 },
  ],
  tightenings: [
    tightening('a', 0, { target_torque_ncm: 30, achieved_torque_ncm: 28 }),
    tightening('b', 0, { target_torque_ncm: 32, achieved_torque_ncm: 31 }),
    tightening('b', 12, { target_torque_ncm: 35 }),
    tightening('b', 0, { context: 'recall_check', days_since_delivery: 300, target_torque_ncm: 20 }),
    tightening('c', 0),
  ],
  visits: ['a', 'b', 'c', 'e', 'f'].map((id) => check(id, 400)),
})
const cohort = buildCohort(records)
const rowsOf = (conditions: object): readonly number[] => [...cohort.where(conditions as never).recordRow]

/** What a run refuses with. */
function refusal(run: () => unknown): Partial<UsageError> & { readonly whole: string } {
  try {
    run()
  } catch (error) {
    expect(error).toBeInstanceOf(UsageError)
    const { code, problem, expected, mend, message } = error as UsageError
    return { code, problem, expected, mend, whole: message }
  }
  throw new Error('nothing was refused')
}

describe('the traits of a cohort', () => {
  it('are read by its rows: labels, numbers, and undefined where unknown', () => {
    expect([...cohort.recordRow]).toEqual([0, 1, 2, 4, 5])
    expect(cohort.trait('age_at_delivery_years')).toEqual([30, 40, 50, 60, undefined])
    expect(cohort.trait('bruxism')).toEqual(['none', 'none', 'definite', 'definite', undefined])
    expect(cohort.trait('restoration_id')).toEqual(['a', 'b', 'c', 'e', 'f'])
  })

  it('that are read off the tightenings are those of the day of delivery, the last torque standing', () => {
    expect(cohort.trait('tightening')).toEqual([
      'single',
      'repeated in the window',
      'single',
      'unknown',
      'unknown',
    ])
    expect(cohort.trait('wait_minutes')).toEqual([undefined, 12, undefined, undefined, undefined])
    expect(cohort.trait('target_torque_ncm')).toEqual([30, 35, undefined, undefined, undefined])
    expect(cohort.trait('achieved_torque_ncm')).toEqual([28, 31, undefined, undefined, undefined])
  })

  it('know the year of delivery, also where the day is not recorded, and undefined without either', () => {
    // 2019-04-14 and 2020-05-18 are days 18,000 and 18,400 since 1970-01-01.
    expect(cohort.trait('delivery_year')).toEqual([2019, 2019, 2019, 2019, 2020])
    const byYear = buildCohort(
      recordsOf({
        restorations: [
          { restoration_id: 'a', restoration_type: 'single_crown', delivery_year: 2015 },
          { restoration_id: 'b', restoration_type: 'single_crown' },
        ],
        visits: [check('a', 100), check('b', 100)],
      }),
    )
    expect(byYear.trait('delivery_year')).toEqual([2015, undefined])
    expect(byYear.summary.deliveryYears).toEqual({ first: 2015, last: 2015 })
  })

  it('that can be asked for are every field of labels or numbers, and what is derived', () => {
    const dates = ['date', 'day']
    const fields = Object.entries(restorationEntries).filter(([, { kind }]) => !dates.includes(kind))
    for (const [name] of fields) expect([name, askedNames.includes(name as never)]).toEqual([name, true])
    for (const name of ['region', 'arch', 'delivery_year', 'tightening', 'wait_minutes'] as const) {
      expect(askedNames).toContain(name)
    }
    expect(askedNames).not.toContain('delivery_date')
    expect(Object.isFrozen(askedNames)).toBe(true)
  })

  it('have levels, the most frequent first and those alike by the alphabet, of the rows of the cohort', () => {
    expect(cohort.levels('bruxism')).toEqual(['definite', 'none'])
    expect(cohort.levels('tightening')).toEqual(['single', 'unknown', 'repeated in the window'])
    expect(cohort.levels('age_at_delivery_years')).toEqual(['30', '40', '50', '60'])
    expect(cohort.where({ bruxism: 'none' }).levels('connection')).toEqual(['conical', 'internal_hex'])
    expect(cohort.where({ age_at_delivery_years: { from: 40, to: 50 } }).levels('connection')).toEqual([
      'internal_hex',
    ])
    expect(cohort.levels('sex')).toEqual([])
    expect(Object.isFrozen(cohort.levels('sex'))).toBe(true)
    expect(Object.isFrozen(cohort.levels('bruxism'))).toBe(true)
    expect(() => cohort.levels('bruxsim' as never)).toThrow('did you mean bruxism?')
    const own = cohort.withColumns(
      {
        columns: ['row', 'shift'],
        values: [
          [0, 'late'],
          [1, 'early'],
          [2, 'late'],
        ],
      },
      'shift',
    )
    expect(own.levels('shift')).toEqual(['late', 'early'])
  })

  it('have the labels of the vocabulary, and free ones where there are none', () => {
    expect(codesOf('region')).toEqual(['anterior', 'premolar', 'molar'])
    expect(codesOf('arch')).toEqual(['upper', 'lower'])
    expect(codesOf('tightening')).toEqual(exposureGroups)
    expect(codesOf('sex')).toEqual(['female', 'male', 'other'])
    expect(codesOf('operator_id')).toBeUndefined()
    expect(codesOf('no such field')).toBeUndefined()
  })
})

describe('conditions', () => {
  it('hold for a value, for any of several, and only together', () => {
    expect(rowsOf({ bruxism: 'definite' })).toEqual([2, 4])
    expect(rowsOf({ bruxism: ['none', 'definite'] })).toEqual([0, 1, 2, 4])
    expect(rowsOf({ bruxism: 'definite', connection: 'conical' })).toEqual([4])
    expect(rowsOf({ bruxism: 'none', connection: undefined })).toEqual([0, 1])
    expect(rowsOf({ tightening: 'single' })).toEqual([0, 2])
    expect(rowsOf({ age_at_delivery_years: 40 })).toEqual([1])
  })

  it.each([
    [{ from: 40 }, [1, 2, 4]],
    [{ above: 40 }, [2, 4]],
    [{ to: 50 }, [0, 1, 2]],
    [{ below: 50 }, [0, 1]],
    [{ from: 40, below: 60 }, [1, 2]],
    [{ above: 30, to: 50 }, [1, 2]],
    [{}, [0, 1, 2, 4]],
  ])('of the limits %j of an age leave rows %j, and what is unknown satisfies none', (limits, rows) => {
    expect(rowsOf({ age_at_delivery_years: limits })).toEqual(rows)
  })

  it('narrow step by step, and the account says how many were not asked for', () => {
    const first = cohort.where({ bruxism: 'definite' })
    const second = first.where({ connection: 'conical' })
    expect([...second.recordRow]).toEqual([4])
    expect(second.subgroup!.steps).toEqual(['{"bruxism":"definite"}', '{"connection":"conical"}'])
    expect(Object.isFrozen(second.subgroup)).toBe(true)
    expect(Object.isFrozen(second.subgroup!.steps)).toBe(true)
    const leftOut = (of: typeof second) =>
      of.summary.attrition.steps.filter((step) => step.leftOut > 0).map((step) => [step.code, step.leftOut])
    expect(leftOut(first)).toEqual([
      ['not-asked-for', 3],
      ['never-checked', 1],
    ])
    // The fourth was never seen, and is not conical either: only the first reason counts.
    expect(leftOut(second)).toEqual([['not-asked-for', 5]])
    expect(cohort.summary.attrition.steps.map((step) => step.code)).not.toContain('not-asked-for')
    expect(second.redefined({ endpoint: 'veneer_chipping' }).n).toBe(1)
  })

  it('leave the torques of the restorations asked for, and of no other', () => {
    const torques = (of: typeof cohort) => of.torqueRecords().applications.map(({ targetNcm }) => targetNcm)
    expect(torques(cohort)).toEqual([30, 32, 35, 20, undefined])
    expect(torques(cohort.where({ bruxism: 'none', connection: 'conical' }))).toEqual([30])
    // Read once, however often they are asked for.
    expect(cohort.torqueRecords()).toBe(cohort.torqueRecords())
  })

  it('can be of a torque whatever was asked before', () => {
    const part = cohort.where({ bruxism: 'none' }).where({ target_torque_ncm: { above: 30 } })
    expect([...part.recordRow]).toEqual([1])
  })
})

describe('looks at parts of the same records', () => {
  it('are counted, the same part once, and apart for other records', () => {
    const fresh = () =>
      buildCohort(
        recordsOf({
          restorations: [crown('a', { bruxism: 'none' }), crown('b', { bruxism: 'definite' })],
          visits: [check('a', 100), check('b', 100)],
        }),
      )
    const one = fresh()
    expect(one.subgroup).toBeUndefined()
    expect(one.where({ bruxism: 'none' }).subgroup!.looks).toBe(1)
    expect(one.where({ bruxism: 'definite' }).subgroup!.looks).toBe(2)
    expect(one.where({ bruxism: 'none' }).subgroup!.looks).toBe(2)
    expect(one.looksTaken('bruxism')).toBe(3)
    expect(one.looksTaken('bruxism')).toBe(3)
    // The same grouping of a part is another look.
    expect(one.where({ bruxism: 'none' }).looksTaken('bruxism')).toBe(4)
    expect(fresh().looksTaken('bruxism')).toBe(1)
  })
})

describe('what cannot be asked', () => {
  it('is refused with what was found, what was expected and the mend', () => {
    expect(refusal(() => cohort.where({}))).toEqual({
      code: 'no-condition',
      problem: 'no condition was given.',
      expected: "such as { region: 'molar' }.",
      mend: 'name a field and the value that is wanted, or leave the call out.',
      whole: expect.any(String),
    })
    expect(refusal(() => cohort.trait('sex'))).toEqual({
      code: 'field-not-recorded',
      problem: 'these records do not have the field sex.',
      expected: 'restorations with the column sex.',
      mend: 'ask by a field that is recorded, or add the column to the records; notebook 01 lists what they hold.',
      whole: expect.any(String),
    })
    expect(refusal(() => cohort.where({ age_at_delivery_years: { from: 'forty' } } as never))).toEqual({
      code: 'not-a-limit',
      problem: 'limits of age_at_delivery_years have to be numbers, and age_at_delivery_years has to be one.',
      expected: 'such as { from: 25, below: 35 }, of a field of numbers.',
      mend: 'give numbers, or the labels wanted as a list.',
      whole: expect.any(String),
    })
    expect(refusal(() => cohort.where({ age_at_delivery_years: 41 }))).toEqual({
      code: 'value-not-recorded',
      problem: 'no restoration of these records has the value asked for under age_at_delivery_years.',
      expected: 'a value as it stands in the records, a number without quotation marks.',
      mend: "look at the values with incidence(cohort, { by: 'age_at_delivery_years' }).",
      whole: expect.any(String),
    })
  })

  it('is a limit that is none, of anything but a number, or by another name', () => {
    const code = (conditions: object) => refusal(() => cohort.where(conditions as never)).code
    expect(code({ age_at_delivery_years: { from: Number.NaN } })).toBe('not-a-limit')
    expect(code({ bruxism: { from: 1 } })).toBe('not-a-limit')
    expect(refusal(() => cohort.where({ age_at_delivery_years: { form: 1 } } as never)).whole).toContain(
      'did you mean from?',
    )
  })

  it('is a value that there is not, alone or among others, or the absence of one', () => {
    for (const bruxism of ['definit', ['none', 'definit']]) {
      const { whole } = refusal(() => cohort.where({ bruxism } as never))
      expect(whole).toContain('there is no value of bruxism "definit".')
      expect(whole).toContain('did you mean definite?')
    }
    expect(refusal(() => cohort.where({ bruxism: null } as never)).code).toBe('unknown-name')
    expect(refusal(() => cohort.where({ age_at_delivery_years: '40' } as never)).code).toBe(
      'value-not-recorded',
    )
    expect(refusal(() => cohort.trait('delivery_date' as never)).code).toBe('unknown-name')
  })

  it('is a part in which nobody is left', () => {
    expect(() => cohort.where({ bruxism: 'definite', age_at_delivery_years: 30 })).toThrow(CohortError)
    expect(() => cohort.where({ bruxism: 'definite', age_at_delivery_years: 30 })).toThrow(
      'left out: 6 not-asked-for. Expected: at least one single crown on a screw joint whose screw was checked after delivery. Mend: choose more.',
    )
  })
})

describe('frames', () => {
  const columns = [rowColumn, 'restoration_id', 'mood']
  const frame = (...values: readonly (readonly unknown[])[]): RowsWithColumns => ({ columns, values })
  const whole = frame([0, 'a', 'calm'], [1, 'b', Number.NaN], [2, 'c', true], [4, 'e', 7], [5, 'f', false])

  it('choose the restorations whose rows they hold, in whatever order, and count as a look', () => {
    const part = cohort.only(frame([4, 'e', ''], [0, 'a', '']))
    expect([...part.recordRow]).toEqual([0, 4])
    expect(part.subgroup!.steps).toEqual([expect.stringMatching(/^frame:2:\d+$/)])
    const other = cohort.only(frame([2, 'c', ''], [1, 'b', '']))
    expect(other.subgroup!.steps[0]).not.toBe(part.subgroup!.steps[0])
    expect(cohort.only(frame([4, 'e', ''], [0, 'a', ''])).subgroup!.steps).toEqual(part.subgroup!.steps)
    expect([...part.where({ connection: 'conical', bruxism: 'none' }).recordRow]).toEqual([0])
    expect([...cohort.where({ bruxism: 'none' }).only(whole).recordRow]).toEqual([0, 1])
  })

  it('without the ids choose by the row alone', () => {
    expect([...cohort.only({ columns: [rowColumn], values: [[2]] }).recordRow]).toEqual([2])
  })

  it('give columns: texts and numbers as they are, a yes or no for what is true or false, unknown for none', () => {
    const own = cohort.withColumns(whole, 'mood')
    expect(own.ownColumns).toEqual(['mood'])
    expect(Object.isFrozen(own.ownColumns)).toBe(true)
    expect(own.trait('mood')).toEqual(['calm', undefined, 'yes', 7, 'no'])
    expect([...own.where({ mood: 'calm' }).recordRow]).toEqual([0])
    expect(cohort.ownColumns).toEqual([])
    const partial = cohort.withColumns(frame([1, 'b', null], [2, 'c', undefined], [0, 'a', 'x']), 'mood')
    expect(partial.trait('mood')).toEqual(['x', undefined, undefined, undefined, undefined])
    // A later column of the same name takes the place of the first; others stay.
    const both = own.withColumns({ columns: [rowColumn, 'shift'], values: [[0, 'early']] }, 'shift')
    expect(both.ownColumns).toEqual(['mood', 'shift'])
    expect(both.where({ shift: 'early' }).trait('mood')).toEqual(['calm'])
    expect(both.subgroup).toBeUndefined()
  })

  it('may have their columns in any order, and values of any kind as texts', () => {
    const turned: RowsWithColumns = {
      columns: ['mood', rowColumn],
      values: [
        [12n, 0],
        ['x', 1],
      ],
    }
    expect(cohort.withColumns(turned, 'mood').trait('mood').slice(0, 3)).toEqual(['12', 'x', undefined])
  })

  it('name their columns among what a misspelt name may have meant', () => {
    const own = cohort.withColumns(whole, 'mood')
    expect(refusal(() => own.trait('moood' as never)).whole).toContain('did you mean mood?')
  })

  it('of other records are refused, whatever is wrong with them', () => {
    const notFromHere = {
      code: 'frame-of-other-records',
      problem: 'the rows of this frame cannot be found in the records of the cohort.',
      expected:
        'a frame that toFrame(cohort) made of the same records, with its columns row and restoration_id as they were.',
      mend: 'make the frame from this cohort, filter it without changing those columns, and pass the frame itself.',
      whole: expect.any(String),
    }
    const wrong: readonly unknown[] = [
      undefined,
      {},
      { columns: 'row', values: [[0]] },
      { columns: ['mood'], values: [['calm']] },
      { columns: [rowColumn] },
      frame([0.5, 'a', '']),
      frame([-1, 'a', '']),
      frame([6, 'a', '']),
      frame(['x', 'a', '']),
      frame([0, 'a', ''], [1, 'a', '']),
    ]
    for (const one of wrong) {
      expect(refusal(() => cohort.only(one as RowsWithColumns))).toEqual(notFromHere)
      expect(refusal(() => cohort.withColumns(one as RowsWithColumns, 'mood'))).toEqual(notFromHere)
    }
    for (const row of [-1, 6]) {
      expect(refusal(() => cohort.only({ columns: [rowColumn], values: [[row]] })).code).toBe(
        'frame-of-other-records',
      )
    }
  })

  it('lend no column that they lack, and none under the name of a field', () => {
    expect(refusal(() => cohort.withColumns(whole, 'mod'))).toEqual({
      code: 'no-such-column',
      problem: 'the frame has no column "mod".',
      expected: 'one of row, restoration_id, mood.',
      mend: 'correct the name, or add the column to the frame first.',
      whole: expect.any(String),
    })
    expect(
      refusal(() => cohort.withColumns({ columns: [rowColumn, 'sex'], values: [[0, 'male']] }, 'sex')),
    ).toEqual({
      code: 'name-taken',
      problem: 'sex is a field of the records.',
      expected: 'a column with a name of its own.',
      mend: 'give the column of the frame another name.',
      whole: expect.any(String),
    })
  })
})
