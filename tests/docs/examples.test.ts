import { execFile } from 'node:child_process'
import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { promisify } from 'node:util'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import * as core from '../../src/core/index.js'
import { demoSettings } from '../../src/demo/settings.js'
import * as holdfast from '../../src/index.js'
import { message } from '../../src/messages/message.js'
import { defaultPlan } from '../../src/questions/plan/planFile.js'
import * as statistics from '../../src/statistics/index.js'

const root = join(import.meta.dirname, '../..')

/** Every `@example expression // => value` in the docstrings of src. */
const examples = (readdirSync(join(root, 'src'), { recursive: true }) as string[])
  .filter((name) => name.endsWith('.ts'))
  .flatMap((name) =>
    [...readFileSync(join(root, 'src', name), 'utf8').matchAll(/@example (.+?) \/\/ => (.+)/g)].map(
      (match) => [name, match[1]!.trim(), match[2]!.trim()] as const,
    ),
  )

/** Examples may await what is resampled. */
const AsyncFunction = Object.getPrototypeOf(async () => {}).constructor as FunctionConstructor

/** The value as the docstring prints it: a number rounded to the digits shown, anything else as JSON. */
function printed(value: unknown, shown: string): string {
  if (typeof value === 'number' && /^-?\d/.test(shown)) {
    if (/e/i.test(shown))
      return value.toExponential(shown.replace(/e.*/i, '').replace(/[-.]/g, '').length - 1)
    return value.toFixed(shown.split('.')[1]?.length ?? 0)
  }
  return JSON.stringify(value)
}

const scratch = mkdtempSync(join(tmpdir(), 'holdfast-examples-'))
afterAll(() => rmSync(scratch, { recursive: true, force: true }))

/** What the example of one module takes from another. */
const beside = { defaultPlan, demoSettings, message }

/** What the examples of the front door ask: the demo data. */
let examined: object = {}
beforeAll(async () => {
  const records = await holdfast.openRecords(join(root, 'data-demo'))
  const cohort = holdfast.buildCohort(records)
  examined = { records, cohort, audit: holdfast.auditCohort(cohort), scratch }
}, 300_000)

describe('examples in docstrings', () => {
  it.each(examples)(
    '%s: %s',
    async (file, expression, shown) => {
      const own: object = await import(/* @vite-ignore */ join(root, 'src', file))
      const known: object = { ...core, ...statistics, ...holdfast, ...examined, ...beside, ...own }
      const names = Object.keys(known)
      const evaluate = new AsyncFunction(...names, `return (${expression})`)
      const value: unknown = await evaluate(...Object.values(known))
      expect(printed(value, shown)).toBe(shown)
    },
    300_000,
  )
})

describe('the front door', () => {
  it('has sixty names at most, each in the index with its example', async () => {
    const index = readFileSync(join(root, 'docs/front-door.md'), 'utf8')
    const listed = [...index.matchAll(/^- \*\*(\w+)\*\*: .+\n {2}`.+ \/\/ => .+`$/gm)].map(
      ([, name]) => name!,
    )
    expect(listed.sort()).toEqual(Object.keys(holdfast).sort())
    expect(listed.length).toBeLessThanOrEqual(60)
    const made = [join(root, 'scripts/frontDoor.mjs'), '--check']
    await promisify(execFile)(process.execPath, made)
  })
})

describe('examples in docs/methods', () => {
  it('print what stands on the page', async () => {
    const result = await promisify(execFile)(
      process.execPath,
      [join(root, 'scripts/docExamples.mjs'), '--check'],
      {
        cwd: root,
      },
    ).catch((failure: { stderr: string }) => ({ stdout: '', stderr: failure.stderr }))
    expect(result.stderr).toBe('')
    expect(result.stdout).toMatch(/^\d+ examples run, 0 differ\n$/)
  }, 900_000)
})
