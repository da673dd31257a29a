import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { expect, it } from 'vitest'
import { buildCohort } from '../../src/cohort/cohort.js'
import { exposureGroups } from '../../src/cohort/definition.js'
import { dayFromIso } from '../../src/core/calendar.js'
import { formatNumber } from '../../src/core/format.js'
import { formatInterval, formatQuantity } from '../../src/messages/intervals.js'
import { labelAt } from '../../src/records/columns.js'
import { ageBandOf } from '../../src/records/identities/shareableTables.js'
import { readRecords } from '../../src/records/read/readDataset.js'
import { coxRegression } from '../../src/statistics/hazardModels/cox.js'

/** Four decimals: at two there is nothing to see. */
function four(value: number): string {
  return formatNumber(value, 4)
}

/** Middle of a band of ages. */
function middleOf(band: string): number {
  const [from, to] = band.split('-').map(Number)
  return band === '90+' ? 92 : (from! + to! + 1) / 2
}

it('the page on sharing shows what bands of age change in an adjusted estimate', async () => {
  const records = await readRecords('data-demo', { today: dayFromIso('2026-12-31')! })
  const cohort = buildCohort(records)
  const age = cohort.number('age_at_delivery_years')
  const [region, bruxism] = [cohort.category('region'), cohort.category('bruxism')]
  const group = (row: number): string => exposureGroups[cohort.exposure[row]!]!
  const rows = Array.from({ length: cohort.n }, (_, row) => row).filter(
    (row) =>
      ['single', 'repeated in the window'].includes(group(row)) &&
      !Number.isNaN(age[row]!) &&
      labelAt(region, row) !== undefined &&
      labelAt(bruxism, row) !== undefined,
  )
  const times = {
    time: Float64Array.from(rows, (row) => cohort.timeDays[row]!),
    event: Uint8Array.from(rows, (row) => (cohort.status[row] === 1 ? 1 : 0)),
  }
  const shared = {
    repeated: Float64Array.from(rows, (row) => (group(row) === 'single' ? 0 : 1)),
    region: rows.map((row) => labelAt(region, row)!),
    bruxism: rows.map((row) => labelAt(bruxism, row)!),
  }
  const ages = {
    'age left out': {},
    'age in years': { age: Float64Array.from(rows, (row) => age[row]!) },
    'age by the middle of its band': {
      age: Float64Array.from(rows, (row) => middleOf(ageBandOf(age[row]!))),
    },
  }
  const clusters = Int32Array.from(rows, (row) => cohort.patient[row]!)
  const lines = Object.entries(ages).map(([name, column]) => {
    const fit = coxRegression(times, { ...shared, ...column }, { cluster: clusters })
    const ratio = fit.hazardRatios[0]!
    return `| ${name} | ${formatQuantity(ratio.estimate, four)} (${formatInterval(ratio.interval, four)}) |`
  })
  const page = readFileSync(join(import.meta.dirname, '../../docs/records-sharing.md'), 'utf8')
  expect(lines.filter((line) => !page.includes(line))).toEqual([])
  expect(page).toContain(`(${rows.length} restorations`)
})
