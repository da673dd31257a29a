import { readFile, stat } from 'node:fs/promises'
import { basename, join } from 'node:path'
import { z } from 'zod'
import { UsageError } from '../core/errors.js'
import { parseJson } from '../core/jsonText.js'
import { type Answer, answerSchema } from '../questions/answer/shape.js'
import type { AuditResult } from '../questions/audit.js'
import { resultsFormat } from './results.js'

/** Results of an audit as they stand in a folder, and the version that wrote them. */
export interface StoredAudit {
  readonly audit: AuditResult
  readonly version: string
}

/** Whether a path is the folder of a report. */
export async function isReportFolder(path: string): Promise<boolean> {
  return stat(join(path, 'results.json')).then(
    (found) => found.isFile(),
    () => false,
  )
}

const quantity = z.union([z.number(), z.looseObject({ state: z.string() })])
const estimate = z.looseObject({
  estimate: quantity,
  interval: z.looseObject({ lower: quantity, upper: quantity }),
})

/** As much of the shape of results as is read here; what they hold beyond it is let through. */
const shape = z.looseObject({
  definition: z.looseObject({
    endpoint: z.string(),
    restorationTypes: z.array(z.string()),
    recallIntervalDays: z.number(),
    waitWindowMinutes: z.looseObject({ from: z.number(), to: z.number() }),
  }),
  settings: z.looseObject({ level: z.number(), horizonsYears: z.array(z.number()) }),
  summary: z.looseObject({
    source: z.looseObject({ title: z.string(), sha256: z.string(), generated: z.boolean() }),
    clinics: z.array(z.string()),
    operators: z.number(),
    neverChecked: z.number(),
    deliveryYears: z.looseObject({ first: z.number(), last: z.number() }),
    attrition: z.looseObject({ rowsRead: z.number() }),
    quality: z.looseObject({
      rows: z.looseObject({ restorations: z.looseObject({ setAside: z.number() }) }),
      problems: z.array(z.looseObject({ code: z.string(), problem: z.string(), count: z.number() })),
      completeness: z.array(
        z.looseObject({ table: z.string(), field: z.string(), known: z.number(), unknown: z.number() }),
      ),
    }),
  }),
  incidence: z.looseObject({
    overall: z.looseObject({
      restorations: z.number(),
      patients: z.number(),
      events: z.number(),
      competingEvents: z.number(),
      restorationYears: z.number(),
      medianFollowUpYears: estimate,
      proportion: estimate,
      ratePer100Years: estimate,
      horizons: z.array(z.looseObject({ years: z.number(), risk: estimate })),
    }),
  }),
  tightening: z
    .looseObject({
      verdict: z.string(),
      events: z.looseObject({ group: z.number(), against: z.number() }),
      restorations: z.looseObject({ group: z.number(), against: z.number() }),
    })
    .optional(),
})

/**
 * Reads the results of an audit back from the folder of its report.
 *
 * @throws UsageError `not-results` where results.json is no JSON or not of the shape of an audit; `other-format` where
 *   it is marked as another format or kind
 */
export async function readAuditResults(folder: string): Promise<StoredAudit> {
  const name = basename(folder)
  let content: unknown
  try {
    content = parseJson(await readFile(join(folder, 'results.json'), 'utf8'))
  } catch {
    throw notResults(name, 'its results.json cannot be read as JSON')
  }
  const mark = (content ?? {}) as { format?: unknown; kind?: unknown; version?: unknown }
  if (mark.format !== resultsFormat) throw otherFormat(name, `format ${shown(mark.format)}`)
  if (!['audit', 'case-series', 'leaflet'].includes(String(mark.kind))) {
    throw otherFormat(name, `kind ${shown(mark.kind)}`)
  }
  const { success, error } = shape.safeParse(content)
  if (!success) {
    const places = error.issues.slice(0, 3).map(({ path }) => path.join('.'))
    throw notResults(name, `its results.json lacks what an audit holds (${places.join('; ')})`)
  }
  const answer = await storedAnswer(folder, name)
  return {
    audit: { ...(content as AuditResult), ...(answer === undefined ? {} : { answer }) },
    version: typeof mark.version === 'string' ? mark.version : 'unknown',
  }
}

const answerShape = z.looseObject({
  schema: z.literal(answerSchema),
  howOften: z.looseObject({ verdict: z.enum(['estimate', 'none-seen', 'withheld']) }),
})

/** The answer that stands beside the results; undefined in folders that were written before there was one. */
async function storedAnswer(folder: string, name: string): Promise<Answer | undefined> {
  let text: string
  try {
    text = await readFile(join(folder, 'answer.json'), 'utf8')
  } catch {
    return undefined
  }
  try {
    return answerShape.parse(parseJson(text)) as unknown as Answer
  } catch {
    throw notResults(name, 'its answer.json is none of this version')
  }
}

/** A mark as it may be shown: a short word, or that there is none. */
function shown(mark: unknown): string {
  return typeof mark === 'string' && /^[a-z0-9-]{1,40}$/.test(mark) ? mark : 'unknown'
}

function otherFormat(folder: string, found: string): UsageError {
  return new UsageError({
    code: 'other-format',
    problem: `the report in ${folder} is of ${found}.`,
    expected: `the report of an audit, marked ${resultsFormat}.`,
    mend: 'name the folder of an audit report, or the data set itself, which is then audited anew.',
  })
}

function notResults(folder: string, what: string): UsageError {
  return new UsageError({
    code: 'not-results',
    problem: `the report in ${folder} cannot be compared: ${what}.`,
    expected: 'a folder as holdfast audit writes it.',
    mend: 'write the report again, or name the data set itself, which is then audited anew.',
  })
}
