import { readdirSync, readFileSync, statSync } from 'node:fs'
import { join } from 'node:path'
import { beforeAll, describe, expect, test } from 'vitest'
import { buildCohort } from '../../src/cohort/cohort.js'
import { dayFromIso } from '../../src/core/calendar.js'
import { type FormatName, numberFormats } from '../../src/messages/numberFormats.js'
import { type AuditResult, auditCohort } from '../../src/questions/audit.js'
import { readRecords } from '../../src/records/read/readDataset.js'
import { resolvePath } from './resolvePath.js'

const root = join(import.meta.dirname, '../..')
const reports = join(root, 'reports')
const examples = readdirSync(reports).filter((name) => name.startsWith('example-'))
/** Pages of an example that hold numbers. */
const pagesOf: Readonly<Record<string, readonly string[]>> = {
  'example-audit': ['summary.html', 'report.html', 'supplement.html'],
  'example-outside': ['summary.html'],
}
const page = (name: string): string =>
  (pagesOf[name] ?? ['report.html']).map((file) => readFileSync(join(reports, name, file), 'utf8')).join('\n')

let audit: AuditResult
beforeAll(async () => {
  const records = await readRecords(join(root, 'data-demo'), { today: dayFromIso('2026-01-31')! })
  audit = auditCohort(buildCohort(records))
}, 60_000)

/** Every number of a page with its place and its rounding. */
function numbersOf(html: string): readonly (readonly [string, string, string])[] {
  return [
    ...html.matchAll(/<data value="[^"]*" data-result="([^"]*)" data-format="([^"]*)">([^<]*)<\/data>/g),
  ].map((match) => [match[1]!.replaceAll('&quot;', '"'), match[2]!, match[3]!])
}

describe('the examples', () => {
  test('are one of each kind, marked as generated, under 6 MB in all', () => {
    expect(examples).toEqual(
      ['audit', 'case-series', 'changes', 'leaflet', 'outside', 'protocol', 'study-group'].map(
        (name) => `example-${name}`,
      ),
    )
    const sizes = examples.flatMap((name) =>
      readdirSync(join(reports, name)).map((file) => statSync(join(reports, name, file)).size),
    )
    expect(sizes.reduce((sum, size) => sum + size, 0)).toBeLessThan(6e6)
    for (const name of examples.filter((one) => one !== 'example-protocol')) {
      expect(page(name), name).toContain('Generated demonstration data')
    }
  })

  test.each(['example-audit', 'example-case-series', 'example-leaflet'])(
    '%s shows the numbers of today (node scripts/exampleReports.mjs renews it)',
    (name) => {
      const numbers = numbersOf(page(name))
      expect(numbers.length).toBeGreaterThan(name === 'example-leaflet' ? 5 : 500)
      const wrong = numbers.filter(([path, format, text]) => {
        const value = resolvePath(audit, path)
        const entities = text.replaceAll('&lt;', '<')
        return typeof value !== 'number' || numberFormats[format as FormatName].text(value) !== entities
      })
      expect(wrong).toEqual([])
    },
  )
})
