import { existsSync, mkdirSync, readdirSync, readFileSync, statSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { buildCohort } from '../../src/cohort/cohort.js'
import { arches, regions } from '../../src/cohort/covariates.js'
import { dayFromIso } from '../../src/core/calendar.js'
import { DisclosureError, UsageError } from '../../src/core/errors.js'
import { formatPercent, formatRate } from '../../src/core/format.js'
import { formatInterval, formatQuantity } from '../../src/messages/intervals.js'
import { describedCohort } from '../../src/questions/audit.js'
import { defaultSettings } from '../../src/questions/plan/settings.js'
import { anonymityOf } from '../../src/records/identities/anonymity.js'
import { csvText } from '../../src/records/identities/csvText.js'
import { type DeidentifyOptions, deidentify } from '../../src/records/identities/deidentify.js'
import { PseudonymKey } from '../../src/records/identities/pseudonymKey.js'
import { ageBandOf } from '../../src/records/identities/shareableTables.js'
import { RecordsRefused } from '../../src/records/problems.js'
import { readRecords } from '../../src/records/read/readDataset.js'
import { readShareable } from '../../src/records/read/readShareable.js'
import { coarseDay } from '../../src/records/understand/roundedDays.js'
import { csvOf, type Practice, practice, temporaryFolder, today, written, writtenFile } from './practice.js'

const demoDay = dayFromIso('2026-12-31')!

/** De-identifies a practice into a new folder, with the key beside the data set. */
async function shared(tables: Practice, options: Partial<DeidentifyOptions> = {}) {
  const source = written(tables)
  const out = join(temporaryFolder(), 'shared')
  const made = await deidentify(source, out, { today, acceptSmallGroups: 1, ...options })
  const text = (name: string): string => readFileSync(join(out, name), 'utf8')
  return { source, out, made, text }
}

async function thrownBy(work: Promise<unknown>): Promise<Error> {
  return work.then(
    () => expect.fail('nothing was thrown'),
    (error: Error) => error,
  )
}

describe('the shareable form', () => {
  it('holds no identifier, date, age, lot or text of the source', async () => {
    const tables = practice()
    tables.restorations.forEach((row, index) => {
      row.age_at_delivery_years = String(30 + index)
      row.implant_lot = `LOT${index}`
      row.implant_placement_date = '2018-11-20'
      row.component_system = 'A'
      row.spare = 'spare text'
    })
    const { out, text, source } = await shared(tables)
    expect(readdirSync(out).sort()).toEqual([
      'datapackage.json',
      'deidentification.md',
      'restorations.csv',
      'tightenings.csv',
      'visits.csv',
    ])
    const all = ['restorations.csv', 'tightenings.csv', 'visits.csv'].map(text).join('\n')
    expect(all).not.toMatch(/\d{4}-\d{2}-\d{2}/)
    expect(all).not.toMatch(/LOT|spare|[PR]00\d\d/)
    expect(text('restorations.csv').split('\n')[0]).toBe(
      'restoration_id,patient_id,clinic_id,delivery_year,implant_placement_day,tooth_position,age_band,restoration_type,connection,tightening_group,component_system',
    )
    expect(all).not.toMatch(/,(?:3[0-9]|4[0-9]|5[0-9]),screw/)
    const keyFile = join(source, 'holdfast-key.json')
    expect(statSync(keyFile).mode & 0o777).toBe(0o600)
    expect(existsSync(join(out, 'holdfast-key.json'))).toBe(false)
    expect(JSON.parse(readFileSync(keyFile, 'utf8')).pseudonyms.patient_id.P0001).toMatch(
      /^P[0-9BCDFGHJKMNPQRSTVWXYZ]{7}$/,
    )
  })

  it('gives an instrument one pseudonym, whether it tightened or read', async () => {
    const tables = practice()
    tables.tightenings.forEach((row) => {
      row.device_id = 'WRENCH-7'
      row.reading_instrument_id = 'WRENCH-7'
    })
    const { text } = await shared(tables)
    const [header, first] = text('tightenings.csv')
      .split('\n')
      .map((line) => line.split(','))
    const device = first![header!.indexOf('device_id')]
    expect(device).toMatch(/^D[0-9B-DF-HJ-NP-TV-Z]{7}$/)
    expect(first![header!.indexOf('reading_instrument_id')]).toBe(device)
    expect(text('tightenings.csv')).not.toContain('WRENCH')
  })

  it('is read back as shareable, with the same follow-up', async () => {
    const { out, source } = await shared(practice())
    const records = await readShareable(out, { today })
    const local = await readRecords(source, { today })
    expect(records.state).toBe('shareable')
    expect([...records.visits.day('days_since_delivery')].sort()).toEqual(
      [...local.visits.day('days_since_delivery')].sort(),
    )
    expect(records.restorations.has('delivery_date')).toBe(false)
    expect([...records.restorations.number('delivery_year')].sort()).toEqual(
      [...local.restorations.number('delivery_year')].sort(),
    )
  })

  it('puts rows in the order of the pseudonyms, not of the source', async () => {
    const { text } = await shared(practice())
    const ids = text('restorations.csv')
      .trim()
      .split('\n')
      .slice(1)
      .map((line) => line.split(',')[0]!)
    expect(ids).toEqual([...ids].sort())
  })

  it('keeps the pseudonyms of last year', async () => {
    const tables = practice()
    const source = written(tables)
    const first = join(temporaryFolder(), 'first')
    await deidentify(source, first, { today, acceptSmallGroups: 1 })
    tables.restorations.push({ ...tables.restorations[0]!, restoration_id: 'R0900', patient_id: 'P0900' })
    for (const [name, rows] of Object.entries(tables)) writeFileSync(join(source, `${name}.csv`), csvOf(rows))
    const second = join(temporaryFolder(), 'second')
    await deidentify(source, second, { today, acceptSmallGroups: 1 })
    const idsOf = (folder: string): readonly string[] =>
      readFileSync(join(folder, 'restorations.csv'), 'utf8')
        .trim()
        .split('\n')
        .slice(1)
        .map((line) => line.split(',')[0]!)
    const [before, after] = [idsOf(first), idsOf(second)]
    expect(after).toHaveLength(before.length + 1)
    expect(before.every((id) => after.includes(id))).toBe(true)
    await deidentify(source, second, { today, acceptSmallGroups: 1 })
    expect(idsOf(second)).toEqual(after)
  })

  it('derives period labels before the dates are dropped', async () => {
    const periods = [{ from: dayFromIso('2019-07-01')!, label: 'after change' }]
    const { text } = await shared(practice(), { periods })
    const labels = text('restorations.csv')
      .trim()
      .split('\n')
      .slice(1)
      .map((line) => line.split(',').at(-1))
    expect(labels.filter((label) => label === 'after change')).toHaveLength(24)
    expect(new Set(labels)).toEqual(new Set(['after change', 'before the first period']))
    const dated = [{ from: dayFromIso('2019-07-01')!, label: 'from 2019-07-01' }]
    const thrown = await thrownBy(shared(practice(), { periods: dated }))
    expect(thrown).toBeInstanceOf(DisclosureError)
    expect(thrown.message).toBe(
      'the label of a period holds a date or something that may identify a person. Expected: labels such as "before change" and "after change". Mend: give the period another label.',
    )
  })

  it('writes a death down for every restoration of the patient', async () => {
    const tables = practice()
    Object.assign(tables.visits[1]!, {
      patient_status: 'deceased',
      visit_type: 'records_only',
      screw_checked: 'no',
    })
    tables.visits[1]!.visit_date = '2022-03-01'
    const { made, text } = await shared(tables)
    expect(made.deathsSpread).toBe(1)
    expect(text('visits.csv').match(/deceased/g)).toHaveLength(2)
    expect(text('deidentification.md')).toContain('1 row was added to the visits: a death on record')
  })

  it('moves dates per patient where that is asked for, and names it as what it is', async () => {
    const { out, text, source } = await shared(practice(), { dates: 'shifted' })
    const local = await readRecords(source, { today })
    const moved = await readRecords(out, { today: today + 400 })
    expect(moved.restorations.rowCount).toBe(local.restorations.rowCount)
    expect(text('restorations.csv')).toMatch(/\d{4}-\d{2}-\d{2}/)
    expect(text('deidentification.md')).toContain('not Safe Harbor by themselves')
    const gaps = new Set([...moved.restorations.day('delivery_date')].sort((a, b) => a - b))
    expect(gaps.size).toBeGreaterThan(30)
    await expect(readShareable(out, { today })).rejects.toThrow(
      'does not say that it is in the shareable form',
    )
  })

  it('makes positions coarser and leaves fields out on request', async () => {
    const { text, out } = await shared(practice(), {
      positions: 'region',
      leaveOut: ['connection', 'patient_id'],
    })
    expect(text('restorations.csv').split('\n')[0]).toBe(
      'restoration_id,patient_id,clinic_id,delivery_year,arch,region,restoration_type,tightening_group',
    )
    const records = await readShareable(out, { today })
    const { labels, codes } = records.restorations.category('region')
    expect(new Set([...codes].map((code) => labels[code]))).toEqual(new Set(['molar', 'premolar']))
  })

  it('keeps region and jaw of every restoration in a cohort of the coarser records', async () => {
    const tables = practice()
    const { out } = await shared(tables, { positions: 'region' })
    const counted = (values: readonly (string | undefined)[]) =>
      ['upper', 'lower', 'premolar', 'molar'].map((one) => values.filter((value) => value === one).length)
    const cohorts = [await readRecords(written(tables), { today }), await readShareable(out, { today })].map(
      (records) => buildCohort(records),
    )
    // 36, 46, 14 and 25 in turn: half of the forty are lower molars, half upper premolars.
    for (const cohort of cohorts) {
      expect(counted(regions(cohort))).toEqual([0, 0, 20, 20])
      expect(counted(arches(cohort))).toEqual([20, 20, 0, 0])
      expect(cohort.where({ region: 'premolar' }).where({ arch: 'upper' }).n).toBe(20)
    }
  })
})

describe('the demo data', () => {
  it('give the same incidence, retention and unadjusted hazard ratio, to the last digit that is printed', async () => {
    const out = join(temporaryFolder(), 'shared')
    const keyFile = join(temporaryFolder(), 'key.json')
    await deidentify('data-demo', out, { today: demoDay, acceptSmallGroups: 1, keyFile })
    const [local, sharedRecords] = [
      await readRecords('data-demo', { today: demoDay }),
      await readShareable(out, { today: demoDay }),
    ]
    const [before, after] = [local, sharedRecords].map((records) =>
      describedCohort(buildCohort(records), defaultSettings),
    )
    const printed = (audit: typeof before): readonly string[] => {
      const { incidence, retention, comparison } = audit!
      const rates = [incidence.overall, ...incidence.byGroup].map(({ proportion, ratePer100Years }) => [
        formatQuantity(proportion.estimate, formatPercent),
        formatInterval(proportion.interval, formatPercent),
        formatQuantity(ratePer100Years.estimate, formatRate),
        formatInterval(ratePer100Years.interval, formatRate),
      ])
      const curves = [retention.overall, ...retention.byGroup].map((group) => JSON.stringify(rounded(group)))
      const ratios = comparison!.hazardRatios.map((one) => JSON.stringify(rounded(one)))
      return [...rates.flat(), ...curves, ...ratios]
    }
    expect(printed(after)).toEqual(printed(before))
    expect(before!.summary.attrition.included).toBe(after!.summary.attrition.included)
  })
})

/** Twelve significant digits: sums over patients in another order differ in the last bits of a double. */
function rounded(value: unknown): unknown {
  if (typeof value === 'number') return Number(value.toPrecision(12))
  if (Array.isArray(value)) return value.map(rounded)
  if (typeof value !== 'object' || value === null) return value
  return Object.fromEntries(Object.entries(value).map(([key, inner]) => [key, rounded(inner)]))
}

describe('what de-identification refuses', () => {
  it('goes no further where an identifier stands, and writes nothing', async () => {
    const tables = practice()
    tables.restorations[0]!.component_system = 'Ada Musterfrau'
    const out = join(temporaryFolder(), 'shared')
    const source = written(tables)
    await expect(deidentify(source, out, { today, acceptSmallGroups: 1 })).rejects.toThrow(RecordsRefused)
    expect(existsSync(out)).toBe(false)
    expect(existsSync(join(source, 'holdfast-key.json'))).toBe(false)
  })

  it('does not write where the source lies', async () => {
    const source = written(practice())
    for (const out of [source, join(source, 'shared'), join(source, '..')]) {
      const thrown = await thrownBy(deidentify(source, out, { today, acceptSmallGroups: 1 }))
      expect(thrown).toBeInstanceOf(UsageError)
      expect(thrown.message).toBe(
        'the output would be written where the source lies, so that the one could be taken for the other. Expected: a folder apart from the data set. Mend: give another folder for the output.',
      )
    }
  })

  it('does not put the key among what is sent, nor overwrite what it did not write', async () => {
    const source = written(practice())
    const out = join(temporaryFolder(), 'shared')
    const inside = await thrownBy(
      deidentify(source, out, { today, acceptSmallGroups: 1, keyFile: join(out, 'key.json') }),
    )
    expect(inside.message).toContain('the key file would lie in the folder that is made to be sent away.')
    mkdirSync(out)
    writeFileSync(join(out, 'thesis.txt'), 'mine')
    const ours = await thrownBy(deidentify(source, out, { today, acceptSmallGroups: 1 }))
    expect(ours.message).toBe(
      'shared holds files that an earlier run of this command did not write. Expected: a new or empty folder, or one that this command has written. Mend: give another folder.',
    )
    expect(readFileSync(join(out, 'thesis.txt'), 'utf8')).toBe('mine')
  })

  it('refuses a key file that others may read, or that is none', async () => {
    const source = written(practice())
    const keyFile = writtenFile('key.json', '{}')
    const out = join(temporaryFolder(), 'shared')
    const open = await thrownBy(deidentify(source, out, { today, acceptSmallGroups: 1, keyFile }))
    expect(open).toBeInstanceOf(DisclosureError)
    expect(open.message).toContain('others than the owner may read the key file')
    const damaged = join(temporaryFolder(), 'key.json')
    writeFileSync(damaged, '{}', { mode: 0o600 })
    const bad = await thrownBy(deidentify(source, out, { today, acceptSmallGroups: 1, keyFile: damaged }))
    expect((bad as UsageError).code).toBe('bad-key-file')
  })

  it('leaves the old form in place where a write fails half-way', async () => {
    const source = written(practice())
    const folder = temporaryFolder()
    const out = join(folder, 'shared')
    await deidentify(source, out, { today, acceptSmallGroups: 1 })
    const before = readFileSync(join(out, 'visits.csv'), 'utf8')
    let writes = 0
    const writer = async (path: string, content: string | Uint8Array): Promise<void> => {
      writes++
      if (writes === 2) throw Object.assign(new Error('disk full'), { code: 'ENOSPC' })
      writeFileSync(path, content)
    }
    const thrown = await thrownBy(deidentify(source, out, { today, acceptSmallGroups: 1, writer }))
    expect(thrown.message).toBe(
      'shared cannot be written (ENOSPC); nothing was changed. Expected: a place with room, that the user may write to. Mend: make room or change the permissions, or give another folder.',
    )
    expect(readFileSync(join(out, 'visits.csv'), 'utf8')).toBe(before)
    expect(readdirSync(folder)).toEqual(['shared'])
  })

  it('does not believe a data package that calls local records shareable', async () => {
    const source = written(practice())
    const resources = ['restorations', 'tightenings', 'visits'].map((name) => ({ name, path: `${name}.csv` }))
    writeFileSync(
      join(source, 'datapackage.json'),
      JSON.stringify({ name: 'x', state: 'shareable', resources }),
    )
    const thrown = await thrownBy(readShareable(source, { today }))
    expect(thrown).toBeInstanceOf(DisclosureError)
    expect(thrown.message).toBe(
      'the data set cannot be taken as shareable: restorations has the field delivery_date, which stays in the practice. Expected: a folder that holdfast deidentify has written, unchanged. Mend: make it again from the local records with holdfast deidentify.',
    )
  })
})

describe('small groups', () => {
  /** Thirty restorations alike but for their positions and the exact days of their visits. */
  const alike = (): Practice => {
    const tables = practice(30)
    tables.restorations.forEach((row, index) => {
      Object.assign(row, {
        patient_id: `P${1000 + index}`,
        delivery_date: '2019-03-04',
        tooth_position: index % 3 === 0 ? '36' : '37',
      })
    })
    tables.visits = tables.restorations.map((row, index) => ({
      ...tables.visits[0]!,
      restoration_id: row.restoration_id!,
      visit_date: index % 6 === 0 ? '2020-02-29' : `2020-03-0${index % 6}`,
    }))
    return tables
  }

  it('are measured with the days of the visits, refused below k, and grow with rounded days', async () => {
    const source = written(alike())
    const out = join(temporaryFolder(), 'shared')
    const refused = await thrownBy(deidentify(source, out, { today, k: 6 }))
    expect(refused.message).toBe(
      'the smallest group of restorations that are alike, the days of their visits included, has 5; 30 of 30 stand in groups of fewer than 6. Nothing was written. Expected: groups of at least 6. Mend: make the data coarser: --days weeks (smallest group 10, 0 below 6).',
    )
    expect(existsSync(out)).toBe(false)
    expect(existsSync(join(source, 'holdfast-key.json'))).toBe(false)
    const made = await deidentify(source, out, { today, k: 6, days: 'weeks' })
    expect(made.anonymity).toMatchObject({ smallestGroup: 10, rowsBelow: 0 })
    expect(readFileSync(join(out, 'deidentification.md'), 'utf8')).toContain(
      'Days since delivery were rounded to the nearest whole week',
    )
    const shareable = await readShareable(out, { today })
    expect(new Set(shareable.visits.day('days_since_delivery'))).toEqual(new Set([364]))
  })

  it('pass by the word of the user, which the report repeats', async () => {
    const tables = alike()
    tables.restorations[0]!.tooth_position = '11'
    const refused = await thrownBy(
      deidentify(written(tables), join(temporaryFolder(), 'a'), { today, acceptSmallGroups: 2 }),
    )
    expect((refused as DisclosureError).code).toBe('groups-too-small')
    const { text } = await shared(tables, { acceptSmallGroups: 1 })
    expect(text('deidentification.md')).toContain(
      'Groups down to 1 were accepted by the word of the user (--accept-small-groups).',
    )
  })

  it('are made of days that keep their order and never fall on the delivery', () => {
    for (const rule of ['weeks', 'months', 'quarters', 'years'] as const) {
      let last = 0
      for (let day = 1; day <= 4_000; day++) {
        const rounded = coarseDay(day, rule)
        expect(rounded).toBeGreaterThan(0)
        expect(rounded).toBeGreaterThanOrEqual(last)
        last = rounded
      }
      expect(coarseDay(0, rule)).toBe(0)
    }
    expect([3, 4, 10, 11].map((day) => coarseDay(day, 'weeks'))).toEqual([7, 7, 7, 14])
    expect([45, 46, 365, 730].map((day) => coarseDay(day, 'months'))).toEqual([30, 61, 365, 731])
  })
})

describe('the parts of it', () => {
  it('counts groups of alike rows as by hand', () => {
    // Five rows: (a, x) three times, (a, y) once, (b, y) once.
    const columns = new Map([
      ['one', ['a', 'a', 'a', 'a', 'b']],
      ['two', ['x', 'x', 'x', 'y', 'y']],
    ])
    expect(anonymityOf(columns, 5, 2)).toEqual({
      k: 2,
      fields: ['one', 'two'],
      rows: 5,
      smallestGroup: 1,
      rowsBelow: 2,
      without: [
        { field: 'one', smallestGroup: 2, rowsBelow: 0 },
        { field: 'two', smallestGroup: 1, rowsBelow: 1 },
      ],
    })
  })

  it('draws pseudonyms that never repeat, and shifts that are never 0', () => {
    // A poor source of bytes, so that collisions happen and have to be caught.
    let state = 1
    const poor = (count: number): Uint8Array =>
      Uint8Array.from({ length: count }, () => {
        state = (state * 5 + 3) % 1_021
        return state & 0x0f
      })
    const key = new PseudonymKey(undefined, poor)
    const made = Array.from({ length: 60 }, (_, index) => key.pseudonymOf('patient_id', `P${index}`))
    expect(new Set(made).size).toBe(60)
    expect(key.pseudonymOf('patient_id', 'P7')).toBe(made[7])
    const real = new PseudonymKey()
    const shifts = Array.from({ length: 500 }, (_, index) => real.shiftOf(`P${index}`))
    expect(shifts.every((shift) => shift !== 0 && Math.abs(shift) <= 364)).toBe(true)
    expect(real.shiftOf('P3')).toBe(shifts[3])
  })

  it('bands ages, 90 and above together', () => {
    expect([15, 16, 29, 30, 39, 40, 89, 90, Number.NaN].map(ageBandOf)).toEqual([
      '0-15',
      '16-29',
      '16-29',
      '30-39',
      '30-39',
      '40-49',
      '80-89',
      '90+',
      '',
    ])
  })

  it('writes formula-like text so that no spreadsheet runs it, and numbers as they are', () => {
    const text = csvText(
      ['a', 'b'],
      [
        ['=1+1', '-14'],
        ['@SUM(A1)', '-1.5'],
        ['+49 30', '-x'],
        ['a,b', 'say "no"'],
      ],
    )
    expect(text).toBe(`a,b\n'=1+1,-14\n'@SUM(A1),-1.5\n'+49 30,'-x\n"a,b","say ""no"""\n`)
  })
})
