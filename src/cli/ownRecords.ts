import type { Cohort } from '../cohort/cohort.js'
import type { AnalysisSettings } from '../questions/plan/settings.js'
import { planOf } from './plan.js'
import { announce } from './progress.js'
import { throughDoor } from './throughDoor.js'

/** Reads the records of a practice into a cohort by a plan, with the settings that the plan asks for. */
export async function ownRecords(
  dataset: string,
  options: { readonly today: number; readonly plan?: string; readonly setAside?: readonly string[] },
): Promise<{ readonly cohort: Cohort; readonly settings: AnalysisSettings }> {
  const [{ readRecords }, { buildCohort }, { plannedDefinition }, { plannedSettings }] = await Promise.all([
    import('../records/read/readDataset.js'),
    import('../cohort/cohort.js'),
    import('../questions/plan/planFile.js'),
    import('../questions/plan/settings.js'),
  ])
  const plan = await planOf(options.plan)
  const records = await throughDoor(dataset, (door) =>
    readRecords(dataset, {
      today: options.today,
      setAside: options.setAside ?? [],
      door,
      onProgress: (share) => announce('reading', share),
    }),
  )
  announce('computing')
  return { cohort: buildCohort(records, plannedDefinition(plan)), settings: plannedSettings(plan) }
}
