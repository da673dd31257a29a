import { UsageError } from '../core/errors.js'
import { asLines, cellSource, type Notebook, type NotebookCell } from './notebookFile.js'

/** Values for the names of the parameters cell, as texts. */
export type ParameterValues = Readonly<Record<string, string>>

const declaration = /^(?:const|let)\s+([A-Za-z_]\w*)\s*(?::\s*(\w+)\s*)?=\s*(.*)$/gm

/**
 * Sets the parameters of a notebook: below the cell tagged `parameters` a cell is put that declares the names again
 * with the values given. The tagged cell stays as it was.
 *
 * @throws UsageError `no-parameters-cell`, `unknown-parameter`, `bad-parameter`
 */
export function withParameters(notebook: Notebook, values: ParameterValues): Notebook {
  const names = Object.keys(values)
  if (names.length === 0) return notebook
  const at = notebook.cells.findIndex((cell) => cell.metadata?.tags?.includes('parameters') === true)
  if (at < 0) {
    throw new UsageError({
      code: 'no-parameters-cell',
      problem: 'the notebook has no cell of parameters.',
      expected: 'a code cell with the tag "parameters".',
      mend: 'add the tag to the cell that declares them, or leave the values out.',
    })
  }
  const declared = [...cellSource(notebook.cells[at]!).matchAll(declaration)]
  const lines = names.map((name) => {
    const match = declared.find((one) => one[1] === name)
    if (match === undefined)
      throw unknownParameter(
        name,
        declared.map((one) => one[1]!),
      )
    const type = match[2] ?? typeOf(match[3] ?? '')
    return `const ${name}: ${type} = ${literal(name, type, values[name]!)}`
  })
  const injected: NotebookCell = {
    cell_type: 'code',
    metadata: { tags: ['injected-parameters'] },
    source: [...asLines(lines.join('\n'))],
    execution_count: null,
    outputs: [],
  }
  const { cells } = notebook
  return { ...notebook, cells: [...cells.slice(0, at + 1), injected, ...cells.slice(at + 1)] }
}

function typeOf(source: string): string {
  if (/^-?\d/.test(source)) return 'number'
  return /^(?:true|false)\b/.test(source) ? 'boolean' : 'string'
}

function literal(name: string, type: string, value: string): string {
  if (type === 'string') return JSON.stringify(value)
  const fits =
    type === 'number'
      ? value.trim() !== '' && Number.isFinite(Number(value))
      : type === 'boolean' && /^(?:true|false)$/.test(value)
  if (fits) return type === 'number' ? String(Number(value)) : value
  throw new UsageError({
    code: 'bad-parameter',
    problem: `the value of the parameter "${name}" does not fit.`,
    expected: `a ${type}, as the notebook declares it.`,
    mend: `write --param ${name}=… with such a value.`,
  })
}

function unknownParameter(name: string, known: readonly string[]): UsageError {
  return new UsageError({
    code: 'unknown-parameter',
    problem: `the notebook has no parameter "${name}".`,
    expected: known.length === 0 ? 'names that its parameters cell declares.' : `one of ${known.join(', ')}.`,
    mend: 'correct the name, or declare it in the cell tagged "parameters".',
  })
}
