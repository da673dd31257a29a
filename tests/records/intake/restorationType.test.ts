import { existsSync, readFileSync, writeFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { runInterview } from '../../../src/cli/interviewRun.js'
import { buildCohort } from '../../../src/cohort/cohort.js'
import { describedCohort } from '../../../src/questions/audit.js'
import { defaultSettings } from '../../../src/questions/plan/settings.js'
import { checkRecords } from '../../../src/records/read/readDataset.js'
import { today, writtenFile } from '../practice.js'

const header = 'Pt;Tooth;Placed;Work;Seen;Loose'
const works = ['crown', 'bridge']
const rows = Array.from({ length: 20 }, (_, index) => {
  const day = 10 + index
  const loose = index % 5 === 0 ? `${day}/06/2020` : ''
  return `P${index};${index % 4 === 3 ? '24-25' : '36'};${day}/02/2019;${works[index % 2]};${day}/06/2021;${loose}`
})
  .map((row) => row.replaceAll('31/06', '30/06'))
  .map((row) => row.replace(/29\/02|30\/02/, '28/02'))

const columns = {
  Pt: 'patient_id',
  Tooth: { field: 'tooth_position', scheme: 'iso-3950' },
  Placed: { field: 'delivery_date', dateOrder: 'day-first' },
  Seen: { field: 'last_check_date', dateOrder: 'day-first' },
  Loose: { field: 'first_loosening_date', dateOrder: 'day-first' },
}

/** Replays answers about the sheet with something more said; gives whether the map is confirmed, and its path. */
async function replayed(more: object) {
  const path = writtenFile('crowns.csv', `${[header, ...rows].join('\n')}\n`)
  const said: string[] = []
  const sheets = {
    '*': { rows: 'restoration', severalCrowns: 'one', blankLoosening: 'never', columns, ...more },
  }
  const answers = `${path}.mine.json`
  const whole = { otherColumns: 'not-used', ...sheets['*'] }
  writeFileSync(answers, JSON.stringify({ holdfastAnswers: 1, right: true, sheets: { '*': whole } }))
  const done = await runInterview(path, { today, redo: false, answers, say: (text) => said.push(text) })
  return { done, path, said }
}

/** Restorations of each type as read, and how many an audit takes in. */
async function typesOf(path: string) {
  const { records } = await checkRecords(path, { today })
  const { labels, codes } = records!.restorations.category('restoration_type')
  const types = [...codes].map((code) => labels[code])
  const { incidence, summary } = describedCohort(buildCohort(records!), defaultSettings)
  return { types, included: summary.attrition.included, events: incidence.overall.events }
}

describe('the type of the restorations', () => {
  it('is an open question where neither a column nor an answer tells it', async () => {
    const { done, path, said } = await replayed({})
    expect(done).toBe(false)
    expect(said.join('\n')).toContain('sheets › * › type\n1 question is open. Fill in')
    expect(existsSync(`${path}.map.json`)).toBe(false)
    const { open } = JSON.parse(readFileSync(`${path}.questions.json`, 'utf8'))
    const [question] = open
    expect(question).toMatchObject({ where: ['sheets', '*', 'type'], answer: null })
    expect(question).not.toHaveProperty('proposed')
    const choices = question.choices.map((one: { answer: string }) => one.answer)
    expect(choices[0]).toBe('single_crown')
    expect(choices).toContain('Work')
    expect(choices.at(-1)).toBe('unknown')
  })

  it.each([
    { type: 'single_crown', severalCrowns: 'each' },
    { constants: { restoration_type: 'single_crown' }, severalCrowns: 'each' },
  ])('stands in the map as said, and the audit has its restorations: %o', async (said) => {
    const { done, path } = await replayed(said)
    expect(done).toBe(true)
    const map = JSON.parse(readFileSync(`${path}.map.json`, 'utf8'))
    expect(map.sheets[0].constants).toEqual({ restoration_type: 'single_crown' })
    const { types, included, events } = await typesOf(path)
    expect(types).toEqual(new Array(25).fill('single_crown'))
    expect([included, events]).toEqual([25, 5])
  })

  it('is not that of a single crown for a prosthesis on several implants', async () => {
    const { path } = await replayed({ type: 'single_crown', severalCrowns: 'one' })
    const { types, included } = await typesOf(path)
    expect(types.filter((type) => type === 'single_crown')).toHaveLength(15)
    expect(included).toBe(15)
  })

  it('is read from the column that the answer names, with its words', async () => {
    const { done, path } = await replayed({
      type: 'Work',
      columns: { ...columns, Work: { field: 'restoration_type' } },
    })
    expect(done).toBe(true)
    const { types } = await typesOf(path)
    expect(types).toEqual(rows.map((_, index) => ['single_crown', 'fixed_partial'][index % 2]))
  })

  it('may be a column without a word on it elsewhere', async () => {
    const { done, path } = await replayed({ type: 'Work', otherColumns: undefined, columnsRight: true })
    expect(done).toBe(true)
    expect(new Set((await typesOf(path)).types)).toEqual(new Set(['single_crown', 'fixed_partial']))
  })

  it('may stay unknown by name, and is refused where it is no type', async () => {
    const { done, path } = await replayed({ type: 'unknown' })
    expect(done).toBe(true)
    expect(JSON.parse(readFileSync(`${path}.map.json`, 'utf8')).sheets[0]).not.toHaveProperty('constants')
    await expect(replayed({ type: 'crowns' })).rejects.toThrow(
      'the answers give crowns as the type of the restorations',
    )
  })
})
