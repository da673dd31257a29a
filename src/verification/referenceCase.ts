import { readdirSync, readFileSync, statSync } from 'node:fs'
import { join } from 'node:path'
import { parse } from 'csv-parse/sync'
import { z } from 'zod'
import { UsageError } from '../core/errors.js'
import { parseJson } from '../core/jsonText.js'

/** Computes what a reference case expects, as plain nested values under the same keys as `expected`. */
export type ReferenceMethod = (reference: ReferenceCase) => unknown

const toleranceShape = z.object({ rel: z.number().optional(), abs: z.number().optional() })

const caseShape = z.object({
  id: z.string(),
  kind: z.string(),
  method: z.string().optional(),
  data: z.unknown().optional(),
  csv: z.string().optional(),
  options: z.record(z.string(), z.unknown()).nullish(),
  expected: z.unknown(),
  tolerance: toleranceShape.extend({ fields: z.record(z.string(), toleranceShape).optional() }).optional(),
  source: z.string().optional(),
  correct_tool_must: z.union([z.string(), z.array(z.string())]).optional(),
})

const topicShape = z.object({ cases: z.array(caseShape) })

/** How far a computed value may lie from the reference: |difference| ≤ abs + rel · |expected|. */
export type Tolerance = NonNullable<z.infer<typeof caseShape>['tolerance']>

/** One column-oriented table of a CSV file; empty fields are undefined. */
export interface ReferenceTable {
  readonly names: readonly string[]
  readonly rowCount: number
  /** Column of numbers, missing fields as NaN; throws where the column is absent or not numeric. */
  numbers(name: string): Float64Array
  /** Column as texts, missing fields as empty text. */
  texts(name: string): readonly string[]
  /** Whether every present field of the column is a number. */
  isNumeric(name: string): boolean
}

/** One reference case of a topic file, in the format of tests/reference/README.md. */
export interface ReferenceCase {
  readonly topic: string
  readonly id: string
  readonly kind: string
  readonly method: string
  /** Inline data as the file gives them; an empty object where there are none. */
  readonly data: Readonly<Record<string, unknown>>
  readonly options: Readonly<Record<string, unknown>>
  readonly expected: unknown
  readonly tolerance: Tolerance
  readonly source: string
  /** Behaviour that awkward data require; takes precedence over numbers. */
  readonly requiredBehaviour: string | undefined
  /** The CSV that the case names; throws where it names none. */
  table(): ReferenceTable
}

/**
 * Reads every topic file of a folder of reference cases.
 *
 * @param folder folder with one JSON file per topic and the CSV files that they name
 * @throws UsageError where the folder or a file cannot be read, or a file is not a topic file
 */
export function readReferenceCases(folder: string): readonly ReferenceCase[] {
  const files = topicFiles(folder)
  if (files.length === 0) {
    throw new UsageError({
      code: 'no-reference-cases',
      problem: `${folder} holds no topic file.`,
      expected: 'a folder with one JSON file of reference cases per topic.',
      mend: 'give the folder that holds the JSON files.',
    })
  }
  return files.flatMap((file) => readTopic(folder, file))
}

function topicFiles(folder: string): readonly string[] {
  try {
    if (!statSync(folder).isDirectory()) throw new Error('not a folder')
    return readdirSync(folder)
      .filter((name) => name.endsWith('.json'))
      .sort()
  } catch {
    throw new UsageError({
      code: 'unreadable-folder',
      problem: `${folder} cannot be read as a folder.`,
      expected: 'a folder of reference cases.',
      mend: 'check the path.',
    })
  }
}

function readTopic(folder: string, file: string): readonly ReferenceCase[] {
  const parsed = topicShape.safeParse(parsedJson(join(folder, file), file))
  if (!parsed.success) {
    const issue = parsed.error.issues[0]
    throw new UsageError({
      code: 'not-a-topic-file',
      problem: `${file} is not a file of reference cases (${issue?.path.join('.')}: ${issue?.message}).`,
      expected: 'an object with a list "cases", each with id, kind and expected.',
      mend: 'correct the file or take it out of the folder.',
    })
  }
  const topic = file.replace(/\.json$/, '')
  return parsed.data.cases.map((one) => referenceCase(folder, topic, one))
}

function referenceCase(folder: string, topic: string, one: z.infer<typeof caseShape>): ReferenceCase {
  const must = one.correct_tool_must
  return {
    topic,
    id: one.id,
    kind: one.kind,
    method: one.method ?? '',
    data: isObject(one.data) ? one.data : {},
    options: one.options ?? {},
    expected: one.expected,
    tolerance: one.tolerance ?? { rel: 1e-8, abs: 1e-10 },
    source: one.source ?? '',
    requiredBehaviour: Array.isArray(must) ? must.join('; ') : must,
    table: () => readTable(folder, one.csv, one.id),
  }
}

function parsedJson(path: string, file: string): unknown {
  try {
    return parseJson(readFileSync(path, 'utf8'))
  } catch {
    throw new UsageError({
      code: 'not-json',
      problem: `${file} is not readable JSON.`,
      expected: 'a JSON file of reference cases.',
      mend: 'correct the file or take it out of the folder.',
    })
  }
}

function readTable(folder: string, csv: string | undefined, id: string): ReferenceTable {
  if (csv === undefined) {
    throw new UsageError({
      code: 'case-without-table',
      problem: `case ${id} names no CSV file.`,
      expected: 'a field "csv" with a path relative to the folder.',
      mend: 'add the path to the case.',
    })
  }
  const rows = parse(readFileSync(join(folder, csv), 'utf8'), {
    skip_empty_lines: true,
    bom: true,
  }) as string[][]
  const names = rows[0] ?? []
  const body = rows.slice(1)
  const textsOf = (name: string): string[] => {
    const position = names.indexOf(name)
    if (position < 0) {
      throw new UsageError({
        code: 'missing-column',
        problem: `${csv} has no column ${name}, which case ${id} names.`,
        expected: `one of ${names.join(', ')}.`,
        mend: 'correct the case or the table.',
      })
    }
    return body.map((row) => row[position] ?? '')
  }
  const missing = (text: string): boolean => text === '' || text === 'NA'
  return {
    names,
    rowCount: body.length,
    numbers: (name) =>
      Float64Array.from(textsOf(name), (text) => (missing(text) ? Number.NaN : Number(text))),
    texts: (name) => textsOf(name).map((text) => (missing(text) ? '' : text)),
    isNumeric: (name) => textsOf(name).every((text) => missing(text) || Number.isFinite(Number(text))),
  }
}

/** Rows that `options.subset` keeps: an object of columns, each with a value or a list of values. */
export function rowsOf(table: ReferenceTable, subset: unknown, id: string): ReferenceTable {
  if (subset === undefined || subset === null) return table
  const wanted = subsetColumns(subset, id)
  const columns = wanted.map(([name, values]) => [table.texts(name), new Set(values.map(String))] as const)
  const kept = Array.from({ length: table.rowCount }, (_one, row) => row).filter((row) =>
    columns.every(([texts, values]) => values.has(texts[row]!)),
  )
  return {
    names: table.names,
    rowCount: kept.length,
    numbers: (name) => {
      const column = table.numbers(name)
      return Float64Array.from(kept, (row) => column[row]!)
    },
    texts: (name) => {
      const column = table.texts(name)
      return kept.map((row) => column[row]!)
    },
    isNumeric: (name) => {
      const column = table.texts(name)
      return kept.every((row) => column[row] === '' || Number.isFinite(Number(column[row])))
    },
  }
}

function subsetColumns(subset: unknown, id: string): readonly (readonly [string, readonly unknown[]])[] {
  if (isObject(subset)) {
    return Object.entries(subset).map(([name, value]) => [name, Array.isArray(value) ? value : [value]])
  }
  const [name, value] = String(subset).split(/\s*==?\s*/)
  if (name !== undefined && value !== undefined) {
    return [[name.trim(), value.split(',').map((one) => one.trim().replace(/^["']|["']$/g, ''))]]
  }
  throw new UsageError({
    code: 'unreadable-subset',
    problem: `case ${id} has a subset that names no column and value.`,
    expected: 'an object such as {"sex": 1} or {"month": [5, 8]}, or a text such as "sex=1".',
    mend: 'write the subset so.',
  })
}

function isObject(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null && !Array.isArray(value)
}
