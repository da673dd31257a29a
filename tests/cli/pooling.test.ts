import { execFile } from 'node:child_process'
import {
  cpSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { z } from 'zod'
import { exampleProtocol, readProtocol } from '../../src/pooling/protocol.js'
import { agreedOn, demoRows, sitesOf, throughRounds } from '../pooling/demoGroup.js'
import { type Ended, root, runHoldfast } from './runHoldfast.js'

const demo = join(root, 'data-demo')
const scratch = mkdtempSync(join(tmpdir(), 'pooling-'))
const at = (...parts: readonly string[]): string => join(scratch, ...parts)
afterAll(() => rmSync(scratch, { recursive: true, force: true }))

/** Runs the built command in the scratch folder. */
function holdfast(words: readonly string[], environment: Record<string, string> = {}): Promise<Ended> {
  return runHoldfast(scratch, words, environment)
}

const tables = ['restorations.csv', 'tightenings.csv', 'visits.csv']
const schemaOf = (name: string) =>
  z.fromJSONSchema(JSON.parse(readFileSync(join(root, 'docs/schema', name), 'utf8')))
const json = (path: string): Record<string, unknown> => JSON.parse(readFileSync(path, 'utf8'))
const date = ['--date', '2026-01-31']
const group = ['--protocol', 'group.json']
const share = (out: string, more: readonly string[] = [], environment = {}): Promise<Ended> =>
  holdfast(['share', 'practice', ...group, '--out', out, ...date, ...more], environment)
const pool = (folder: string, out: string, more: readonly string[] = [], environment = {}): Promise<Ended> =>
  holdfast(['pool', folder, ...group, '--out', out, '--formats', 'none', ...date, ...more], environment)
const summariesIn = (folder: string): readonly string[] =>
  readdirSync(at(folder)).filter((name) => name.endsWith('-release-1.json'))

let shared: Ended
beforeAll(async () => {
  mkdirSync(at('practice'))
  for (const name of tables) cpSync(join(demo, name), at('practice', name))
  writeFileSync(at('group.json'), (await holdfast(['pool', '--example-protocol'])).stdout)
  writeFileSync(at('keyed.json'), JSON.stringify({ ...exampleProtocol, keyed: true }))
  shared = await share('sent')
}, 60_000)

describe('holdfast share', () => {
  it('writes a summary that the published schema describes, and a page, for each clinic', () => {
    expect(shared).toMatchObject({ code: 0, stderr: '' })
    const schema = schemaOf('site-summary.schema.json')
    expect(summariesIn('sent')).toHaveLength(5)
    for (const name of summariesIn('sent')) {
      expect(schema.safeParse(json(at('sent', name))).error).toBeUndefined()
      expect(existsSync(at('sent', name.replace('.json', '-what-leaves.html')))).toBe(true)
    }
  })

  it('lets no pseudonym, no key and no hash of a patient or restoration out', () => {
    const log = json(at('practice.share-log.json')) as unknown as {
      salt: string
      releases: { rows: { row: string; patient: string }[] }[]
    }
    const secrets = new Set([
      log.salt,
      ...log.releases.flatMap(({ rows }) => rows.flatMap(({ row, patient }) => [row, patient])),
    ])
    const key = readFileSync(at('practice', 'holdfast-key.json'), 'utf8')
    const clinics = summariesIn('sent').map((name) => name.split('-')[0]!)
    const pseudonyms = [...key.matchAll(/"([A-Z][0-9A-Z]{7})"/g)]
      .map((found) => found[1]!)
      .filter((one) => !clinics.includes(one))
    expect(pseudonyms.length).toBeGreaterThan(1000)
    for (const name of readdirSync(at('sent'))) {
      const text = readFileSync(at('sent', name), 'utf8')
      const words = new Set(text.match(/[0-9A-Za-z]{8,}/g))
      expect([...secrets, ...pseudonyms].filter((secret) => words.has(secret))).toEqual([])
    }
    expect(statSync(at('practice.share-log.json')).mode & 0o077).toBe(0)
  })

  it('shows every number of the tables on the page', () => {
    for (const name of summariesIn('sent')) {
      const { blocks } = json(at('sent', name)) as unknown as {
        blocks: { groups: Record<string, number[]>[] }[]
      }
      const page = readFileSync(at('sent', name.replace('.json', '-what-leaves.html')), 'utf8')
      const shown = new Set(page.match(/\d[\d,]*/g)!.map((text) => Number(text.replaceAll(',', ''))))
      const counts = blocks.flatMap(({ groups }) =>
        groups.flatMap((table) =>
          Object.values(table).flatMap((column) => (Array.isArray(column) ? column : [])),
        ),
      )
      expect(counts.filter((count) => !shown.has(count))).toEqual([])
    }
  })

  it('gives the same files again from unchanged records, and refuses a release that shows one change', async () => {
    const again = await share('again')
    expect(again.code).toBe(0)
    for (const name of readdirSync(at('sent')))
      expect(readFileSync(at('again', name), 'utf8')).toBe(readFileSync(at('sent', name), 'utf8'))
    const changed = await withOneMoreEvent(readFileSync(at('practice', 'visits.csv'), 'utf8'))
    mkdirSync(at('corrected'))
    for (const name of tables) cpSync(at('practice', name), at('corrected', name))
    cpSync(at('practice', 'holdfast-key.json'), at('corrected', 'holdfast-key.json'))
    cpSync(at('practice.share-log.json'), at('corrected.share-log.json'))
    writeFileSync(at('corrected', 'visits.csv'), changed)
    const corrected = await holdfast(['share', 'corrected', ...group, '--out', 'second', ...date])
    expect(corrected.code).toBe(1)
    expect(corrected.stderr).toContain('this one would show what changed in fewer than 5 patients')
    expect(corrected.stderr).toContain('Mend: leave the earlier release in use until')
    expect(readdirSync(at('second')).filter((name) => name.includes('release-2'))).toEqual([])
  }, 60_000)

  it('refuses what cannot be shared, with the mend, and leaves nothing behind', async () => {
    writeFileSync(at('strict.json'), JSON.stringify({ ...exampleProtocol, threshold: 100 }))
    const words = ['share', 'practice', '--protocol', 'strict.json', '--out', 'none', '--log', 'none.json']
    const ended = await holdfast([...words, ...date])
    expect(ended.code).toBe(1)
    expect(ended.stderr).toBe(
      'even with all groups, strata and times put together, some count rests on fewer than 100 patients. Expected: no patient, or at least 100 patients, behind every count that leaves the practice. Mend: wait until more patients have been seen, or join records with another clinic before sharing.\n',
    )
    expect([existsSync(at('none')), existsSync(at('none.json'))]).toEqual([false, false])
  }, 30_000)

  it.each([
    [['share', 'practice', '--protocol', 'group.json'], 2, 'no folder was named for what is sent'],
    [['share', 'nowhere', '--protocol', 'group.json', '--out', 'x'], 2, 'nowhere'],
    [['share', 'practice', '--protocol', 'absent.json', '--out', 'x'], 2, 'absent.json is not there'],
    [['share', 'practice', '--protocol', 'keyed.json', '--out', 'x'], 2, 'HOLDFAST_GROUP_KEY'],
    [['share', 'practice', '--protocol', 'practice/visits.csv', '--out', 'x'], 2, 'it is not JSON'],
    [['pool', 'sent', '--protocol', 'group.json'], 2, 'where to write was not named'],
    [['pool', '--protocol', 'group.json', '--out', 'x'], 2, 'what the sites sent was not named'],
    [['pool', 'absent', '--protocol', 'group.json', '--out', 'x'], 2, 'absent is not there'],
  ])(
    '%s is refused with code %i',
    async (words, code, text) => {
      const ended = await holdfast(words)
      expect(ended.stderr).toContain(text)
      expect(ended.code).toBe(code)
      expect(existsSync(at('x'))).toBe(false)
    },
    30_000,
  )
})

describe('holdfast pool', () => {
  it('goes through the rounds to the hazard ratio that the rows give, and writes all that it says', async () => {
    let last = await pool('sent', 'study')
    for (let round = 1; last.stdout.includes('Next request'); round++) {
      const request = ['--round', `study/rounds/request-${round}.json`]
      expect((await share('sent', request)).code).toBe(0)
      last = await pool('sent', 'study')
    }
    const results = json(at('study/report/results.json'))
    const agreed = agreedOn()
    const expected = throughRounds(await sitesOf(await demoRows(agreed), agreed), agreed)
    if (expected.model.state !== 'settled') throw new Error(expected.model.state)
    const found = results as unknown as typeof expected
    if (found.model.state !== 'settled') throw new Error(found.model.state)
    const [own, other] = [found.model.hazardRatios[0]!, expected.model.hazardRatios[0]!]
    expect(own.estimate).toBeCloseTo(other.estimate as number, 9)
    expect(own.standardError!.value).toBeCloseTo(other.standardError!.value, 9)
    expect(found.rateRatio.estimate).toBeCloseTo(expected.rateRatio.estimate as number, 9)
    expect(schemaOf('results.schema.json').safeParse(results).error?.issues.slice(0, 3)).toBeUndefined()
    expect(readdirSync(at('study/for-sites'))).toHaveLength(5)
    const request = json(at('study/rounds/request-1.json'))
    expect(schemaOf('round-request.schema.json').safeParse(request).success).toBe(true)
    const answer = readdirSync(at('sent')).find((name) => name.endsWith('-answer-1.json'))!
    const page = readFileSync(at('sent', answer.replace('.json', '-what-leaves.html')), 'utf8')
    expect(page).toContain('What leaves this practice with the answer to a round')
    expect(schemaOf('round-answer.schema.json').safeParse(json(at('sent', answer))).success).toBe(true)
  }, 90_000)

  it('leaves a clinic out that dropped out, its page too, and knows its name', async () => {
    const [gone] = summariesIn('sent').map((name) => name.split('-')[0]!)
    const ended = await pool('sent', 'study', ['--without', gone!])
    expect(ended.code).toBe(0)
    expect(readdirSync(at('study/for-sites'))).toHaveLength(4)
    expect(readFileSync(at('study/report/report.html'), 'utf8')).not.toContain(gone)
    const unknown = await pool('sent', 'study', ['--without', 'nobody'])
    expect(unknown).toMatchObject({ code: 2 })
    expect(unknown.stderr).toContain('--without names nobody, and nothing came from it')
  }, 60_000)

  it('refuses damaged, foreign, outdated, doubled and private files by name, and writes nothing', async () => {
    const [first] = summariesIn('sent')
    const text = readFileSync(at('sent', first!), 'utf8')
    const bad: readonly [string, string, string, number][] = [
      ['damaged', text.replace('"release": 1', '"release": 3'), 'its checksum does not fit its content', 1],
      ['cut', text.slice(0, 500), 'it is not JSON', 1],
      ['foreign', '{"some": "file"}', 'it is no site summary', 1],
      ['outdated', text.replace('site-summary-1', 'site-summary-0'), 'by another version of the toolkit', 1],
      ['twice', text, 'the same summary was given twice', 2],
      ['log', readFileSync(at('practice.share-log.json'), 'utf8'), 'has to stay in the practice', 1],
    ]
    for (const [name, content, message, code] of bad) {
      mkdirSync(at(name))
      cpSync(at('sent', first!), at(name, first!))
      writeFileSync(at(name, `${name}.json`), content)
      const ended = await pool(name, 'refused')
      expect(ended.stderr).toContain(message)
      expect(ended.code).toBe(code)
      expect(existsSync(at('refused'))).toBe(false)
    }
    const skipped = await pool('damaged', 'skipped', ['--skip-refused'])
    expect(skipped.code).toBe(0)
    expect(skipped.stderr).toContain('Not used: damaged/damaged.json: ')
  }, 90_000)

  it('refuses files without the seal of the group, or edited, where there is a key', async () => {
    const keyed = ['--protocol', 'keyed.json']
    writeFileSync(at('key.txt'), 'a key that nobody can guess\n')
    const words = ['share', 'practice', ...keyed, '--out', 'sealed', '--log', 'sealed-log.json', ...date]
    const sealed = await holdfast([...words, '--group-key', 'key.txt'])
    expect(sealed.code).toBe(0)
    const run = (environment = {}, more: readonly string[] = []) =>
      holdfast(['pool', 'sealed', ...keyed, '--out', 'y', '--formats', 'none', ...more], environment)
    expect((await run()).stderr).toContain('--group-key and the file of the key')
    const other = await run({ HOLDFAST_GROUP_KEY: 'another key of the same length' })
    expect(other.code).toBe(1)
    expect(other.stderr).toContain('its seal does not fit its content and the key of the group')
    expect((await run({ HOLDFAST_GROUP_KEY: 'short' })).stderr).toContain('shorter than 16 characters')
    expect(existsSync(at('y'))).toBe(false)
    expect((await run({ HOLDFAST_GROUP_KEY: 'a key that nobody can guess' })).code).toBe(0)
  }, 90_000)

  it('takes a second release of records that have grown, and lists the first as replaced', async () => {
    mkdirSync(at('grown'))
    for (const name of tables) {
      const lines = readFileSync(at('practice', name), 'utf8').trimEnd().split('\n')
      // Every patient again under another name: twice as many of everything.
      const again = lines.slice(1).map((line) => line.replace(/\bP(\d{4})/g, 'Q$1'))
      writeFileSync(at('grown', name), `${[...lines, ...again].join('\n')}\n`)
    }
    cpSync(at('practice', 'holdfast-key.json'), at('grown', 'holdfast-key.json'))
    cpSync(at('practice.share-log.json'), at('grown.share-log.json'))
    const shared = await holdfast(['share', 'grown', ...group, '--out', 'later', ...date])
    expect(shared.stdout).toContain('-release-2.json')
    const ended = await holdfast([
      ...['pool', 'sent', 'later', ...group, '--out', 'both', '--formats', 'none', ...date],
    ])
    expect(ended.code).toBe(0)
    const { replaced, sites } = json(at('both/report/results.json')) as unknown as {
      replaced: { release: number; by: number }[]
      sites: { release: number; restorations: number }[]
    }
    const second = readdirSync(at('later')).filter((name) => name.endsWith('-release-2.json'))
    expect(second.length).toBeGreaterThan(0)
    expect(replaced).toEqual(second.map(() => expect.objectContaining({ release: 1, by: 2 })))
    expect(sites.filter(({ release }) => release === 2)).toHaveLength(second.length)
  }, 60_000)

  it('does not answer a round for records without their log', async () => {
    const words = ['--round', 'study/rounds/request-1.json', '--log', 'lost.json']
    const ended = await share('late', words)
    expect(ended.code).toBe(1)
    expect(ended.stderr).toContain('the records do not give the release again that the request rests on')
    expect([existsSync(at('late')), existsSync(at('lost.json'))]).toEqual([false, false])
  }, 30_000)
})

describe('holdfast share --sql', () => {
  it('shares a file of rows at risk, answers a round, and prints the query', async () => {
    const head = 'clinic_id,restoration_id,patient_id,time_days,status,exposure,region,sex,bruxism'
    const rows = Array.from({ length: 600 }, (_one, i) =>
      [
        'registry_A',
        `R${i}`,
        `P${i % 400}`,
        (i * 37) % 2500,
        i % 6 === 0 ? 'endpoint' : 'censored',
        i % 2 === 0 ? 'single' : 'repeated in the window',
        ['anterior', 'premolar', 'molar'][i % 3],
        ['female', 'male'][(i >> 2) % 2],
        'none',
      ].join(),
    )
    writeFileSync(at('registry.csv'), `${[head, ...rows].join('\n')}\n`)
    const words = ['share', 'registry.csv', '--sql', ...group, '--out', 'by-sql', ...date]
    expect(await holdfast(words)).toMatchObject({ code: 0, stderr: '' })
    const name = 'registry_A-release-1.json'
    const schema = schemaOf('site-summary.schema.json')
    expect(schema.safeParse(json(at('by-sql', name))).error).toBeUndefined()
    expect((await pool('by-sql', 'of-registry')).code).toBe(0)
    const answered = await holdfast([...words, '--round', 'of-registry/rounds/request-1.json'])
    expect(answered.stdout).toContain('registry_A-answer-1.json')
    expect((await pool('by-sql', 'of-registry')).stdout).toContain('request-2.json')
    writeFileSync(at('registry.csv'), `${[head, ...rows.slice(1)].join('\n')}\n`)
    const changed = await holdfast(words)
    expect(changed.code).toBe(1)
    expect(changed.stderr).toContain('this one cannot be set against it')
    const printed = await holdfast(['share', ...group, '--print-sql'])
    expect(printed).toMatchObject({ code: 0, stderr: '' })
    expect(printed.stdout).toContain('FROM rows_at_risk')
  }, 60_000)
})

describe('the records route', () => {
  it('gives the same from one data set as from one for each clinic, at exact times', async () => {
    expect((await holdfast(['deidentify', 'practice', '--out', 'whole'])).code).toBe(0)
    const clinics = split('whole')
    expect(clinics).toHaveLength(5)
    const words = [...group, '--rows', '--formats', 'none', ...date]
    expect((await holdfast(['pool', 'whole', '--out', 'of-whole', ...words])).code).toBe(0)
    expect((await holdfast(['pool', ...clinics, '--out', 'of-parts', ...words])).code).toBe(0)
    const [whole, parts] = ['of-whole', 'of-parts'].map((name) => json(at(name, 'report/results.json')))
    const sorted = (one: Record<string, unknown>) => one as unknown as { overall: object; model: object }
    expect(roundedDeep(sorted(parts!))).toEqual(roundedDeep(sorted(whole!)))
    expect(schemaOf('results.schema.json').safeParse(whole).error?.issues.slice(0, 3)).toBeUndefined()
    const twice = await holdfast(['pool', 'whole', 'whole', '--out', 'z', ...words])
    expect(twice).toMatchObject({ code: 2 })
    expect(twice.stderr).toContain('the same clinic stands in two of the data sets')
  }, 90_000)
})

/** The visits with a loose screw found at the last check of one restoration that had none. */
async function withOneMoreEvent(visits: string): Promise<string> {
  const [rows] = await demoRows(agreedOn())
  const censored = rows!.status.findIndex((status, row) => status === 0 && rows!.timeDays[row]! > 100)
  const lines = visits.split('\n')
  const at = (name: string): number => lines[0]!.split(',').indexOf(name)
  const checks = lines.flatMap((line, i) => {
    const fields = line.split(',')
    return fields[0] === rows!.key[censored] && fields[at('screw_checked')] === 'yes' ? [i] : []
  })
  const last = checks[checks.length - 1]!
  const fields = lines[last]!.split(',')
  fields[at('finding')] = 'screw_loosening'
  fields[at('action_taken')] = 'tightened'
  return [...lines.slice(0, last), fields.join(','), ...lines.slice(last + 1)].join('\n')
}

/** A data set for each clinic of one; the folders. */
function split(folder: string): readonly string[] {
  const lines = (name: string): string[] => readFileSync(at(folder, name), 'utf8').trimEnd().split('\n')
  const [head, ...rows] = lines('restorations.csv')
  const clinicAt = head!.split(',').indexOf('clinic_id')
  const idAt = head!.split(',').indexOf('restoration_id')
  const clinics = [...new Set(rows.map((row) => row.split(',')[clinicAt]!))].sort()
  return clinics.map((clinic) => {
    const name = `part-${clinic}`
    mkdirSync(at(name))
    cpSync(at(folder, 'datapackage.json'), at(name, 'datapackage.json'))
    const own = rows.filter((row) => row.split(',')[clinicAt] === clinic)
    const ids = new Set(own.map((row) => row.split(',')[idAt]!))
    writeFileSync(at(name, 'restorations.csv'), `${[head, ...own].join('\n')}\n`)
    for (const table of tables.slice(1)) {
      const [title, ...all] = lines(table)
      const place = title!.split(',').indexOf('restoration_id')
      const kept = all.filter((row) => ids.has(row.split(',')[place]!))
      writeFileSync(at(name, table), `${[title, ...kept].join('\n')}\n`)
    }
    return name
  })
}

/** Sums in another order differ in the last bits. */
function roundedDeep(value: unknown): unknown {
  return JSON.parse(JSON.stringify(value), (_key, one: unknown) =>
    typeof one === 'number' ? Number(one.toPrecision(9)) : one,
  )
}

describe('the published schemas', () => {
  it('are those by which files are read', async () => {
    const made: Record<string, string> = await new Promise((resolve, reject) => {
      execFile(
        process.execPath,
        [join(root, 'scripts/poolingSchemas.mjs'), '--print'],
        { maxBuffer: 1 << 26 },
        (error, stdout) => (error === null ? resolve(JSON.parse(stdout)) : reject(error)),
      )
    })
    for (const [name, text] of Object.entries(made))
      expect(readFileSync(join(root, 'docs/schema', name), 'utf8')).toBe(text)
    const example = readFileSync(at('group.json'), 'utf8')
    expect(readProtocol(example).protocol).toEqual(exampleProtocol)
    expect(schemaOf('protocol.schema.json').safeParse(JSON.parse(example)).success).toBe(true)
  })
})
