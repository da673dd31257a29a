/** One run of the road over generated data, as `holdfast audit` takes it; prints its stages as JSON. */
import { join } from 'node:path'

const [folder, restorations] = [process.argv[2], Number(process.argv[3])]
const { writeDemo } = await import('../dist/demo/writeDemo.js')
const { demoSettings } = await import('../dist/demo/settings.js')
await writeDemo(folder, demoSettings(restorations === 0 ? {} : { restorations }))

const seconds = []
async function stage(name, work) {
  const start = performance.now()
  const result = await work()
  seconds.push([name, (performance.now() - start) / 1000])
  return result
}

const modules = await stage('load', async () => ({
  ...(await import('../dist/records/read/readDataset.js')),
  ...(await import('../dist/cohort/cohort.js')),
  ...(await import('../dist/questions/audit.js')),
  ...(await import('../dist/questions/plan/settings.js')),
  ...(await import('../dist/documents/formats/drawAhead.js')),
  ...(await import('../dist/documents/writeReport.js')),
  ...(await import('../dist/charts/pictureDrawer.js')),
}))
const drawer = modules.openPictureDrawer()
const records = await stage('read', () => modules.readRecords(folder, { today: 20_650 }))
const cohort = await stage('cohort', () => modules.buildCohort(records))
const result = await stage('analyse', () => {
  const described = modules.describedCohort(cohort, modules.defaultSettings)
  modules.drawAhead(described, drawer)
  return modules.completedAudit(cohort, described)
})
await stage('report', () =>
  modules.writeAuditReport(result, {
    outDir: join(folder, 'report'),
    date: '2026-01-31',
    version: 'bench',
    formats: ['markdown'],
    drawer,
  }),
)
await drawer.close()
console.log(
  JSON.stringify({
    restorations: records.restorations.rowCount,
    seconds,
    peakMegabytes: Math.round(process.resourceUsage().maxRSS / 1024),
  }),
)
