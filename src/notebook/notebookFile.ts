import { readFileSync } from 'node:fs'
import { z } from 'zod'
import { UsageError } from '../core/errors.js'
import { parseJson } from '../core/jsonText.js'

const textShape = z.union([z.string(), z.array(z.string())])

const cellShape = z.looseObject({
  cell_type: z.string(),
  source: textShape,
  metadata: z.looseObject({ tags: z.array(z.string()).optional() }).optional(),
})

const notebookShape = z.looseObject({
  nbformat: z.number(),
  nbformat_minor: z.number(),
  metadata: z.looseObject({}),
  cells: z.array(cellShape),
})

/** One output of a code cell, in the notebook format 4. */
export type CellOutput = Readonly<Record<string, unknown>> & { readonly output_type: string }

/** A cell of a notebook. */
export type NotebookCell = z.infer<typeof cellShape>

/** A notebook in the open Jupyter format, version 4. */
export type Notebook = z.infer<typeof notebookShape>

/**
 * Reads a notebook.
 *
 * @throws UsageError where the file cannot be read or is no notebook of format 4
 */
export function readNotebook(path: string): Notebook {
  let content: unknown
  try {
    content = parseJson(readFileSync(path, 'utf8'))
  } catch {
    throw notANotebook(path)
  }
  const parsed = notebookShape.safeParse(content)
  if (!parsed.success || parsed.data.nbformat !== 4) throw notANotebook(path)
  return parsed.data
}

/** The source of a cell as one text. */
export function cellSource(cell: NotebookCell): string {
  return typeof cell.source === 'string' ? cell.source : cell.source.join('')
}

/** A text as the list of lines that the format keeps, each with its line end. */
export function asLines(text: string): readonly string[] {
  return text === '' ? [] : text.split(/(?<=\n)/)
}

function notANotebook(path: string): UsageError {
  return new UsageError({
    code: 'not-a-notebook',
    problem: `${path} cannot be read as a notebook.`,
    expected: 'a notebook file (.ipynb) of format 4.',
    mend: 'check the path, or save the notebook again from the editor.',
  })
}
