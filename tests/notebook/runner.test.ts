import { execFileSync, spawn } from 'node:child_process'
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
import { runNotebook, writeNotebook } from '../../dist/notebook/run.js'
import { type CellOutput, type Notebook, readNotebook } from '../../src/notebook/notebookFile.js'

const root = join(import.meta.dirname, '../..')
const scratch = mkdtempSync(join(tmpdir(), 'runner-'))
const kernels = join(scratch, 'kernels')
mkdirSync(kernels)
symlinkSync(join(root, 'node_modules'), join(scratch, 'node_modules'), 'dir')
afterAll(() => rmSync(scratch, { recursive: true, force: true }))

function outputsOf(notebook: Notebook): readonly CellOutput[] {
  return notebook.cells.flatMap((cell) => (cell.outputs as CellOutput[] | undefined) ?? [])
}

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

function textOf(output: CellOutput | undefined): string {
  const data = output?.data as Record<string, string> | undefined
  return [data?.['text/plain'] ?? output?.text ?? output?.traceback ?? ''].flat().join('')
}

/** Kernels of these tests that are still alive: they were given a connection file in the scratch folder. */
function kernelsAlive(): readonly string[] {
  const all = execFileSync('ps', ['-A', '-o', 'args'], { encoding: 'utf8' })
  return all.split('\n').filter((line) => line.includes('kernelMain.js') && line.includes(kernels))
}

async function noneAlive(): Promise<boolean> {
  for (let tries = 0; tries < 50; tries++) {
    if (kernelsAlive().length === 0) return true
    await new Promise((resolve) => setTimeout(resolve, 200))
  }
  return false
}

interface Ended {
  readonly code: number | null
  readonly stderr: string
}

/** `holdfast notebook` with its kernels in the scratch folder; `started` gets a way to stop it. */
function command(words: readonly string[], started?: (stop: (signal: NodeJS.Signals) => void) => void) {
  return new Promise<Ended>((resolve) => {
    const child = spawn(process.execPath, [join(root, 'dist/cli/main.js'), 'notebook', ...words], {
      cwd: scratch,
      env: { ...process.env, TMPDIR: kernels },
    })
    let stderr = ''
    child.stderr.on('data', (chunk: Buffer) => {
      stderr += chunk.toString('utf8')
    })
    started?.((signal) => child.kill(signal))
    child.once('exit', (code) => resolve({ code, stderr }))
  })
}

describe('a run that fails', () => {
  const bad: readonly (readonly [string, readonly string[], RegExp, readonly string[]])[] = [
    ['endless', ['console.log("kept")', 'for (;;) {}'], /cell 2: took longer than 6 s and was ended/, []],
    [
      'endless-later',
      ['await new Promise((done) => setTimeout(done, 50))\nfor (;;) {}'],
      /cell 1: took longer than 6 s/,
      [],
    ],
    [
      'type',
      ['const count: number = "many"'],
      /cell 1: Type 'string' is not assignable to type 'number'/,
      [],
    ],
    [
      'thrown',
      ['console.log("kept")', 'throw new RangeError("on purpose")'],
      /cell 2: RangeError: on purpose/,
      [],
    ],
    ['exits', ['process.exit(0)'], /cell 1: the kernel process ended with exit code 0/, []],
    [
      'eats',
      ['const all: number[][] = []\nfor (;;) all.push(new Array(1e5).fill(1.5))'],
      /cell 1: the kernel process ran out of memory/,
      ['--memory', '256', '--cell-seconds', '60'],
    ],
  ]

  it.each(bad)(
    '%s: a clear report, exit code 1, outputs kept, the original untouched, no process left',
    async (name, cells, report, more) => {
      const path = notebookOf(`${name}.ipynb`, cells)
      const original = readFileSync(path, 'utf8')
      const ended = await command([path, '--out', 'ended', '--cell-seconds', '6', ...more])
      expect(ended.code).toBe(1)
      expect(ended.stderr).toMatch(report)
      expect(ended.stderr).toContain(
        `What came before is kept in ${join('ended', `${name}.ipynb`)}; ${name}.ipynb itself is unchanged.`,
      )
      expect(readFileSync(path, 'utf8')).toBe(original)
      const kept = outputsOf(readNotebook(join(scratch, 'ended', `${name}.ipynb`)))
      if (cells.length > 1) expect(textOf(kept[0])).toBe('kept\n')
      expect(await noneAlive()).toBe(true)
      expect(readdirSync(join(scratch, 'ended')).filter((file) => file.endsWith('.part'))).toEqual([])
    },
    120_000,
  )

  it('leaves no kernel behind when the runner is interrupted or killed, even in an endless cell', async () => {
    const path = notebookOf('forever.ipynb', [
      "import { writeFileSync } from 'node:fs'\nwriteFileSync('begun', '')\nfor (;;) {}",
    ])
    for (const [signal, code] of [
      ['SIGINT', 130],
      ['SIGKILL', null],
    ] as const) {
      const begun = join(scratch, 'begun')
      rmSync(begun, { force: true })
      const ended = await command([path, '--out', 'ended'], (stop) => {
        const look = setInterval(() => {
          if (!existsSync(begun)) return
          clearInterval(look)
          setTimeout(() => stop(signal), 500)
        }, 100)
      })
      expect(ended.code).toBe(code)
      expect(await noneAlive()).toBe(true)
    }
  }, 120_000)

  it('refuses what is no notebook', async () => {
    const path = join(scratch, 'text.ipynb')
    writeFileSync(path, 'not a notebook')
    await expect(runNotebook(path)).rejects.toThrow(
      'cannot be read as a notebook. Expected: a notebook file (.ipynb) of format 4. Mend: check the path, or save the notebook again from the editor.',
    )
  })
})

describe('cells', () => {
  it('may use names of earlier cells in shorthand, and show results as tables and other values as they are', async () => {
    const path = notebookOf('values.ipynb', [
      'const years: number = 3\nconst { level } = { level: 0.9 }\nlet count = 0',
      "import { plannedDesignEffect, rate } from 'holdfast'\nrate(years, 100, { level })",
      '({ count } = { count: 5 })\nconst held = (years: number) => ({ years, count })\nheld(7)',
      'plannedDesignEffect(1.6, 0.1)',
    ])
    const run = await runNotebook(path)
    expect(run.failure).toBeUndefined()
    const [rate, held, effect] = outputsOf(run.notebook).map(textOf)
    expect(rate).toMatch(/^Estimate: \*\*0\.03\*\* \(90% interval/)
    expect(held).toBe('{ years: 7, count: 5 }\n')
    expect(effect).toMatch(/^Equal +1\.06\n/)
  }, 120_000)

  it('report errors in their own words, without the stack of internals', async () => {
    const words = [
      [
        "import { openRecords } from 'holdfast'\nawait openRecords('nowhere')",
        /^UsageError: there is nothing at nowhere/,
      ],
      [
        "throw new TypeError('mine', { cause: new Error('below') })",
        /^TypeError: mine\nBecause of Error: below\n$/,
      ],
      ["import { kaplanMeier } from 'holdfast'\nkaplanMeier([1, 2], [1])", /^NumericalError: /],
    ] as const
    for (const [index, [source, expected]] of words.entries()) {
      const run = await runNotebook(notebookOf(`error${index}.ipynb`, [source]))
      expect(textOf(outputsOf(run.notebook)[0])).toMatch(expected)
      expect(textOf(outputsOf(run.notebook)[0])).not.toMatch(/\n\s+at |node:|evalmachine|tslab/)
    }
  }, 120_000)
})

describe('writeNotebook', () => {
  it('leaves nothing half written behind', async () => {
    const path = notebookOf('written.ipynb', ['1'])
    const notebook = readNotebook(path)
    await writeNotebook(path, notebook)
    expect(readNotebook(path)).toEqual(notebook)
    expect(readdirSync(scratch).filter((name) => name.endsWith('.part'))).toEqual([])
  })
})
