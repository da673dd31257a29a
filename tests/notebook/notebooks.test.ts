import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import { runNotebook, writeNotebook } from '../../dist/notebook/run.js'
import { type CellOutput, type Notebook, readNotebook } from '../../src/notebook/notebookFile.js'

const folder = join(import.meta.dirname, '../../notebooks')
const scratch = mkdtempSync(join(tmpdir(), 'notebooks-'))
afterAll(() => rmSync(scratch, { recursive: true, force: true }))

/** Every number that the outputs show as text or table, in order; drawings are compared by their existence. */
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

function outputsOf(notebook: Notebook): readonly CellOutput[] {
  return notebook.cells.flatMap((cell) => (cell.outputs as CellOutput[] | undefined) ?? [])
}

/** A notebook of code cells, beside those of the project so that the package is found by its name. */
function notebookOf(name: string, cells: readonly string[]): string {
  const path = join(scratch, name)
  const content = {
    cells: cells.map((source) => ({
      cell_type: 'code',
      execution_count: null,
      metadata: {},
      outputs: [],
      source: [source],
    })),
    metadata: {},
    nbformat: 4,
    nbformat_minor: 4,
  }
  writeFileSync(path, JSON.stringify(content))
  return path
}

describe('the notebooks of the project', () => {
  it.each(readdirSync(folder).filter((name) => name.endsWith('.ipynb')))(
    '%s runs in the real kernel and shows the numbers that are committed',
    async (name) => {
      const committed = readNotebook(join(folder, name))
      const run = await runNotebook(join(folder, name), { environment: { HOLDFAST_DATE: '2026-01-31' } })
      expect(run.failure).toBeUndefined()
      expect(outputsOf(run.notebook).map((output) => Object.keys(output.data ?? {}))).toEqual(
        outputsOf(committed).map((output) => Object.keys(output.data ?? {})),
      )
      expect(numbersShown(run.notebook)).toEqual(numbersShown(committed))
      expect(numbersShown(run.notebook).length).toBeGreaterThan(20)
      expect(JSON.stringify(committed)).not.toContain(join(import.meta.dirname, '../..'))
    },
    120_000,
  )
})

describe('a run that fails', () => {
  it('names the cell and the error, and keeps the outputs so far', async () => {
    const path = notebookOf('throws.ipynb', ['console.log("before")', 'throw new Error("broken on purpose")'])
    const original = readFileSync(path, 'utf8')
    const run = await runNotebook(path)
    expect(run.failure).toMatchObject({ cell: 2, cause: 'error' })
    expect(run.failure?.detail).toContain('broken on purpose')
    expect(outputsOf(run.notebook)[0]).toMatchObject({ output_type: 'stream', text: 'before\n' })
    expect(outputsOf(run.notebook)[1]).toMatchObject({ output_type: 'error' })
    expect(readFileSync(path, 'utf8')).toBe(original)
  })

  it('reports a type error before anything is run', async () => {
    const run = await runNotebook(notebookOf('types.ipynb', ['const count: number = "many"']))
    expect(run.failure).toMatchObject({ cell: 1, cause: 'error' })
    expect(run.failure?.detail).toContain("Type 'string' is not assignable to type 'number'")
  })

  it('ends a cell that takes too long', async () => {
    const run = await runNotebook(notebookOf('endless.ipynb', ['for (;;) {}']), { cellSeconds: 8 })
    expect(run.failure).toEqual({
      cell: 1,
      cause: 'time-limit',
      detail: 'took longer than 8 s and was ended',
    })
  })

  it('says that a cell ended the kernel', async () => {
    const run = await runNotebook(notebookOf('exits.ipynb', ['process.exit(7)']))
    expect(run.failure).toEqual({
      cell: 1,
      cause: 'kernel-ended',
      detail: 'the kernel process ended with exit code 7',
    })
  })

  it('refuses what is no notebook', async () => {
    const path = join(scratch, 'text.ipynb')
    writeFileSync(path, 'not a notebook')
    await expect(runNotebook(path)).rejects.toThrow(
      'cannot be read as a notebook. Expected: a notebook file (.ipynb) of format 4. Mend: check the path, or save the notebook again from the editor.',
    )
  })
})

describe('writeNotebook', () => {
  it('leaves nothing half written behind', () => {
    const path = notebookOf('written.ipynb', ['1'])
    const notebook = readNotebook(path)
    writeNotebook(path, notebook)
    expect(readNotebook(path)).toEqual(notebook)
    expect(readdirSync(scratch).filter((name) => name.endsWith('.part'))).toEqual([])
  })
})
