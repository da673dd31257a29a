import { readFile } from 'node:fs/promises'
import { basename } from 'node:path'
import { z } from 'zod'
import { RecordError, UsageError } from '../../core/errors.js'
import { parseJson } from '../../core/jsonText.js'
import { sheetFields } from '../../vocabulary/fields.js'
import { essentialColumns } from '../understand/columnMap.js'
import { notChecked } from '../understand/visitColumns.js'

const word = z.string().max(200)

/** How a list of open questions spells that a column is not there or not used. */
export const noColumn = 'none'

const fieldNames = new Set(Object.values(sheetFields).flatMap((fields) => fields.map((one) => one.name)))
const fieldName = z.string().refine((name) => fieldNames.has(name), 'there is no field of this name')

const columnAnswers = z.strictObject({
  field: z.union([fieldName, z.null()]).optional(),
  visit: z.number().int().min(1).max(200).optional(),
  crown: z.number().int().min(1).max(32).optional(),
  checked: z.boolean().optional(),
  dateOrder: z.enum(['year-first', 'day-first', 'month-first']).optional(),
  serialDates: z.union([z.literal(1900), z.literal(1904)]).optional(),
  twoDigitYearsFrom: z.number().int().min(1900).max(2000).optional(),
  monthNames: z.boolean().optional(),
  partialDates: z.enum(['first', 'middle', 'last', 'unknown']).optional(),
  swapDates: z.boolean().optional(),
  decimalMark: z.enum(['.', ',']).optional(),
  unit: z.string().optional(),
  unitColumn: z.string().optional(),
  scheme: z.enum(['iso-3950', '1-32', 'quadrant-letters', 'plus-minus']).optional(),
  values: z.record(word, z.string()).optional(),
  fillDown: z.boolean().optional(),
  perCrown: z.boolean().optional(),
})

const sheetAnswers = z.strictObject({
  use: z.enum(['records', 'ignore']).optional(),
  rows: z.enum(['restoration', 'visit', 'patient']).optional(),
  headerRow: z.number().int().min(1).optional(),
  headerRows: z.union([z.literal(1), z.literal(2)]).optional(),
  mergedCells: z.enum(['fill', 'first']).optional(),
  hiddenRows: z.enum(['read', 'leave-out']).optional(),
  severalCrowns: z.enum(['each', 'one']).optional(),
  patient: z.string().nullable().optional(),
  delivery: z.string().nullable().optional(),
  lastCheck: z.string().nullable().optional(),
  loosening: z.string().nullable().optional(),
  tightenings: z.string().nullable().optional(),
  type: z.string().optional(),
  blankLoosening: z.enum(['never', 'unknown']).optional(),
  blankFinding: z.enum(['none', 'unknown', notChecked]).optional(),
  columns: z.record(z.string(), z.union([z.null(), fieldName, columnAnswers])).optional(),
  columnsRight: z.boolean().optional(),
  otherColumns: z.literal('not-used').optional(),
  constants: z.record(z.string(), z.string()).optional(),
  otherTightenings: z.enum(['once', 'unknown']).optional(),
  secondTightenings: z
    .union([
      z.enum(['as-told', 'row-by-row']),
      z.record(z.string(), z.union([z.number().min(0).max(1440), z.enum(['unknown', 'no'])])),
    ])
    .optional(),
})

const openQuestion = z.looseObject({ where: z.array(z.string()).min(1), answer: z.unknown() })

const answersShape = z.strictObject({
  holdfastAnswers: z.literal(1),
  sheets: z.record(z.string(), sheetAnswers).default({}),
  right: z.boolean().optional(),
  open: z.array(openQuestion).optional(),
})

/** What the interview was told about one column. */
export type ColumnAnswers = z.infer<typeof columnAnswers>

/** What the interview was told about one sheet; `*` stands for every sheet. */
export type SheetAnswers = z.infer<typeof sheetAnswers>

/** The answers of an interview, as they are saved, replayed and written by hand; see docs/intake.md. */
export interface Answers {
  readonly holdfastAnswers: 1
  readonly sheets: Readonly<Record<string, SheetAnswers>>
  readonly right?: boolean
}

/** An interview that has not begun. */
export const noAnswers: Answers = { holdfastAnswers: 1, sheets: {} }

/**
 * Reads answers from JSON text. Answers written into the list of open questions count like those in their place.
 *
 * @throws RecordError `bad-answers` where they are not as described in docs/intake.md
 */
export function parseAnswers(text: string, file: string): Answers {
  let content: unknown
  try {
    content = parseJson(text)
  } catch {
    throw badAnswers(file, 'they are no JSON')
  }
  const first = answersShape.safeParse(content)
  if (!first.success) throw badAnswers(file, issueOf(first.error))
  const { open = [], ...rest } = first.data
  const given = open.filter((one) => one.answer !== null && one.answer !== undefined)
  const merged = given.reduce(
    (answers, one) => answered(answers, one.where, isNone(one) ? null : one.answer),
    rest as Answers,
  )
  const second = answersShape.safeParse(merged)
  if (!second.success) throw badAnswers(file, issueOf(second.error))
  const { open: _none, right, ...whole } = second.data
  return right === undefined ? whole : { ...whole, right }
}

/** In the list of open questions null is no answer yet: that there is no such column is written as a word. */
function isNone({
  where,
  answer,
}: {
  readonly where: readonly string[]
  readonly answer?: unknown
}): boolean {
  const key = where[where.length - 1]!
  return answer === noColumn && (key === 'field' || (essentialColumns as readonly string[]).includes(key))
}

function issueOf(error: z.ZodError): string {
  const issue = error.issues[0]!
  return `${issue.path.join(' › ') || 'the whole'}: ${issue.message.toLowerCase()}`
}

/**
 * Reads the answers of a file.
 *
 * @throws UsageError `no-such-answers` where there is no such file
 */
export async function readAnswers(path: string): Promise<Answers> {
  const text = await readFile(path, 'utf8').catch(() => undefined)
  if (text === undefined) {
    throw new UsageError({
      code: 'no-such-answers',
      problem: `there is no file of answers at ${path}, or it may not be read.`,
      expected: 'a JSON file as holdfast map writes it.',
      mend: 'check the spelling of the path.',
    })
  }
  return parseAnswers(text, basename(path))
}

/** The same answers with one more, at its place. */
export function answered(answers: Answers, where: readonly string[], answer: unknown): Answers {
  const set = (node: unknown, path: readonly string[]): unknown => {
    if (path.length === 0) return answer
    const [key, ...rest] = path
    // A column may be answered by its field alone; what is added to it makes an object of it.
    const own = isObject(node)
      ? node
      : typeof node === 'string' && path[0] !== undefined && fieldNames.has(node)
        ? { field: node }
        : {}
    return { ...own, [key!]: set(own[key!], rest) }
  }
  return set(answers, where) as Answers
}

/** The answer at a place, undefined where none was given. */
export function answerAt(answers: Answers, where: readonly string[]): unknown {
  let node: unknown = answers
  for (const key of where) {
    // A column may be answered by the name of its field alone, or by null where it is not used.
    if (typeof node === 'string' || node === null) return key === 'field' ? node : undefined
    if (!isObject(node)) return undefined
    node = node[key]
  }
  return node
}

function isObject(node: unknown): node is Record<string, unknown> {
  return typeof node === 'object' && node !== null && !Array.isArray(node)
}

function badAnswers(file: string, what: string): RecordError {
  return new RecordError(
    {
      code: 'bad-answers',
      problem: `the answers cannot be used: ${what}.`,
      expected: 'answers as docs/intake.md describes them.',
      mend: 'put them right, or let holdfast map ask again.',
    },
    { file },
  )
}

/** The shape of a file of answers as a JSON Schema, for editors and other programs. */
export function answersSchema(): unknown {
  return z.toJSONSchema(answersShape, { io: 'input', unrepresentable: 'any' })
}
