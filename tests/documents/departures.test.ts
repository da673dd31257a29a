import { expect, it } from 'vitest'
import { supplementDocument } from '../../src/documents/kinds/supplementDocument.js'
import { plainText } from '../../src/documents/model/document.js'
import { auditCohort } from '../../src/questions/audit.js'
import { parsePlan } from '../../src/questions/plan/planFile.js'
import { plannedSettings } from '../../src/questions/plan/settings.js'
import { richPractice } from './richPractice.js'

const plan = parsePlan('{"written": "2026-01-05"}')
const cohort = richPractice()

function settingsTable(changed: object): string {
  const audit = auditCohort(cohort, { ...plannedSettings(plan), ...changed })
  const document = supplementDocument(audit, { date: '2026-01-31', version: '0.0.0' })
  const table = document.sections
    .flatMap(({ blocks }) => blocks)
    .find((block) => block.kind === 'table' && block.id === 'table-settings')!
  if (table.kind !== 'table') throw new Error('no table of settings')
  return table.rows.map((row) => row.map(({ content }) => plainText(content)).join(': ')).join('\n')
}

it('the table of settings says what was set otherwise than in the plan', () => {
  expect(settingsTable({ level: 0.9, horizonsYears: [1, 2] })).toContain(
    'Other than in the plan: level: planned 0.95, used 0.9\nOther than in the plan: horizonsYears: planned 1, 3, 5, used 1, 2',
  )
  expect(settingsTable({})).not.toContain('Other than')
})
