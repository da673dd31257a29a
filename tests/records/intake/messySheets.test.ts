import { readFileSync, writeFileSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { runInterview } from '../../../src/cli/interviewRun.js'
import { temporaryFolder, today, writtenFile } from '../practice.js'
import { messySheets, type TrueCrown } from './messySheets.js'
import { oddSheets } from './oddSheets.js'

type Row = Readonly<Record<string, string>>

function tableOf(folder: string, name: string): readonly Row[] {
  const [head, ...lines] = readFileSync(join(folder, `${name}.csv`), 'utf8')
    .trim()
    .split('\n')
  return lines.map((line) => {
    const cells = line.split(',')
    return Object.fromEntries(head!.split(',').map((header, index) => [header, cells[index] ?? '']))
  })
}

/** Every cell of the records, one line for each row, whatever the identifiers and the order. */
function cellsRead(folder: string): readonly string[] {
  const restorations = tableOf(folder, 'restorations')
  const siteOf = new Map(
    restorations.map((row) => [
      row.restoration_id!,
      `${row.patient_id} ${row.tooth_position} ${row.delivery_date}`,
    ]),
  )
  return [
    ...restorations.map(
      (row) => `crown ${siteOf.get(row.restoration_id!)} ${row.sex} ${row.restoration_type}`,
    ),
    ...tableOf(folder, 'tightenings').map(
      (row) =>
        `tightened ${siteOf.get(row.restoration_id!)} ${row.sequence} ${row.minutes_since_first} ${Number(row.target_torque_ncm)}`,
    ),
    ...tableOf(folder, 'visits').map(
      (row) =>
        `visit ${siteOf.get(row.restoration_id!)} ${row.visit_date} ${row.screw_checked} ${row.finding}`,
    ),
  ].sort()
}

function cellsTrue(truth: readonly TrueCrown[]): readonly string[] {
  return truth
    .flatMap((crown) => {
      const site = `${crown.patient} ${crown.tooth} ${crown.delivery}`
      return [
        `crown ${site} ${crown.sex} single_crown`,
        `tightened ${site} 1 0 ${crown.torque}`,
        ...(crown.tightenings === 2 ? [`tightened ${site} 2 ${crown.wait} ${crown.torque}`] : []),
        ...crown.visits.map((visit) => `visit ${site} ${visit.date} ${visit.checked} ${visit.finding}`),
      ]
    })
    .sort()
}

describe('messy sheets read through the interview', () => {
  it('are at least fifteen, in six languages', () => {
    expect(messySheets.length).toBeGreaterThanOrEqual(15)
  })

  it.each([...messySheets, ...oddSheets].map((sheet) => [sheet.title, sheet] as const))(
    '%s: every cell',
    async (_title, sheet) => {
      const path = writtenFile(sheet.name, sheet.content)
      const answers = join(dirname(path), 'mine.json')
      writeFileSync(answers, JSON.stringify(sheet.answers))
      const said: string[] = []
      const tables = join(temporaryFolder(), 'read')
      const done = await runInterview(path, {
        today,
        redo: false,
        answers,
        tables,
        say: (text) => said.push(text),
      })
      expect(done ? '' : said.join('\n')).toBe('')
      expect(said[0]).not.toContain('stop')
      expect(cellsRead(tables)).toEqual(cellsTrue(sheet.truth))
    },
  )
})
