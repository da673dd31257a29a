import { execFileSync } from 'node:child_process'
import { cpSync, mkdtempSync, readdirSync, readFileSync, rmSync, symlinkSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join, resolve } from 'node:path'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'

/**
 * The exercise "a new small question": its folder and its messages laid into a copy of the sources, its line in the list
 * of questions and in the list of a document. Nothing else is touched.
 */
const root = resolve(import.meta.dirname, '../..')
const folder = join(import.meta.dirname, 'quarters')
const copy = mkdtempSync(join(tmpdir(), 'new-question-'))
afterAll(() => rmSync(copy, { recursive: true, force: true }))

const edit = (path: string, from: string, to: string): void => {
  const text = readFileSync(join(copy, path), 'utf8')
  expect(text).toContain(from)
  writeFileSync(join(copy, path), text.replace(from, to))
}

const run = (...words: readonly string[]): string =>
  execFileSync(process.execPath, words, { cwd: copy, encoding: 'utf8', maxBuffer: 1e8 })

describe('a new question', () => {
  const files = readdirSync(folder)

  beforeAll(() => {
    cpSync(join(root, 'docs/schema'), join(copy, 'docs/schema'), { recursive: true })
    for (const name of [
      'src',
      'scripts',
      'data-demo',
      'package.json',
      'tsconfig.json',
      'tsconfig.build.json',
    ]) {
      cpSync(join(root, name), join(copy, name), { recursive: true })
    }
    symlinkSync(join(root, 'node_modules'), join(copy, 'node_modules'), 'dir')
    for (const name of files) {
      const at = name.endsWith('.json') ? 'src/messages/en' : 'src/questions/quarters'
      cpSync(join(folder, name), join(copy, at, name))
    }
    edit(
      'src/questions/registry.ts',
      'import { pathsOf }',
      "import { quartersQuestion } from './quarters/question.js'\nimport { pathsOf }",
    )
    edit('src/questions/registry.ts', '  seriesQuestion,\n]', '  seriesQuestion,\n  quartersQuestion,\n]')
    edit(
      'src/documents/kinds/auditDocument.ts',
      "['clinicFunnel']),",
      "['clinicFunnel']),\n  questionSection('quarters', message('quarters.title'), ['quarters']),",
    )
    run('scripts/messageTypes.mjs')
    run('node_modules/typescript/bin/tsc', '-p', 'tsconfig.build.json')
    run('scripts/copyMessages.mjs')
    run('scripts/resultsSchema.mjs')
    run('dist/cli/main.js', 'audit', 'data-demo', '--out', 'report')
  }, 600_000)

  test('takes one folder of fewer than 150 lines, messages included', () => {
    const lines = files.map((name) => readFileSync(join(folder, name), 'utf8').trimEnd().split('\n').length)
    expect(lines.reduce((sum, one) => sum + one, 0)).toBeLessThan(150)
  })

  test('is answered, said, tabled and drawn, each number with its place', () => {
    const results = JSON.parse(readFileSync(join(copy, 'report/results.json'), 'utf8')) as {
      quarters: { kind: string; events: number; counts: readonly unknown[] }
    }
    expect(results.quarters.kind).toBe('quarters')
    expect(results.quarters.events).toBeGreaterThan(10)
    const text = readFileSync(join(copy, 'report/supplement.md'), 'utf8')
    expect(text).toContain(
      `${results.quarters.events} events were found in ${results.quarters.counts.length} quarters of clinics.`,
    )
    expect(readFileSync(join(copy, 'report/supplement.html'), 'utf8')).toContain('"quarters.events"')
    expect(readdirSync(join(copy, 'report/tables'))).toContain('quarters.csv')
    expect(readdirSync(join(copy, 'report/figures')).some((name) => name.startsWith('quarters'))).toBe(true)
  })

  test('is in the schema of the results', () => {
    const schema = JSON.parse(readFileSync(join(copy, 'report/results.schema.json'), 'utf8')) as {
      $defs: Record<string, unknown>
    }
    expect(Object.keys(schema.$defs)).toContain('Quarters')
  })
})
