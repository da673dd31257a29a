import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { demoSettings } from '../../src/demo/settings.js'
import { writeDemo } from '../../src/demo/writeDemo.js'
import { type Ended, runHoldfast } from './runHoldfast.js'

const scratch = mkdtempSync(join(tmpdir(), 'kinds-'))
afterAll(() => rmSync(scratch, { recursive: true, force: true }))

function holdfast(...words: readonly string[]): Promise<Ended> {
  return runHoldfast(scratch, words)
}

beforeAll(() => writeDemo(join(scratch, 'north'), demoSettings({ seed: 1, restorations: 120 })))

describe('--kind', () => {
  it.each([
    ['case-series', 'Manuscript draft: case series', '## References'],
    ['leaflet', 'For our patients', '## How to reach us'],
  ])('makes a %s from the results of the audit', async (kind, kicker, heading) => {
    const { code } = await holdfast('audit', 'north', '--kind', kind, '--out', kind, '--date', '2026-05-04')
    expect(code).toBe(0)
    const markdown = readFileSync(join(scratch, kind, 'report.md'), 'utf8')
    expect(markdown).toContain(kicker)
    expect(markdown).toContain(heading)
    expect(existsSync(join(scratch, kind, 'report.docx'))).toBe(true)
    const results = JSON.parse(readFileSync(join(scratch, kind, 'results.json'), 'utf8'))
    expect(results).toMatchObject({ kind, format: 'holdfast-results-1' })
    expect(JSON.parse(readFileSync(join(scratch, kind, 'provenance.json'), 'utf8')).kind).toBe(kind)
  })

  it('compares in a leaflet where that is asked for, and is asked nowhere else', async () => {
    const words = ['audit', 'north', '--comparison', '--formats', 'markdown', '--date', '2026-05-04']
    const { code } = await holdfast(...words, '--kind', 'leaflet', '--out', 'beside')
    expect(code).toBe(0)
    const compared = '## Does it matter how the screw was tightened?'
    expect(readFileSync(join(scratch, 'beside', 'report.md'), 'utf8')).toContain(compared)
    expect(readFileSync(join(scratch, 'leaflet', 'report.md'), 'utf8')).not.toContain(compared)
    expect(await holdfast(...words)).toMatchObject({
      code: 2,
      stderr:
        'a comparison is asked for by itself in a leaflet only. Expected: --comparison together with --kind leaflet. Mend: add --kind leaflet, or leave --comparison away: every other document compares.\n',
    })
  })

  it('refuses a kind that there is not', async () => {
    const { code, stderr } = await holdfast('audit', 'north', '--kind', 'poem')
    expect({ code, stderr }).toEqual({
      code: 2,
      stderr:
        '--kind names a kind of document that there is not. Expected: one of audit, case-series, leaflet. Mend: write --kind case-series.\n',
    })
  })
})

describe('changes', () => {
  it('compares the folder of a report with a data set, and refuses what is no audit', async () => {
    await holdfast('demo', 'south', '--seed', '2', '--restorations', '150')
    await holdfast('audit', 'north', '--out', 'then', '--formats', 'none', '--date', '2026-05-04')
    const { code, stdout } = await holdfast(
      'changes',
      'then',
      'south',
      '--out',
      'changed',
      '--date',
      '2026-05-04',
    )
    expect({ code, report: stdout.split('\n').at(-2) }).toEqual({
      code: 0,
      report: 'Report: changed/report.html',
    })
    expect(stdout).toMatch(/^By \d years? the risk of first screw loosening is put at /)
    const results = JSON.parse(readFileSync(join(scratch, 'changed', 'results.json'), 'utf8'))
    expect(results.kind).toBe('two-reports')
    const refused = await holdfast('changes', 'changed', 'then', '--out', 'never')
    expect(refused.code).toBe(2)
    expect(refused.stderr).toMatch(/^the report in changed is of kind two-reports\./)
  })
})

describe('propose', () => {
  it('drafts a protocol from a plan, and refuses an assumption that cannot be', async () => {
    writeFileSync(join(scratch, 'plan.json'), '{"written": "2026-01-05", "smallestDifference": 0.05}')
    const { code, stdout } = await holdfast('propose', 'plan.json', '--out', 'draft', '--date', '2026-05-04')
    expect({ code, stdout }).toEqual({
      code: 0,
      stdout: 'A draft: every place in square brackets is for the author.\nReport: draft/report.html\n',
    })
    expect(readFileSync(join(scratch, 'draft', 'report.md'), 'utf8')).toContain(
      '## What an ethics board asks',
    )
    const refused = await holdfast('propose', '--lost', '1')
    expect(refused.code).toBe(2)
    expect(refused.stderr).toBe(
      'the study cannot be planned by these assumptions. Expected: share lost: from 0 to below 1. Mend: put the assumption named right, or leave it out for its default.\n',
    )
  })
})

describe('needed', () => {
  it('lends its assumptions to the draft of a protocol', async () => {
    const { code } = await holdfast('propose', '--records', 'north', '--out', 'own', '--formats', 'none')
    expect(code).toBe(0)
    const { assumptions } = JSON.parse(readFileSync(join(scratch, 'own', 'results.json'), 'utf8'))
    expect(assumptions.restorationsPerPatient).toBeGreaterThan(1)
    expect(assumptions.restorationsPerPatient).not.toBe(1.5)
    expect(assumptions.lostShare).not.toBe(0.2)
  })

  it('says what it takes in lines and a page, and refuses a width that cannot be', async () => {
    const { code, stdout } = await holdfast('needed', 'north', '--out', 'needed', '--date', '2026-05-04')
    expect(code).toBe(0)
    expect(stdout).toMatch(/Report: needed\/report\.html\n$/)
    const results = JSON.parse(readFileSync(join(scratch, 'needed', 'results.json'), 'utf8'))
    expect(results.kind).toBe('needed')
    expect(results.scenarios.length).toBe(results.events < 10 ? 3 : 1)
    const page = readFileSync(join(scratch, 'needed', 'report.md'), 'utf8')
    expect(page).toContain('| The risk by 3 years, to within 2.0 percentage points |')
    expect(page).toContain('This is a projection, not a promise')
    const refused = await holdfast('needed', 'north', '--within', '5', '--out', 'never')
    expect(refused.code).toBe(2)
    expect(refused.stderr).toContain('write 2 percentage points as 0.02')
  })
})

describe('watch', () => {
  it('says what was seen in lines and a page, and refuses a day that is none', async () => {
    const { code, stdout } = await holdfast('watch', 'north', '--out', 'watched', '--date', '2026-05-04')
    expect(code).toBe(0)
    expect(stdout).toMatch(/^(From \d{4}|A signal on|There is not enough)/)
    expect(stdout).toMatch(/Report: watched\/report\.html\n$/)
    const results = JSON.parse(readFileSync(join(scratch, 'watched', 'results.json'), 'utf8'))
    expect(results.kind).toBe('watch')
    expect(results.devices.map((one: { state: string }) => one.state)).toContain('own-reading')
    const page = readFileSync(join(scratch, 'watched', 'report.md'), 'utf8')
    expect(page).toContain('## What was not looked at')
    expect(page).toContain('A signal says that something changed. It does not say what')
    const refused = await holdfast('watch', 'north', '--since', 'yesterday')
    expect(refused.code).toBe(2)
    expect(refused.stderr).toContain('Expected a day as YYYY-MM-DD')
  })
})
