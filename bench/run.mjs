/**
 *   npm run bench                          everything below, in moderate sizes
 *   npm run bench -- road                  from records to report, stage by stage
 *   npm run bench -- road --before DIR     the whole command in pairs with a built version before, and how cost grows:
 *                                          options in bench/roadPairs.mjs
 *   npm run bench -- records               a million rows read, checked and made into a cohort
 *   npm run bench -- estimators [--full]   the estimators, beside R where it is installed
 *   npm run bench -- regression            regressions and imputation
 *   npm run bench -- clinics                a report for each of a hundred practices; only where it is named
 *   npm run bench -- registry              ten million restorations to the numbers of a message; only where it is named
 */
import { cpus } from 'node:os'

const words = process.argv.slice(2)
const firstOption = words.findIndex((word) => word.startsWith('--'))
const wanted = firstOption < 0 ? words : words.slice(0, firstOption)
const asked = (name) => wanted.length === 0 || wanted.includes(name)

console.log(`Node ${process.version}, ${cpus().length} cores (${cpus()[0]?.model ?? 'unknown'})`)
if (asked('road')) {
  const { timeRoad } = await import('./road.mjs')
  await timeRoad(words)
}
if (asked('records')) {
  const { timeRecords } = await import('./records.mjs')
  await timeRecords()
}
if (asked('estimators')) {
  const { timeEstimators, versionOfR } = await import('./estimators.mjs')
  console.log(`\n${versionOfR()}`)
  timeEstimators(words.includes('--full'))
}
if (asked('regression')) {
  const { timeRegressions } = await import('./regression.mjs')
  timeRegressions()
}
if (wanted.includes('clinics')) {
  const { timeClinics } = await import('./clinics.mjs')
  timeClinics()
}
if (wanted.includes('registry')) {
  const { timeRegistry } = await import('./registry.mjs')
  await timeRegistry()
}
