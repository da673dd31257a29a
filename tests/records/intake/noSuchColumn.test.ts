import { readFileSync, writeFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { runInterview } from '../../../src/cli/interviewRun.js'
import { buildCohort } from '../../../src/cohort/cohort.js'
import { auditInThreeLines } from '../../../src/documents/writeReport.js'
import { auditCohort } from '../../../src/questions/audit.js'
import { problemInWords } from '../../../src/records/problems.js'
import { checkRecords } from '../../../src/records/read/readDataset.js'
import { today, writtenFile } from '../practice.js'

const header = 'Pat;Zahn;Eingliederung;Letzte Kontrolle;Locker am'
const rows = Array.from({ length: 30 }, (_, index) => {
  const day = 10 + (index % 15)
  return `P${index};36;${day}.02.2019;${day}.06.2022;${index % 5 === 0 ? `${day}.06.2020` : ''}`
})

const said = {
  rows: 'restoration',
  type: 'single_crown',
  patient: 'Pat',
  delivery: 'Eingliederung',
  lastCheck: 'Letzte Kontrolle',
  loosening: 'Locker am',
  blankLoosening: 'never',
  tightenings: null,
  columnsRight: true,
}

/** Holds the interview by answers, in JSON as a file has them. */
async function held(content: string, answers: object) {
  const path = writtenFile('praxis.csv', content)
  const file = `${path}.mine.json`
  writeFileSync(file, JSON.stringify(answers))
  const lines: string[] = []
  const done = await runInterview(path, {
    today,
    redo: false,
    answers: file,
    say: (text) => lines.push(text),
  })
  const map = done ? JSON.parse(readFileSync(`${path}.map.json`, 'utf8')) : undefined
  return { path, done, lines: lines.join('\n'), map }
}

function sheet(columns = 5): string {
  return `${[header, ...rows].map((row) => row.split(';').slice(0, columns).join(';')).join('\n')}\n`
}

describe('a column that is always asked for and is not there', () => {
  it('of the tightenings stands in the map, and the audit says what that means', async () => {
    const { path, done, lines, map } = await held(sheet(), {
      holdfastAnswers: 1,
      right: true,
      sheets: { '*': said },
    })
    expect(done).toBe(true)
    expect(map.sheets[0].absent).toEqual(['tightenings'])
    expect(lines).toContain('By the column map no column tells how often a screw was tightened')
    const { records, problems } = await checkRecords(path, { today })
    expect(problems.map(({ severity, code }) => `${severity} ${code}`)).toContain('warn no-tightening-column')
    const [risk, comparison] = auditInThreeLines(auditCohort(buildCohort(records!)))
    expect(risk).toContain('of restorations had had a first screw loosening')
    expect(comparison).toBe(
      'Single and repeated tightening cannot be compared: by the column map no column of these records tells how often a screw was tightened.',
    )
  })

  it.each([
    ['loosening', '', 4, 'every crown would count as never loosened'],
    ['lastCheck', 'Letzte Kontrolle', 5, 'how long each screw is known to have held is not known'],
    ['patient', 'Pat', 5, 'which crowns are in one mouth is not known'],
    ['delivery', 'Eingliederung', 5, 'no crown has a day from which its time at risk would run'],
  ])('of %s stops, and says why', async (key, column, columns, means) => {
    const { path, done, lines, map } = await held(sheet(columns), {
      holdfastAnswers: 1,
      right: true,
      sheets: { '*': { ...said, [key]: null, ...(column === '' ? {} : { columns: { [column]: null } }) } },
    })
    expect(done ? '' : lines).toBe('')
    expect(lines).toContain(`By the column map no column holds it: ${means}`)
    expect(map.sheets[0].absent).toEqual(
      [key, 'tightenings'].filter((one, at, all) => all.indexOf(one) === at),
    )
    const { records, problems } = await checkRecords(path, { today })
    expect(records).toBeUndefined()
    const stops = problems.filter(({ severity }) => severity === 'stop').map(problemInWords)
    expect(stops).toHaveLength(1)
    expect(stops[0]).toContain(`by the column map no column holds it: ${means}`)
    expect(stops[0]).toContain(
      'Mend: add the column to the file, in a copy, and run holdfast map anew with --redo.',
    )
  })

  it('is answered "none" in the list of open questions, where null means not answered yet', async () => {
    const first = await held(sheet(4), { holdfastAnswers: 1, sheets: {} })
    expect(first.done).toBe(false)
    const list = JSON.parse(readFileSync(`${first.path}.questions.json`, 'utf8'))
    const keys = list.open.map(({ where }: { where: readonly string[] }) => where.at(-1))
    expect(keys).toEqual(expect.arrayContaining(['loosening', 'tightenings']))
    const loosening = list.open.find(
      ({ where }: { where: readonly string[] }) => where.at(-1) === 'loosening',
    )
    expect(loosening).toMatchObject({ proposed: 'none', answer: null })
    expect(loosening.choices.at(-1)).toEqual({ answer: 'none', means: 'not in this sheet' })
    const unanswered = await held(sheet(4), list)
    expect(unanswered.done).toBe(false)
    for (const one of list.open) one.answer = one.where.at(-1) === 'type' ? 'single_crown' : one.proposed
    const second = await held(sheet(4), list)
    expect(second.done).toBe(true)
    expect(second.map.sheets[0].absent).toEqual(['loosening', 'tightenings'])
  })
})
