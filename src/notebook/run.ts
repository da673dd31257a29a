import { mkdir } from 'node:fs/promises'
import { dirname, resolve } from 'node:path'
import { whileAlone } from '../core/alone.js'
import type { ErrorText } from '../core/errors.js'
import { stopwatch } from '../core/stopwatch.js'
import { type WholeFile, writeWhole } from '../core/wholeFiles.js'
import { type Kernel, type KernelMessage, startKernel } from './kernel.js'
import type { MimeBundle } from './mimeOutput.js'
import { narrowWanted, withoutNarrow } from './narrowCharts.js'
import {
  asLines,
  type CellOutput,
  cellSource,
  type Notebook,
  type NotebookCell,
  readNotebook,
} from './notebookFile.js'
import { type ParameterValues, withParameters } from './parameters.js'

/** Settings of a run. */
export interface NotebookRunOptions {
  /** Seconds that one cell may take; default 120. */
  readonly cellSeconds?: number
  /** Variables added to the environment of the cells, such as the data set. */
  readonly environment?: Readonly<Record<string, string>>
  /** Values for the cell tagged `parameters`. */
  readonly parameters?: ParameterValues
  /** Memory for the objects of the cells in megabytes; default 2,048. */
  readonly memoryMb?: number
  /** Whether charts are drawn for small screens too, for `notebookHtml`; default false. */
  readonly narrow?: boolean
  /** Called before each code cell with its number (from 1) and the number of code cells. */
  readonly onCell?: (cell: number, cells: number) => void
}

/** Why a run stopped before its end. */
export interface NotebookFailure {
  /** Number of the code cell, from 1. */
  readonly cell: number
  readonly cause: 'error' | 'time-limit' | 'kernel-ended'
  readonly detail: ErrorText
}

/** An executed notebook; outputs up to a failure are kept. */
export interface NotebookRun {
  readonly notebook: Notebook
  readonly failure: NotebookFailure | undefined
}

/**
 * Executes a notebook cell by cell through the real kernel, in the folder of the notebook. The file itself is not
 * changed.
 *
 * @throws UsageError where the file is no notebook
 */
export async function runNotebook(path: string, options: NotebookRunOptions = {}): Promise<NotebookRun> {
  const { cellSeconds = 120, parameters = {}, memoryMb, narrow = false, onCell } = options
  const environment = { ...options.environment, [narrowWanted]: narrow ? '1' : '' }
  const notebook = withParameters(structuredClone(readNotebook(path)), parameters)
  const codeCells = notebook.cells.filter((cell) => cell.cell_type === 'code')
  for (const cell of codeCells) Object.assign(cell, { outputs: [], execution_count: null })
  const kernel = await startKernel(dirname(resolve(path)), environment, memoryMb)
  try {
    for (const [index, cell] of codeCells.entries()) {
      onCell?.(index + 1, codeCells.length)
      const failure = await runCell(kernel, cell, index + 1, cellSeconds)
      if (failure !== undefined) return { notebook, failure }
    }
    return { notebook, failure: undefined }
  } finally {
    kernel.close()
  }
}

/** Writes a notebook, and the page of it if there is one, each whole or not at all. */
export async function writeNotebook(path: string, notebook: Notebook, page?: WholeFile): Promise<void> {
  const content = `${JSON.stringify(kept(notebook), null, 1)}\n`
  await mkdir(dirname(path), { recursive: true })
  await whileAlone(path, () => writeWhole([{ path, content }, ...(page === undefined ? [] : [page])]))
}

/** What a notebook keeps: pictures for small screens are those of its page. */
function kept(notebook: Notebook): Notebook {
  const cells = notebook.cells.map((cell) => {
    const outputs = cell.outputs as CellOutput[] | undefined
    if (outputs === undefined) return cell
    const lean = (output: CellOutput): CellOutput =>
      output.data === undefined ? output : { ...output, data: withoutNarrow(output.data as MimeBundle) }
    return { ...cell, outputs: outputs.map(lean) }
  })
  return { ...notebook, cells }
}

async function runCell(
  kernel: Kernel,
  cell: NotebookCell,
  number: number,
  cellSeconds: number,
): Promise<NotebookFailure | undefined> {
  const outputs: CellOutput[] = []
  Object.assign(cell, { outputs, execution_count: number })
  const id = await kernel.execute(cellSource(cell))
  const elapsed = stopwatch()
  let replied: string | undefined
  let idle = false
  while (replied === undefined || !idle) {
    const message = await nextBefore(kernel, cellSeconds * 1000 - elapsed())
    if (message === 'late') {
      const detail: ErrorText = `took longer than ${cellSeconds} s and was ended`
      return { cell: number, cause: 'time-limit', detail }
    }
    if (message === undefined) return kernelEnded(kernel, number)
    if (message.parentId !== id) continue
    if (message.type === 'execute_reply') replied = String(message.content.status)
    if (message.type === 'status' && message.content.execution_state === 'idle') idle = true
    const output = outputOf(message)
    if (output !== undefined) append(outputs, output)
  }
  if (replied === 'ok') return undefined
  return errorFailure(outputs, number)
}

/** Next message, or "late" once the time of the cell is up. */
async function nextBefore(kernel: Kernel, left: number): Promise<KernelMessage | undefined | 'late'> {
  let timer: NodeJS.Timeout | undefined
  const late = new Promise<'late'>((resolve) => {
    timer = setTimeout(() => resolve('late'), Math.max(0, left))
  })
  try {
    return await Promise.race([kernel.next(), late])
  } finally {
    clearTimeout(timer)
  }
}

function kernelEnded(kernel: Kernel, cell: number): NotebookFailure {
  const end = kernel.ended()
  const memory = /heap out of memory|Allocation failed/.test(kernel.lastWords())
  const how: ErrorText = memory
    ? 'ran out of memory'
    : end?.signal !== null && end?.signal !== undefined
      ? `was ended by ${end.signal}`
      : `ended with exit code ${end?.code ?? 'unknown'}`
  const detail: ErrorText = `the kernel process ${how}`
  return { cell, cause: 'kernel-ended', detail }
}

function outputOf(message: KernelMessage): CellOutput | undefined {
  const { content } = message
  if (message.type === 'stream') {
    return { output_type: 'stream', name: content.name, text: String(content.text) }
  }
  if (message.type === 'display_data' || message.type === 'execute_result') {
    return { output_type: 'display_data', data: content.data, metadata: content.metadata ?? {} }
  }
  return undefined
}

/** Adds an output; neighbouring texts of one stream become one, as notebooks keep them. */
function append(outputs: CellOutput[], output: CellOutput): void {
  const last = outputs.at(-1)
  if (output.output_type === 'stream' && last?.output_type === 'stream' && last.name === output.name) {
    outputs[outputs.length - 1] = { ...last, text: String(last.text) + String(output.text) }
    return
  }
  outputs.push(output)
}

const hintOfCompiler: ErrorText = 'Did you mean'
const noText: ErrorText = 'error without a text'

/** The kernel writes errors to standard error; the notebook format wants an error output made of that text. */
function errorFailure(outputs: CellOutput[], cell: number): NotebookFailure {
  const last = outputs.at(-1)
  const text = last?.output_type === 'stream' && last.name === 'stderr' ? String(last.text) : ''
  const lines = text.split('\n').map((line) => line.trim())
  const named = lines.map((line) => /^(?:Uncaught )?(\w*(?:Error|Refused)): (.*)$/.exec(line))
  const match = named.find((one) => one !== null)
  const hint = lines.find((line) => line.includes(hintOfCompiler))
  const first = match?.[0] ?? hint ?? lines.find((line) => line !== '') ?? noText
  const error: CellOutput = {
    output_type: 'error',
    ename: match?.[1] ?? 'Error',
    evalue: match?.[2] ?? first,
    traceback: asLines(text),
  }
  if (text === '') outputs.push(error)
  else outputs[outputs.length - 1] = error
  return { cell, cause: 'error', detail: first }
}
