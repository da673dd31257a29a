import { existsSync, readdirSync, readFileSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { RecordError } from '../../src/core/errors.js'
import type { RecordSet } from '../../src/records/dataset.js'
import { type MergeOptions, mergeVersions, type VersionChange } from '../../src/records/desk/mergeVersions.js'
import { writeMerged } from '../../src/records/desk/writeMerged.js'
import { deidentify } from '../../src/records/identities/deidentify.js'
import { readRecords } from '../../src/records/read/readDataset.js'
import { readShareable } from '../../src/records/read/readShareable.js'
import {
  csvOf,
  oneSheet,
  type Practice,
  practice,
  type Row,
  temporaryFolder,
  today,
  written,
  writtenFile,
} from './practice.js'

async function merged(first: Practice | Row[], second: Practice | Row[], options: MergeOptions = {}) {
  const read = (tables: Practice | Row[]): Promise<RecordSet<'local'>> =>
    readRecords(Array.isArray(tables) ? writtenFile('one-sheet.csv', csvOf(tables)) : written(tables), {
      today,
    })
  const made = mergeVersions(await read(first), await read(second), options)
  const folder = join(temporaryFolder(), 'both')
  await writeMerged(made, 'local', folder, { today })
  return { changes: made.changes, folder, records: await readRecords(folder, { today }) }
}

function told(changes: readonly VersionChange[]): readonly string[] {
  return changes.map((one) =>
    [one.restoration_id, one.what, one.of, one.day, one.field, one.earlier, one.later, one.stands]
      .filter((part) => part !== '')
      .join(' '),
  )
}

/** Days of the loosenings of every restoration, in the order of the restorations. */
function loosenings({ restorations, visits }: RecordSet): readonly string[] {
  const finding = visits.category('finding')
  const id = restorations.category('restoration_id')
  const day = visits.day('days_since_delivery')
  return Array.from({ length: visits.rowCount }, (_, row) => row)
    .filter((row) => finding.labels[finding.codes[row]!] === 'screw_loosening')
    .map((row) => `${id.labels[id.codes[visits.restoration[row]!]!]} ${day[row]}`)
    .sort()
}

const without = (tables: Practice, id: string): Practice => ({
  restorations: tables.restorations.filter((row) => row.restoration_id !== id),
  tightenings: tables.tightenings.filter((row) => row.restoration_id !== id),
  visits: tables.visits.filter((row) => row.restoration_id !== id),
})

describe('two versions of the records', () => {
  it('are joined with what was added, changed and gone, with old and new values', async () => {
    const second = without(practice(14), 'R0003')
    second.restorations[0]!.connection = 'internal_hex'
    second.restorations[1]!.connection = ''
    second.visits.push({ ...second.visits[0]!, visit_date: '2022-05-02' })
    const { changes, folder, records } = await merged(practice(12), second)
    expect(told(changes)).toEqual([
      'R0001 changed restoration connection conical internal_hex later',
      'R0001 added visit 2022-05-02 later',
      'R0003 gone restoration earlier',
      'R0013 added restoration later',
      'R0014 added restoration later',
    ])
    expect(records.restorations.rowCount).toBe(14)
    expect(records.visits.rowCount).toBe(14 * 2 + 1)
    expect(records.quality.problems).toEqual([])
    const { labels, codes } = records.restorations.category('connection')
    expect([0, 1].map((row) => labels[codes[row]!])).toEqual(['internal_hex', 'conical'])
    expect(readFileSync(join(folder, 'changes.csv'), 'utf8').split('\n').slice(0, 2)).toEqual([
      'restoration_id,what,of,day,field,earlier,later,stands',
      'R0001,changed,restoration,,connection,conical,internal_hex,later',
    ])
  })

  it('let no retracted loosening stay', async () => {
    const second = practice(12)
    const loose = second.visits.find((row) => row.finding === 'screw_loosening')!
    loose.finding = 'none'
    const { changes, records } = await merged(practice(12), second)
    expect(told(changes)).toEqual(['R0004 retracted event 2021-02-11 finding screw_loosening none later'])
    expect(loosenings(records)).toEqual([])
  })

  it('let no loosening stay whose visit was withdrawn', async () => {
    const second = practice(12)
    second.visits = second.visits.filter((row) => row.finding !== 'screw_loosening')
    const { changes, records } = await merged(practice(12), second)
    expect(told(changes)).toEqual(['R0004 retracted event 2021-02-11 finding screw_loosening later'])
    expect(loosenings(records)).toEqual([])
    expect(records.visits.rowCount).toBe(23)
  })

  it('never make a second event of a corrected date', async () => {
    const second = practice(12)
    second.visits.find((row) => row.finding === 'screw_loosening')!.visit_date = '2021-03-04'
    for (const keep of ['later', 'both', 'earlier'] as const) {
      const { changes, records } = await merged(practice(12), second, { keep })
      expect(told(changes)).toEqual([
        `R0004 changed event 2021-02-11 days_since_delivery 2021-02-11 2021-03-04 ${keep === 'earlier' ? 'earlier' : 'later'}`,
      ])
      expect(loosenings(records)).toEqual([keep === 'earlier' ? 'R0004 733' : 'R0004 754'])
    }
  })

  it('follow a corrected date of delivery without moving the visits', async () => {
    const second = practice(12)
    second.restorations[3]!.delivery_date = '2019-02-01'
    const { changes, records } = await merged(practice(12), second)
    expect(told(changes)).toContain('R0004 changed restoration delivery_date 2019-02-09 2019-02-01 later')
    expect(loosenings(records)).toEqual(['R0004 741'])
  })

  it('recognise restorations and patients whose keys have changed', async () => {
    const second = practice(12)
    const patient = new Map(second.restorations.map((row) => [row.patient_id!, `N${row.patient_id}`]))
    for (const rows of Object.values(second)) {
      for (const row of rows as Row[]) {
        row.restoration_id = `X${row.restoration_id}`
        if (row.patient_id !== undefined) row.patient_id = patient.get(row.patient_id)!
      }
    }
    const { changes, records } = await merged(practice(12), without(second, 'XR0012'))
    expect(changes.filter((one) => one.what === 'new key')).toHaveLength(11)
    expect(changes.filter((one) => one.what === 'added')).toEqual([])
    expect(records.restorations.rowCount).toBe(12)
    const { labels, codes } = records.restorations.category('patient_id')
    expect(new Set(Array.from(codes, (code) => labels[code])).size).toBe(6)
    expect(loosenings(records)).toEqual(['XR0004 733'])
  })

  it('follow keys that were dealt out anew', async () => {
    const second = practice(12)
    const number = (text: string): string => `R${String(13 - Number(text.slice(1))).padStart(4, '0')}`
    for (const rows of Object.values(second)) {
      for (const row of rows as Row[]) row.restoration_id = number(row.restoration_id!)
    }
    const { records } = await merged(practice(12), second)
    expect(records.restorations.rowCount).toBe(12)
    expect(loosenings(records)).toEqual(['R0009 733'])
  })

  it('ask where the later export tells nothing of the past again', async () => {
    const second = practice(12)
    second.visits = second.visits.map((row) => ({ ...row, visit_date: '2025-01-07', finding: 'none' }))
    second.visits = second.visits.filter((_row, index) => index % 2 === 0)
    await expect(merged(practice(12), second)).rejects.toThrow(
      'the later export does not tell again most of what the earlier one told, so that rows may have been withdrawn, or it may hold only what is new. Expected: the user’s word on which of the two it is. Mend: give --keep both where the later export holds only what is new, --keep later where it is the whole and what it lacks is withdrawn.',
    )
    const { records } = await merged(practice(12), second, { keep: 'both' })
    expect(loosenings(records)).toEqual(['R0004 733'])
    expect(records.visits.rowCount).toBe(36)
  })

  it('take a sheet with a row per restoration as it stands now', async () => {
    const second = oneSheet(12)
    second[3]!.first_loosening_date = ''
    second[3]!.last_check_before_loosening_date = ''
    const { changes, records } = await merged(oneSheet(12), second)
    expect(loosenings(records)).toEqual([])
    expect(changes.filter((one) => one.what === 'retracted')).toHaveLength(1)
  })

  it('write nothing that a check would stop', async () => {
    const second = practice(12)
    const [before, now] = [
      await readRecords(written(practice(12)), { today }),
      await readRecords(written(second), { today }),
    ]
    const made = mergeVersions(before, now)
    const spoilt = {
      ...made,
      tables: {
        ...made.tables,
        visits: {
          ...made.tables.visits,
          rows: made.tables.visits.rows.map((row) => row.map((cell) => (cell === 'none' ? 'perhaps' : cell))),
        },
      },
    }
    const folder = join(temporaryFolder(), 'both')
    const failed = await writeMerged(spoilt, 'local', folder, { today }).catch((error: unknown) => error)
    expect(failed).toBeInstanceOf(RecordError)
    expect((failed as RecordError).code).toBe('merged-not-sound')
    expect(existsSync(folder)).toBe(false)
    expect(readdirSync(dirname(folder))).toEqual([])
  })

  it('refuse what does not belong together', async () => {
    const other = practice(5)
    for (const row of other.restorations) row.delivery_date = row.delivery_date!.replace('2019', '2017')
    for (const rows of Object.values(other)) {
      for (const row of rows as Row[]) row.restoration_id = `X${row.restoration_id}`
    }
    await expect(merged(practice(5), other)).rejects.toThrow(
      'the two data sets cannot be joined: no restoration is in both. Expected: two exports of the same practice with restorations in common, or two shareable forms of one key file.',
    )
    const clash = practice(5)
    Object.assign(clash.restorations[0]!, {
      delivery_date: '2017-02-03',
      tooth_position: '11',
      patient_id: 'P9',
    })
    await expect(merged(practice(5), clash)).rejects.toThrow(
      'one restoration_id stands for one restoration in the earlier export and for another one in the later.',
    )
  })

  it('may be shareable forms of one key file', async () => {
    const keyFile = join(temporaryFolder(), 'key.json')
    const shared: RecordSet<'shareable'>[] = []
    for (const count of [10, 12]) {
      const out = join(temporaryFolder(), 'out')
      await deidentify(written(practice(count)), out, { today, acceptSmallGroups: 1, keyFile })
      shared.push(await readShareable(out, { today }))
    }
    const made = mergeVersions(shared[0]!, shared[1]!)
    expect(made.changes.map((one) => `${one.what} ${one.of}`)).toEqual([
      'added restoration',
      'added restoration',
    ])
    const folder = join(temporaryFolder(), 'both')
    await writeMerged(made, 'shareable', folder, { today })
    expect((await readShareable(folder, { today })).restorations.rowCount).toBe(12)
  })
})
