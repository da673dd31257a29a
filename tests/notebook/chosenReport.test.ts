import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import { incidence } from '../../src/analysis/incidence.js'
import { report } from '../../src/notebook/chosenReport.js'
import { practice, times } from '../analysis/practice.js'

const scratch = mkdtempSync(join(tmpdir(), 'holdfast-chosen-'))
afterAll(() => rmSync(scratch, { recursive: true, force: true }))

describe('a report of chosen results', () => {
  const cohort = practice([...times(20, { checks: [400, 1200] }), ...times(4, { loose: 300 })])
  const to = join(scratch, 'mine')
  const made = (title: string) => report([incidence(cohort), 'A word.'], { title, to, date: '2026-01-31' })

  it('takes the place of the earlier one when its notebook is run again', async () => {
    await made('First')
    const { htmlPath } = await made('Second')
    expect(readFileSync(htmlPath, 'utf8')).toContain('Second')
    expect(readFileSync(htmlPath, 'utf8')).not.toContain('First')
  })

  it('refuses a folder that holds anything else', async () => {
    writeFileSync(join(to, 'letter.txt'), 'kept')
    await expect(made('Third')).rejects.toMatchObject({ code: 'folder-in-use' })
    expect(readFileSync(join(to, 'letter.txt'), 'utf8')).toBe('kept')
  })
})
