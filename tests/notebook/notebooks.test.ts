import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import { type NotebookRun, runNotebook } from '../../dist/notebook/run.js'
import { type CellOutput, type Notebook, readNotebook } from '../../src/notebook/notebookFile.js'
import { writeSheetAsTables } from '../demo/sheetAsTables.js'

/**
 * All nine notebooks run here through the real kernel, in copies in a folder
 * outside the project, where nothing is installed, so that nothing of the checkout is written to. By
 * Jupyter itself they are run by scripts/notebooksInJupyter.mjs, which .ci/run calls.
 */
const root = join(import.meta.dirname, '../..')
const folder = join(root, 'notebooks')
const scratch = mkdtempSync(join(tmpdir(), 'notebooks-'))
mkdirSync(join(scratch, 'notebooks'))
symlinkSync(join(root, 'data-demo'), join(scratch, 'data-demo'), 'dir')
afterAll(() => rmSync(scratch, { recursive: true, force: true }))

const names = readdirSync(folder)
  .filter((name) => name.endsWith('.ipynb'))
  .sort()

/** Memory that the kernel has taken so far, as an additional last cell prints it. */
interface Taken {
  readonly megabytes: number
}
const measuringCell = {
  cell_type: 'code',
  id: 'measure',
  metadata: {},
  execution_count: null,
  outputs: [],
  source: [
    'const used = process.resourceUsage()\n',
    'console.log(JSON.stringify({ megabytes: used.maxRSS / 1024 }))',
  ],
}

interface Measured {
  readonly run: NotebookRun
  readonly taken: Taken
}

/** Runs a changed copy of a notebook; what the measuring cell printed is taken off again. */
async function ran(name: string, change: (notebook: Notebook) => Notebook = (one) => one): Promise<Measured> {
  const notebook = change(readNotebook(join(folder, name)))
  const path = join(scratch, 'notebooks', name)
  writeFileSync(path, JSON.stringify({ ...notebook, cells: [...notebook.cells, measuringCell] }))
  const run = await runNotebook(path, { environment: { HOLDFAST_DATE: '2026-01-31' } })
  const cells = run.notebook.cells.slice(0, -1)
  const printed = outputsOf({ ...run.notebook, cells: run.notebook.cells.slice(-1) })[0]
  return {
    run: { ...run, notebook: { ...run.notebook, cells } },
    taken: JSON.parse(String(printed?.text ?? '{}')) as Taken,
  }
}

function outputsOf(notebook: Notebook): readonly CellOutput[] {
  return notebook.cells.flatMap((cell) => (cell.outputs as CellOutput[] | undefined) ?? [])
}

/** Every number that the outputs show as text or table, in order; drawings are compared by their description. */
function numbersShown(notebook: Notebook): readonly string[] {
  return outputsOf(notebook).flatMap((output) => {
    const data = (output.data ?? {}) as Record<string, unknown>
    const shown = data['text/html'] ?? data['text/markdown'] ?? data['text/plain'] ?? ''
    return (
      String(shown)
        .replace(/<style>[\s\S]*?<\/style>|<svg[\s\S]*?<\/svg>|<[^>]*>/g, ' ')
        .match(/\d+(?:\.\d+)?/g) ?? []
    )
  })
}

describe('the notebooks of the project', () => {
  it('are nine, each opens with what it needs and gives, ends with what it does not say, and has its parameters', () => {
    expect(names.map((name) => name.slice(0, 2))).toEqual([
      '01',
      '02',
      '03',
      '04',
      '05',
      '06',
      '07',
      '08',
      '09',
    ])
    for (const name of names) {
      const { cells } = readNotebook(join(folder, name))
      const text = (at: number): string => [cells.at(at)!.source].flat().join('')
      expect(text(0)).toMatch(
        new RegExp(`^# ${name.slice(0, 2)} · .*\\*\\*What it needs:\\*\\*.*\\*\\*What it gives:\\*\\*`, 's'),
      )
      expect(text(-1)).toMatch(/## What this does not say\n\n- /)
      expect(cells.filter((cell) => cell.metadata?.tags?.includes('parameters'))).toHaveLength(1)
      expect(text(1)).toMatch(/^const folder: string = process\.env\.HOLDFAST_DATA \?\? '\.\.\/data-demo'/)
    }
  })

  it.each(names)(
    '%s runs in the real kernel and shows the numbers that are committed, within its memory',
    async (name) => {
      const committed = readNotebook(join(folder, name))
      const { run, taken } = await ran(name)
      expect(run.failure).toBeUndefined()
      const forms = (notebook: Notebook): unknown =>
        outputsOf(notebook).map((output) => [output.output_type, Object.keys(output.data ?? {})])
      expect(forms(run.notebook)).toEqual(forms(committed))
      expect(numbersShown(run.notebook)).toEqual(numbersShown(committed))
      expect(numbersShown(run.notebook).length).toBeGreaterThan(20)
      expect(outputsOf(committed).filter((output) => output.output_type !== 'display_data')).toEqual([])
      expect(readFileSync(join(folder, name), 'utf8')).not.toContain(root)
      expect(taken.megabytes).toBeLessThan(350)
    },
    120_000,
  )

  it('show a chart in the cell that asks for it', async () => {
    const { run } = await ran('03-how-long-do-restorations-stay-tight.ipynb', (notebook) => {
      const chart = notebook.cells.findIndex((cell) =>
        [cell.source].flat().join('').includes('retentionChart(tight'),
      )
      return { ...notebook, cells: notebook.cells.slice(0, chart + 1) }
    })
    expect(run.failure).toBeUndefined()
    expect(Object.keys(outputsOf(run.notebook).at(-1)!.data as object)).toContain('image/svg+xml')
  }, 120_000)

  it('take the one-sheet form by a change of one line: the same first loosenings, and what one sheet cannot answer', async () => {
    const name = '02-how-often-do-screws-loosen.ipynb'
    writeSheetAsTables(join(root, 'data-demo'), join(scratch, 'one-sheet.csv'))
    const { run } = await ran(name, (notebook) => ({
      ...notebook,
      cells: notebook.cells.map((cell) =>
        cell.metadata?.tags?.includes('parameters') === true
          ? { ...cell, source: ["const folder: string = '../one-sheet.csv'"] }
          : cell,
      ),
    }))
    expect(run.failure).toBeUndefined()
    const texts = (notebook: Notebook): readonly string[] =>
      outputsOf(notebook).map((output) =>
        [(output.data as Record<string, string | string[]>)['text/plain'] ?? ''].flat().join(''),
      )
    const rowsOf = (all: readonly string[]): readonly string[] =>
      all
        .join('\n')
        .split('\n')
        .filter((line) => /^(?:All|Single|Not known) +\d/.test(line))
        .map((line) => line.replace(/ +/g, ' '))
    const sheet = texts(run.notebook)
    expect(sheet[0]).toMatch(/This form of the records cannot answer: whether the screw was undone/)
    expect(rowsOf(sheet)).toHaveLength(3)
    expect(rowsOf(sheet)).toEqual(rowsOf(texts(readNotebook(join(folder, name)))))
  }, 120_000)

  it('go on where a practice records no more than deliveries, looks and how it tightened', async () => {
    const kept = [
      'restoration_id',
      'patient_id',
      'delivery_date',
      'restoration_type',
      'retention_mode',
      'tightening_group',
      'last_check_date',
      'last_check_before_loosening_date',
      'first_loosening_date',
    ]
    const rows = readFileSync(join(root, 'data-demo', 'one-sheet.csv'), 'utf8')
      .trim()
      .split('\n')
      .slice(0, 300)
    const columns = kept.map((name) => rows[0]!.split(',').indexOf(name))
    writeFileSync(
      join(scratch, 'lean.csv'),
      rows.map((row) => columns.map((column) => row.split(',')[column]).join(',')).join('\n'),
    )
    const { run } = await ran('09-my-own-question.ipynb', (notebook) => ({
      ...notebook,
      cells: notebook.cells.map((cell) =>
        cell.metadata?.tags?.includes('parameters') === true
          ? {
              ...cell,
              source: [
                "const folder: string = '../lean.csv'\n",
                "const reportFolder: string = '../lean-report'",
              ],
            }
          : cell,
      ),
    }))
    expect(run.failure).toBeUndefined()
    const shown = JSON.stringify(outputsOf(run.notebook))
    for (const absent of ['implant system', 'operator', 'connection', 'molar', 'wait']) {
      expect(shown).toContain(`No ${absent} is recorded.`)
    }
    expect(shown).toContain('None is recorded as tightened below 30 N·cm.')
    expect(readFileSync(join(scratch, 'lean-report', 'report.html'), 'utf8')).toContain(
      'No connection is recorded.',
    )
  }, 120_000)

  it('say so where a small practice with no loose screw can answer nothing', async () => {
    const practice = join(scratch, 'practice')
    mkdirSync(practice)
    writeFileSync(
      join(practice, 'sheet.csv'),
      `restoration_id,patient_id,clinic_id,delivery_date,restoration_type,connection,tooth_position,tightenings_at_delivery,last_check_date,first_loosening_date\n${[
        11, 24, 36, 46,
      ]
        .map(
          (tooth, i) => `R${i},P${i},A,2022-0${i + 1}-03,single_crown,conical,${tooth},1,2023-0${i + 1}-03,`,
        )
        .join('\n')}\n`,
    )
    for (const [name, words] of [
      ['06-pooling-with-colleagues.ipynb', /no group, so there is nothing to pool/],
      ['07-planning-and-watching.ipynb', /There is not enough to set now against before/],
    ] as const) {
      const { run } = await ran(name, (notebook) => ({
        ...notebook,
        cells: notebook.cells.map((cell) =>
          cell.metadata?.tags?.includes('parameters') === true
            ? {
                ...cell,
                source: [
                  [cell.source]
                    .flat()
                    .join('')
                    .replace(/^const folder.*$/m, "const folder: string = '../practice/sheet.csv'"),
                ],
              }
            : cell,
        ),
      }))
      expect(run.failure).toBeUndefined()
      expect(JSON.stringify(outputsOf(run.notebook))).toMatch(words)
    }
  }, 120_000)

  it('write nothing beside the report of the write-up', () => {
    expect(existsSync(join(scratch, 'reports/notebook-08/report/report.html'))).toBe(true)
    expect(readdirSync(join(scratch, 'notebooks')).sort()).toEqual(names)
  })
})
