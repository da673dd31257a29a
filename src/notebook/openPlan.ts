import { readFile } from 'node:fs/promises'
import { basename } from 'node:path'
import { UsageError } from '../core/errors.js'
import { type AnalysisPlan, defaultPlan, parsePlan } from '../questions/plan/planFile.js'

/**
 * The plan of a file, written before results; that of the toolkit, which carries no day, where no file is named.
 *
 * @param path file of JSON, as docs/plan.md describes it; relative to the folder of the notebook
 * @throws UsageError `no-plan-file`, `plan-not-json`, `bad-plan`
 * @example (await openPlan()).source // => "default"
 */
export async function openPlan(path = ''): Promise<AnalysisPlan> {
  if (path === '') return defaultPlan
  let text: string
  try {
    text = await readFile(path, 'utf8')
  } catch {
    throw new UsageError({
      code: 'no-plan-file',
      problem: `the plan ${basename(path)} cannot be read.`,
      expected: 'a file of JSON, as docs/plan.md describes it.',
      mend: 'check the path, or name none for the default plan.',
    })
  }
  return parsePlan(text)
}
