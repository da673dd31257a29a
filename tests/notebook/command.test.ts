import { existsSync, mkdtempSync, readFileSync, rmSync, symlinkSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import { userKernelsFolder } from '../../src/notebook/kernelSpecification.js'
import { markdownHtml } from '../../src/notebook/markdownHtml.js'
import { type CellOutput, type Notebook, readNotebook } from '../../src/notebook/notebookFile.js'
import { notebookHtml } from '../../src/notebook/notebookHtml.js'
import { withParameters } from '../../src/notebook/parameters.js'
import { type Ended, root, runHoldfast } from '../cli/runHoldfast.js'

const scratch = mkdtempSync(join(tmpdir(), 'notebook-command-'))
symlinkSync(join(root, 'node_modules'), join(scratch, 'node_modules'), 'dir')
afterAll(() => rmSync(scratch, { recursive: true, force: true }))

function holdfast(...words: readonly string[]): Promise<Ended> {
  return runHoldfast(scratch, words)
}

function notebookOf(sources: readonly string[], tags: readonly string[] = []): Notebook {
  return {
    cells: sources.map((source, index) => ({
      cell_type: 'code',
      execution_count: null,
      metadata: index === 0 ? { tags: [...tags] } : {},
      outputs: [],
      source: [source],
    })),
    metadata: {},
    nbformat: 4,
    nbformat_minor: 4,
  }
}

function written(name: string, notebook: Notebook): string {
  writeFileSync(join(scratch, name), JSON.stringify(notebook))
  return name
}

function outputsOf(path: string): readonly CellOutput[] {
  return readNotebook(path).cells.flatMap((cell) => (cell.outputs as CellOutput[] | undefined) ?? [])
}

const plainOf = (output: CellOutput | undefined): string =>
  String((output?.data as Record<string, unknown> | undefined)?.['text/plain'] ?? output?.text ?? '')

describe('holdfast notebook', () => {
  it('sets parameters and data, shows last values well, and ends at an error in its own words', async () => {
    const sources = [
      'const years: number = 3\nconst label: string = "mine"',
      [
        "import { buildCohort, clusteredRate, incidence, openRecords, retention, retentionChart, show } from 'holdfast'",
        "const records = await openRecords(process.env.HOLDFAST_DATA ?? '')",
        'records',
      ].join('\n'),
      'const cohort = buildCohort(records)\ncohort',
      'const found = incidence(cohort)\nfound',
      'const kept = retention(cohort)\nkept',
      'retentionChart(kept)',
      'found.overall.ratePer100Years',
      'await show(label + years, found.overall.proportion)',
      "await openRecords('nowhere')",
    ]
    const file = written('values.ipynb', notebookOf(sources, ['parameters']))
    const original = readFileSync(join(scratch, file), 'utf8')
    const ended = await holdfast(
      'notebook',
      file,
      ...['--out', 'done', '--data', join(root, 'data-demo'), '--html', '--no-code'],
      ...['--param', 'years=5', '--param', 'label=it "was" '],
    )
    expect(ended.code).toBe(1)
    expect(ended.stderr).not.toContain('cell 3 of 10')
    expect(ended.stderr).toContain(
      'values.ipynb, cell 10: UsageError: there is nothing at nowhere, or it may not be looked at.',
    )
    expect(readFileSync(join(scratch, file), 'utf8')).toBe(original)
    const outputs = outputsOf(join(scratch, 'done', file))
    const plain = outputs.map(plainOf)
    expect(plain[0]).toContain('restorations      1,227')
    expect(plain[1]).toContain('960 restorations of 625 patients are followed')
    expect(plain[2]).toMatch(/All +960 +69 +2\.8 \(2\.2 to 3\.5\)/)
    expect(plain[3]).toContain('Share free of first screw loosening')
    expect(String((outputs[3]!.data as Record<string, unknown>)['text/html'])).toContain('<svg')
    expect(Object.keys(outputs[4]!.data as object)).toContain('image/svg+xml')
    expect(plain[5]).toMatch(/^Estimate: \*\*2\.795\*\* \(95% interval 2\.203 to 3\.546\), from 69 events/)
    expect(plain[6]).toBe('it "was" 5')
    expect(plain[7]).toContain('**0.07187**')
    expect(outputs[8]).toMatchObject({ output_type: 'error', ename: 'UsageError' })
    expect((outputs[8]!.traceback as string[]).join('')).not.toMatch(/\n\s+at /)
    const page = readFileSync(join(scratch, 'done', 'values.html'), 'utf8')
    expect(page).not.toContain('openRecords(process')
    expect(page).toContain("default-src 'none'")
    expect(page).not.toMatch(/<script|(?:src|href)="https?:/)
  }, 120_000)

  it('lets a misspelt option not pass, and underlines it', async () => {
    const misspelt = written(
      'misspelt.ipynb',
      notebookOf(["import { rate } from 'holdfast'\nrate(3, 100, { levl: 0.9 })"]),
    )
    const ended = await holdfast('notebook', misspelt, '--out', 'ended')
    expect(ended.code).toBe(1)
    expect(ended.stderr).toMatch(
      /misspelt\.ipynb, cell 1: .*'levl' does not exist in type 'RateOptions.*Did you mean to write 'level'\?/,
    )
    const [refused] = outputsOf(join(scratch, 'ended', misspelt))
    expect((refused!.traceback as string[]).join('')).toContain(
      'Line 2:\n  rate(3, 100, { levl: 0.9 })\n                 ^^^^\n',
    )
  }, 120_000)

  it('refuses to write over the notebook itself, an unknown parameter, and a data set that is not there', async () => {
    const file = written('plain.ipynb', notebookOf(['1']))
    const [over, absent, unknown] = await Promise.all([
      holdfast('notebook', file, '--out', '.'),
      holdfast('notebook', file, '--data', 'nothing-here'),
      holdfast('notebook', file, '--param', 'years=3', '--out', 'other'),
    ])
    expect([over.code, absent.code, unknown.code]).toEqual([2, 2, 2])
    expect(over.stderr).toContain('would be written over a notebook given')
    expect(absent.stderr).toBe(
      'there is no nothing-here. Expected: a folder with the three tables, or the one-sheet file. Mend: correct the path after --data.\n',
    )
    expect(unknown.stderr).toContain('the notebook has no cell of parameters.')
  })
})

describe('withParameters', () => {
  const notebook = notebookOf(['const years: number = 3\nconst name = "a"\nlet all = true'], ['parameters'])

  it('declares names again below the tagged cell, by the type that they have', () => {
    const cells = withParameters(notebook, { years: '5', name: "it's", all: 'false' }).cells
    expect(cells).toHaveLength(2)
    expect(cells[0]).toEqual(notebook.cells[0])
    expect((cells[1]!.source as string[]).join('')).toBe(
      'const years: number = 5\nconst name: string = "it\'s"\nconst all: boolean = false',
    )
  })

  it('refuses names that are not declared and values that do not fit', () => {
    expect(() => withParameters(notebook, { month: '5' })).toThrow(
      'the notebook has no parameter "month". Expected: one of years, name, all.',
    )
    expect(() => withParameters(notebook, { years: '1; process.exit()' })).toThrow(
      'the value of the parameter "years" does not fit. Expected: a number',
    )
  })
})

describe('the page of a notebook', () => {
  it('shows marks of Markdown and runs no HTML of the text', () => {
    expect(markdownHtml('# A *b*\n\nOne **two** `x < 1`\n\n- a\n- b')).toBe(
      '<h1>A <em>b</em></h1>\n<p>One <strong>two</strong> <code>x &lt; 1</code></p>\n<ul>\n<li>a</li>\n<li>b</li>\n</ul>',
    )
    expect(markdownHtml('<script>alert(1)</script> [x](javascript:alert(1))')).not.toMatch(
      /<script|href="java/,
    )
  })

  it('allows every style by its hash, escapes code, and leaves it out on demand', () => {
    const notebook = notebookOf(['const a = 1 < 2'])
    Object.assign(notebook.cells[0]!, {
      outputs: [
        { output_type: 'display_data', data: { 'text/html': '<style>p{color:red}</style>' }, metadata: {} },
      ],
    })
    const page = notebookHtml(notebook)
    expect(page).toContain('1 &lt; 2')
    expect(page.match(/sha256-/g)).toHaveLength(2)
    expect(page).not.toContain('unsafe-inline')
    expect(notebookHtml(notebook, { code: false })).not.toContain('1 &lt; 2')
  })
})

describe('holdfast kernel', () => {
  it('writes a specification whose command starts the kernel of the checkout', async () => {
    const ended = await holdfast('kernel', '--out', 'kernels')
    expect(ended.code).toBe(0)
    expect(ended.stdout).toContain('choose the kernel "Holdfast (TypeScript)"')
    const specification = JSON.parse(readFileSync(join(scratch, 'kernels/holdfast/kernel.json'), 'utf8'))
    expect(specification.argv).toHaveLength(3)
    expect(existsSync(specification.argv[0]) && existsSync(specification.argv[1])).toBe(true)
    expect(specification.argv[2]).toBe('{connection_file}')
  })

  it("finds the user's folder of kernels on each system", () => {
    expect(userKernelsFolder('linux', {}, '/home/a')).toBe('/home/a/.local/share/jupyter/kernels')
    expect(userKernelsFolder('darwin', {}, '/Users/a')).toBe('/Users/a/Library/Jupyter/kernels')
    expect(userKernelsFolder('win32', { APPDATA: '/a' }, '/b')).toBe('/a/jupyter/kernels')
    expect(userKernelsFolder('linux', { JUPYTER_DATA_DIR: '/j' }, '/b')).toBe('/j/kernels')
  })
})
