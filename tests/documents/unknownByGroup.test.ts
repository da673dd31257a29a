import { describe, expect, it } from 'vitest'
import { auditDocument } from '../../src/documents/kinds/auditDocument.js'
import { plainText, type Table } from '../../src/documents/model/document.js'
import type { AuditResult } from '../../src/questions/audit.js'
import { fixtures } from './fixture.js'

type Entry = NonNullable<AuditResult['summary']['quality']['completenessByClinic']>[number]

/** The table of unknown values by clinic, for entries given. */
function tableOf(entries: readonly Entry[]): Table | undefined {
  const audit = fixtures.usual!()
  const quality = { ...audit.summary.quality, completenessByClinic: entries }
  const changed = { ...audit, summary: { ...audit.summary, quality } }
  const document = auditDocument(changed, { date: '2026-01-31', version: 'test' })
  const blocks = document.sections.flatMap((section) => section.blocks)
  return blocks.find(
    (block): block is Table => block.kind === 'table' && block.id === 'table-unknown-by-clinic',
  )
}

describe('unknown values by group', () => {
  const incomplete = fixtures.usual!().summary.quality.completeness.find(
    (one) => one.unknown > 0 && one.known > 0,
  )!
  const entry = (group: string, unknown: number): Entry => ({ ...incomplete, known: 10, unknown, group })

  it('stand in one column for each group, read from the results', () => {
    const found = tableOf([entry('clinic_A', 3), entry('clinic_B', 41)])!
    expect(found.columns.map((column) => column.title)).toEqual(['Field', 'clinic_A', 'clinic_B'])
    const row = found.rows.find((cells) => plainText(cells[0]!.content).includes(incomplete.field))!
    expect(row.slice(1).map((cell) => plainText(cell.content))).toEqual(['3', '41'])
  })

  it('are left to results.json where there are more groups than a page holds, and absent where there is one', () => {
    expect(tableOf(Array.from({ length: 9 }, (_one, i) => entry(`clinic_${i}`, 1)))).toBeUndefined()
    expect(tableOf([entry('clinic_A', 3)])).toBeUndefined()
  })
})
