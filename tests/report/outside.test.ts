import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import fc from 'fast-check'
import JSZip from 'jszip'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { type AuditResult, auditCohort } from '../../src/analysis/audit.js'
import { leastReleased, releasedOf } from '../../src/report/outside/released.js'
import { writeAuditReport } from '../../src/report/writeReport.js'
import { practice, type TestRestoration, times } from '../analysis/practice.js'

const sign = { clinic: 'ZZCLINIC', fields: { implant_system: 'ZZSYSTEM', component_system: 'ZZSYSTEM' } }

/** A practice whose names can be found again, of all that a record has. */
function signed(...restorations: readonly TestRestoration[]): AuditResult {
  return auditCohort(
    practice(restorations.map((one, i) => ({ ...sign, operator: `ZZOPERATOR${i % 3}`, ...one }))),
  )
}

const large = signed(
  ...times(80, { checks: [200, 700, 1300] }),
  ...times(12, { loose: 300, checks: [100] }),
  ...times(90, { checks: [200, 800, 1300], repeated: true }),
  ...times(9, { loose: 400, checks: [100], repeated: true }),
  ...times(30, { checks: [200, 800], repeated: 'unknown' }),
  ...times(6, { loose: 500, checks: [100], repeated: 'unknown' }),
)

describe('the numbers that leave', () => {
  test('hold no count below five, alone or as a difference of any that leave, whatever was counted', () => {
    let told = 0
    fc.assert(
      fc.property(
        fc.array(fc.nat(14), { minLength: 6, maxLength: 6 }),
        ([e1 = 0, n1 = 0, e2 = 0, n2 = 0, e3 = 0, n3 = 0]) => {
          const [events, restorations] = [e1 + e2 + e3, e1 + e2 + e3 + n1 + n2 + n3]
          const released = releasedOf({
            ...large,
            howOften: { ...large.howOften, events, restorations, patients: restorations },
            tightening: {
              ...large.tightening!,
              restorations: { group: e1 + n1, against: e2 + n2 },
              events: { group: e1, against: e2 },
            },
          })
          const groups = released.comparison?.groups ?? []
          const cells = [
            ...(released.restorations === undefined ? [] : [released.restorations]),
            ...(released.events === undefined ? [] : [events, restorations - events]),
            ...groups.flatMap((one) => [one.events, one.restorations - one.events]),
          ]
          if (groups.length > 0) {
            told++
            // Nobody is in a rest of no restorations.
            if (e3 + n3 > 0) cells.push(e3, n3)
          }
          for (const cell of cells) expect(cell).toBeGreaterThanOrEqual(leastReleased)
          if (released.comparison?.difference !== undefined) expect(groups).toHaveLength(2)
        },
      ),
      { numRuns: 2000, seed: 18 },
    )
    expect(told).toBeGreaterThan(20)
  })

  test('are no more exact than they are printed', () => {
    const { risk, comparison } = releasedOf(large)
    const all = [risk!, comparison!.difference!, ...comparison!.groups!.map((one) => one.risk!)]
    for (const one of all.flatMap(({ estimate, lower, upper }) => [estimate, lower, upper])) {
      expect(Math.abs(one * 1000 - Math.round(one * 1000))).toBeLessThan(1e-9)
    }
  })

  test('name no groups that bear names out of the records', () => {
    const { tightening } = large
    const groups = { group: 'ZZOPERATOR1', against: 'ZZOPERATOR2', by: 'operator' }
    const released = releasedOf({ ...large, tightening: { ...tightening!, groups: groups as never } })
    expect(JSON.stringify(released)).not.toContain('ZZ')
  })
})

describe('the folder that leaves', () => {
  let folder = ''
  beforeAll(async () => {
    folder = mkdtempSync(join(tmpdir(), 'outside-'))
    for (const [name, audit] of Object.entries({ large, small: signed(...times(33, { checks: [400] })) })) {
      const outDir = join(folder, name)
      await writeAuditReport(audit, { outDir, date: '2026-05-04', version: '0.1.0', outside: true })
    }
  }, 120_000)
  afterAll(() => rmSync(folder, { recursive: true, force: true }))

  test.each(['large', 'small'])(
    'holds, of the %s practice, no name, row, file or fingerprint in any file',
    async (name) => {
      const { source } = large.summary
      const forbidden = [/ZZ/, /made by a test/, />[RP]\d+</, new RegExp(source.sha256)]
      const files = readdirSync(join(folder, name), { recursive: true, withFileTypes: true }).filter((one) =>
        one.isFile(),
      )
      expect(files.length).toBeGreaterThan(5)
      for (const file of files) {
        for (const text of await textsOf(join(file.parentPath, file.name))) {
          for (const sign of forbidden) expect(sign.test(text), `${file.name}: ${sign}`).toBe(false)
        }
      }
      expect(files.map((one) => one.name)).not.toContain('supplement.html')
      expect(files.map((one) => one.name)).not.toContain('answer.json')
      const provenance = JSON.parse(readFileSync(join(folder, name, 'provenance.json'), 'utf8'))
      expect(Object.keys(provenance).sort()).toEqual(['files', 'generated', 'kind', 'made', 'software'])
    },
  )
})

/** Everything that can be read in a file: its text, or that of the parts of a Word file with their properties. */
async function textsOf(path: string): Promise<readonly string[]> {
  if (path.endsWith('.png'))
    return [
      readFileSync(path)
        .toString('latin1')
        .replace(/IDAT[\s\S]*/, ''),
    ]
  if (!path.endsWith('.docx')) return [readFileSync(path, 'utf8')]
  const zip = await JSZip.loadAsync(readFileSync(path))
  return Promise.all(
    Object.values(zip.files)
      .filter((part) => /\.(?:xml|rels)$/.test(part.name))
      .map((part) => part.async('string')),
  )
}
