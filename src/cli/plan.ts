import { readFile } from 'node:fs/promises'
import { basename } from 'node:path'
import type { AnalysisPlan } from '../analysis/planFile.js'
import { UsageError } from '../core/errors.js'

/** The plan named on the command line; the default plan where none is. */
export async function planOf(path: string | undefined): Promise<AnalysisPlan> {
  const { defaultPlan, parsePlan } = await import('../analysis/planFile.js')
  if (path === undefined) return defaultPlan
  let text: string
  try {
    text = await readFile(path, 'utf8')
  } catch {
    throw new UsageError({
      code: 'no-plan-file',
      problem: `the plan ${basename(path)} cannot be read.`,
      expected: 'a file of JSON, as docs/plan.md describes it.',
      mend: 'check the path, or leave --plan out for the default plan.',
    })
  }
  return parsePlan(text)
}
