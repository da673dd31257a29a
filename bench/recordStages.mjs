/** One run of reading, checking and the cohort over a file; prints its stages as JSON. */
import { buildCohort } from '../dist/cohort/cohort.js'
import { readRecords } from '../dist/records/read/readDataset.js'

const start = performance.now()
const records = await readRecords(process.argv[2], { today: 20_650 })
const read = performance.now()
const cohort = buildCohort(records)
const made = performance.now()
console.log(
  JSON.stringify({
    rows: records.restorations.rowCount,
    cohort: cohort.n,
    seconds: [
      ['read, check', (read - start) / 1000],
      ['cohort', (made - read) / 1000],
    ],
    peakMegabytes: Math.round(process.resourceUsage().maxRSS / 1024),
  }),
)
