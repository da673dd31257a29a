import { existsSync, readdirSync, readFileSync, statSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { deidentify } from '../../src/records/identities/deidentify.js'
import { type Door, openDoor } from '../../src/records/identities/door.js'
import { checkRecords } from '../../src/records/read/readDataset.js'
import {
  csvOf,
  oneSheet,
  practice,
  type Row,
  temporaryFolder,
  today,
  written,
  writtenFile,
} from './practice.js'

const people = ['Anna Schmidt', 'Müller, Hans', 'Zoë Papadopoulou', 'José García', 'Mary O’Brien']

/** The person of a row: two restorations each, as in the practice of the tests. */
const personOf = (index: number): string =>
  `${people[(index >> 1) % 5]} ${'I'.repeat(1 + Math.floor(index / 10))}`

async function checkedThrough(path: string) {
  const door = await openDoor(path)
  const check = await checkRecords(path, { today, door })
  await door.save()
  return { door, ...check }
}

function patientsOf(check: Awaited<ReturnType<typeof checkedThrough>>): readonly string[] {
  const { labels, codes } = check.records!.restorations.category('patient_id')
  return Array.from(codes, (code) => labels[code]!)
}

/** Nothing that was read may hold a piece of a name. */
function expectNoName(what: unknown, door: Door): void {
  const said = `${JSON.stringify(what)} ${door.words()}`
  for (const part of ['Schmidt', 'Müller', 'Papadop', 'García', 'Brien']) expect(said).not.toContain(part)
}

describe('the door', () => {
  it('draws pseudonyms for names that are keys, and keeps them for the next reading', async () => {
    const rows = oneSheet(20).map((row, index) => ({ ...row, patient_id: personOf(index) }))
    const path = writtenFile('sheet.csv', csvOf(rows, ';'))
    const first = await checkedThrough(path)
    expect(first.problems.filter((one) => one.severity === 'stop')).toEqual([])
    expect(new Set(patientsOf(first)).size).toBe(10)
    expect(patientsOf(first).every((key) => /^P[0-9A-Z]{7}$/.test(key))).toBe(true)
    expectNoName([first.problems, patientsOf(first)], first.door)
    const keyFile = join(dirname(path), 'holdfast-key.json')
    expect(statSync(keyFile).mode & 0o777).toBe(0o600)
    expect(first.door.words()).toContain(
      `10 keys that identify go under pseudonyms from here on (key file ${keyFile}, readable by you alone; it leads back to your patients and stays in the practice)`,
    )
    expect(patientsOf(await checkedThrough(path))).toEqual(patientsOf(first))
  })

  it('makes the key of a chart number or of names with dates of birth where there is no other', async () => {
    const numbered = oneSheet(20).map(({ patient_id: _key, ...row }, index) => ({
      'Chart number': String(104_230 + (index >> 1)),
      Surname: people[index % 5]!,
      ...row,
    }))
    const byNumber = await checkedThrough(writtenFile('sheet.csv', csvOf(numbered, ';')))
    expect(byNumber.problems.filter((one) => one.severity === 'stop')).toEqual([])
    expect(new Set(patientsOf(byNumber)).size).toBe(10)
    expect(byNumber.door.words()).toContain('1 column that identifies is left out')
    const named = oneSheet(20).map(({ patient_id: _key, ...row }, index) => ({
      Surname: 'Schmidt',
      'First name': 'Anna',
      'Date of birth': `19${50 + (index >> 1)}-03-04`,
      ...row,
    }))
    const byName = await checkedThrough(writtenFile('sheet.csv', csvOf(named)))
    expect(byName.problems.filter((one) => one.severity === 'stop')).toEqual([])
    expect(new Set(patientsOf(byName)).size).toBe(10)
    expectNoName(byName.problems, byName.door)
  })

  it('links three tables whose restorations are called by names', async () => {
    const tables = practice(20)
    const nameOf = new Map(
      tables.restorations.map((row, index) => [
        row.restoration_id,
        `Schmidt ${personOf(index)} ${row.tooth_position}`,
      ]),
    )
    for (const rows of Object.values(tables) as Row[][]) {
      for (const row of rows) row.restoration_id = nameOf.get(row.restoration_id)!
    }
    const check = await checkedThrough(written(tables, ';'))
    expect(check.problems.filter((one) => one.severity === 'stop')).toEqual([])
    expect(check.records!.visits.rowCount).toBe(40)
    expectNoName(check.problems, check.door)
  })

  it('empties texts in which somebody is named, and leaves the others', async () => {
    const rows = oneSheet(20).map((row, index) => ({
      ...row,
      remark: index === 4 ? 'called Mrs Schmidt twice' : 're-torqued 12 min later',
    }))
    const { door, problems } = await checkedThrough(writtenFile('sheet.csv', csvOf(rows)))
    expect(problems.filter((one) => one.severity === 'stop')).toEqual([])
    expect(door.words()).toBe(
      'Identities were taken off on reading: 1 text in which an identifier stands left out.\n',
    )
  })

  it('changes nothing and writes no key where nothing identifies', async () => {
    const path = written(practice())
    const { door, problems } = await checkedThrough(path)
    expect(problems).toEqual([])
    expect(door.words()).toBe('')
    expect(existsSync(join(path, 'holdfast-key.json'))).toBe(false)
  })

  it('lets names be made shareable, of which nothing goes along', async () => {
    const rows = oneSheet(40).map((row, index) => ({ ...row, patient_id: personOf(index) }))
    const out = join(temporaryFolder(), 'shared')
    await deidentify(writtenFile('sheet.csv', csvOf(rows, ';')), out, { today, acceptSmallGroups: 1 })
    for (const name of readdirSync(out)) {
      expect(readFileSync(join(out, name), 'utf8')).not.toMatch(/Schmidt|Müller|Papadop|García|Brien/)
    }
  })
})
