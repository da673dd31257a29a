import { readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import type { DemoTruth } from '../../src/demo/truth.js'

/** The last checks that a year slipped into the visits table leaves, by restoration; the sheet has the true ones. */
const lastCheckByTables: Readonly<Record<string, string>> = { P0077R1: '', P0708R1: '2024-09-12' }

/**
 * Writes the one sheet of the demo data as whoever read it off the visits table, mistakes and all, would have filled it
 * in. Two restorations have their last recall dated before delivery there, by mistakes made on purpose, so that the
 * tables set it aside: P0077R1 has no other check, and is never checked after delivery by the tables; P0708R1 was
 * checked a year before. In the sheet of the demo data both stand with the true date.
 */
export function writeSheetAsTables(demo: string, path: string): void {
  const lines = (file: string): readonly string[] => readFileSync(join(demo, file), 'utf8').split('\n')
  const visits = lines('visits.csv')
  const truth = JSON.parse(readFileSync(join(demo, 'truth.json'), 'utf8')) as DemoTruth
  const slipped = new Set(
    truth.expectedMistakes
      .filter((one) => one.kind === 'visit before delivery')
      .map((one) => visits[one.row - 1]!.split(',')[0]!),
  )
  const [head, ...rows] = lines('one-sheet.csv')
  const column = head!.split(',').indexOf('last_check_date')
  const changed = rows.map((line) => {
    const fields = line.split(',')
    const last = lastCheckByTables[fields[0]!]
    if (last === undefined) return line
    if (!slipped.has(fields[0]!)) throw new Error(`no visit of ${fields[0]} was set before its delivery`)
    fields[column] = last
    return fields.join(',')
  })
  writeFileSync(path, [head, ...changed].join('\n'))
}
