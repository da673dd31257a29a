import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { expect, it } from 'vitest'
import { yearsInWords } from '../../src/charts/words.js'
import type { Estimate } from '../../src/core/estimate.js'
import {
  formatInterval,
  formatPercent,
  formatPValue,
  formatQuantity,
  formatRatio,
} from '../../src/core/format.js'
import type { PooledResult } from '../../src/pooling/combine.js'
import { poolRows } from '../../src/pooling/pooledRows.js'
import { agreedOn, demoRows, sitesOf, throughRounds } from './demoGroup.js'

const page = readFileSync(join(import.meta.dirname, '../../docs/pooling.md'), 'utf8')

/** Rows of a marked table of the page, without its head. */
function tableOf(name: string): readonly string[] {
  const [, after] = page.split(`<!-- grids: ${name} -->\n`)
  return after!.split('<!-- /grids -->')[0]!.trim().split('\n').slice(2)
}

const written = ({ estimate, interval }: Estimate, format: (value: number) => string): string =>
  `${formatQuantity(estimate, format)} (${formatInterval(interval, format)})`

// What grids and threshold cost on the demo clinics stands in docs/pooling.md as these computations give it.
it('what the grids cost against exact times is what the page says', async () => {
  const agreed = agreedOn()
  const rows = await demoRows(agreed)
  const sites = await sitesOf(rows, agreed)
  const counts = throughRounds(sites, agreed)
  const exact = poolRows(rows, agreed)
  const apart = sites.filter(({ made }) => !made.plan.grouping.mergeGroups).map((site) => site.rows)
  const same = poolRows(apart, agreed)
  expect(tableOf('retention')).toEqual(
    counts.overall.horizons.map(({ years, retention, retentionSpread }, h) => {
      const other = exact.overall.horizons[h]!.retention
      const cells = [retentionSpread, retention, other].map((one) => written(one, formatPercent))
      return `| ${[yearsInWords(years), ...cells].join(' | ')} |`
    }),
  )
  const line = (name: string, clinics: number, { rateRatio, logRank, model, synthesis }: PooledResult) => {
    if (model.state !== 'settled') throw new Error(model.state)
    const cells = [
      written(rateRatio, formatRatio),
      formatQuantity(logRank.pValue, formatPValue),
      written(model.hazardRatios[0]!, formatRatio),
      written(synthesis!.random, formatRatio),
    ]
    return `| ${[name, clinics, ...cells].join(' | ')} |`
  }
  expect(tableOf('comparison')).toEqual([
    line('counts', apart.length, counts),
    line('rows of the same clinics, exact times', apart.length, same),
    line('rows of all clinics, exact times', rows.length, exact),
  ])
})
