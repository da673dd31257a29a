import { createHash } from 'node:crypto'
import { describe, expect, it } from 'vitest'
import { defaultDefinition } from '../../../src/cohort/definition.js'
import { UsageError } from '../../../src/core/errors.js'
import {
  defaultPlan,
  departures,
  parsePlan,
  plannedDefinition,
  planText,
} from '../../../src/questions/plan/planFile.js'

const written = '{"written": "2026-01-05"'

describe('a plan file', () => {
  it('takes the default of every field that it leaves out', () => {
    const { source, sha256, written: day, ...fields } = parsePlan(`${written}}`)
    const { source: _source, sha256: _sha, ...defaults } = defaultPlan
    expect(fields).toEqual(defaults)
    expect([source, day]).toEqual(['file', '2026-01-05'])
    expect(sha256).toBe(createHash('sha256').update(`${written}}`).digest('hex'))
  })

  it('asks by default for the cohort that is the default everywhere', () => {
    expect(plannedDefinition(defaultPlan)).toEqual(defaultDefinition)
  })

  it('reads back what it writes', () => {
    const plan = parsePlan(`${written}, "smallestDifference": 0.03, "adjustFor": ["region"]}`)
    expect(parsePlan(planText(plan))).toEqual({ ...plan, sha256: parsePlan(planText(plan)).sha256 })
  })

  it('is frozen through and through', () => {
    expect(Object.isFrozen(defaultPlan.adjustFor)).toBe(true)
    expect(Object.isFrozen(parsePlan(`${written}}`).primary)).toBe(true)
  })

  it.each([
    ['{', 'the plan is not JSON.'],
    ['[]', 'the plan cannot be used: the file: must be an object with the fields of a plan.'],
    [
      '{}',
      'the plan cannot be used: written: is missing; write the day on which the plan was made, such as "2026-01-05".',
    ],
    [
      '{"written": "5 January", "level": 95}',
      'the plan cannot be used: written: must be a day such as "2026-01-05"; level: must be below 1, such as 0.95.',
    ],
    [
      `${written}, "adjustfor": []}`,
      'the plan cannot be used: the file: there is no field adjustfor; see docs/plan.md for those that there are.',
    ],
    [
      `${written}, "waitWindowMinutes": {"from": 15, "to": 10}}`,
      'the plan cannot be used: waitWindowMinutes: "from" lies after "to"; exchange them.',
    ],
    [
      `${written}, "against": "repeated in the window"}`,
      'the plan cannot be used: against: is the group itself; name the group to compare with.',
    ],
    [
      `${written}, "smallestDifference": 2}`,
      'the plan cannot be used: smallestDifference: is a share; write 2 percentage points as 0.02.',
    ],
    [
      `${written}, "primary": {"contrast": "hazard-ratio"}, "smallestDifference": 1.5}`,
      'the plan cannot be used: smallestDifference: for a hazard ratio give the ratio below 1 that matters, such as 0.75; its inverse is the harm that matters.',
    ],
  ])('that reads %s is refused: %s', (text, problem) => {
    let thrown: unknown
    try {
      parsePlan(text)
    } catch (error) {
      thrown = error
    }
    expect(thrown).toBeInstanceOf(UsageError)
    expect((thrown as UsageError).problem).toBe(problem)
    expect((thrown as UsageError).mend.length).toBeGreaterThan(10)
  })

  it('refuses to adjust for what followed the choice, and names what may be adjusted for', () => {
    expect(() => parsePlan(`${written}, "adjustFor": ["achieved_torque_ncm"]}`)).toThrow(
      /adjustFor\.0: must be one of operator, delivery_day, region, bruxism/,
    )
  })

  it('names several fields at fault at once', () => {
    const text = `${written}, "endpoint": "caries", "horizonsYears": [], "strata": ["weather"]}`
    expect(() => parsePlan(text)).toThrow(/endpoint: must be one of.*horizonsYears: must name.*strata\.0: /s)
  })
})

describe('departures from a plan', () => {
  it('are none where all is as planned', () => {
    const { group, against, level, horizonsYears } = defaultPlan
    expect(
      departures(defaultPlan, { definition: defaultDefinition, group, against, level, horizonsYears }),
    ).toEqual([])
  })

  it('name the field, what was planned and what was used', () => {
    const definition = { ...defaultDefinition, waitWindowMinutes: { from: 5, to: 20 } }
    expect(departures(defaultPlan, { definition, level: 0.9, horizonsYears: [1, 2] })).toEqual([
      { field: 'level', planned: '0.95', used: '0.9' },
      { field: 'horizonsYears', planned: '1, 3, 5', used: '1, 2' },
      { field: 'waitWindowMinutes', planned: '10 to 15', used: '5 to 20' },
    ])
  })
})
