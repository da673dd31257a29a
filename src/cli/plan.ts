import type { AnalysisPlan } from '../questions/plan/planFile.js'

/** The plan named on the command line; the default plan where none is. */
export async function planOf(path: string | undefined): Promise<AnalysisPlan> {
  return (await import('../notebook/openPlan.js')).openPlan(path)
}
