import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { identifierOfHeader } from '../../src/records/identities/identifierHeaders.js'
import { identifierOfValue, isNhsNumber } from '../../src/records/identities/identifierValues.js'
import { problemInWords } from '../../src/records/problems.js'
import { checkRecords } from '../../src/records/read/readDataset.js'
import { identifierHeaders, identifierValues, innocentHeaders, innocentValues } from './gateCorpus.js'
import { csvOf, oneSheet, today, writtenFile } from './practice.js'

describe('the labelled corpus', () => {
  it('has at least 300 headers and values', () => {
    const all = [...identifierHeaders, ...innocentHeaders, ...identifierValues, ...innocentValues]
    expect(all.length).toBeGreaterThanOrEqual(600)
    expect(new Set(all).size).toBeGreaterThan(0.95 * all.length)
  })

  it('stops every header that announces an identifier', () => {
    const missed = identifierHeaders.filter((header) => identifierOfHeader(header)?.verdict !== 'definite')
    expect(missed).toEqual([])
  })

  it('stops every value that identifies', () => {
    const missed = identifierValues.filter((value) => identifierOfValue(value)?.verdict !== 'definite')
    expect(missed).toEqual([])
  })

  it('stops less than 3% of what is innocent', () => {
    const stopped = [
      ...innocentHeaders.filter((header) => identifierOfHeader(header)?.verdict === 'definite'),
      ...innocentValues.filter((value) => identifierOfValue(value)?.verdict === 'definite'),
    ]
    expect(stopped.length / (innocentHeaders.length + innocentValues.length)).toBeLessThan(0.03)
    expect(stopped).toEqual([])
  })

  it('gives the numbers that stand in the docs', () => {
    const page = readFileSync(join(import.meta.dirname, '../../docs/records.md'), 'utf8')
    const [headers, values] = [identifierHeaders.length, identifierValues.length]
    expect(page).toContain(
      `| identifiers, of which stopped | ${headers}, ${headers} | ${values}, ${values} |`,
    )
    expect(page).toContain(
      `| innocents, of which stopped | ${innocentHeaders.length}, 0 | ${innocentValues.length}, 0 |`,
    )
  })

  it('knows the check digit of NHS numbers', () => {
    // 943 476 5919 is the worked example of the NHS data dictionary for the check by modulus 11 (from memory).
    expect(isNhsNumber('943 476 5919')).toBe(true)
    expect(isNhsNumber('943 476 5918')).toBe(false)
  })
})

/** Problems of the gate for a sheet with one more column. */
async function withColumn(header: string, textOf: (index: number) => string) {
  const rows = oneSheet(40).map((row, index) => ({ ...row, [header]: textOf(index) }))
  const { problems } = await checkRecords(writtenFile('sheet.csv', csvOf(rows)), { today })
  return problems.filter((one) => /identifier|pseudonym|long-text/.test(one.code))
}

describe('the gate', () => {
  it('names column and rows and never the value', async () => {
    const problems = await withColumn('remark', (index) => (index === 4 ? 'called Mrs Jones twice' : ''))
    expect(problems.map((one) => `${one.severity} ${one.code}: ${problemInWords(one)}`)).toEqual([
      'stop identifier-value: sheet.csv, column 12, row 6: the column holds a name. Expected: nothing that says who a person is. Mend: remove it or put a pseudonym in its place, in a copy.',
      'warn possible-identifier-column: sheet.csv, column remark: the header may announce free text, and the column holds values. Expected: pseudonyms, and no column that says who the patient is. Mend: delete the column, in a copy.',
    ])
    expect(JSON.stringify(problems)).not.toContain('Jones')
  })

  it('lets a column with an identifying header pass where it is empty', async () => {
    expect(await withColumn('patient_name', () => '')).toEqual([])
  })

  it('warns where it is not certain', async () => {
    const notes = await withColumn('comment', (index) => (index === 0 ? 'x'.repeat(60) : ''))
    expect(notes.map((one) => `${one.severity} ${one.code} ${one.problem}`)).toEqual([
      'warn possible-identifier-column the header may announce free text, and the column holds values.',
      'warn long-text the column holds text that is longer than 40 characters, which may tell who a person is.',
    ])
    const codes = await withColumn('ref', (index) => `ZX${9_000 + 7 * index}`)
    expect(codes.map((one) => `${one.severity} ${one.problem}`)).toEqual([
      'warn the column may hold a code that is different on nearly every row.',
    ])
    const dates = await withColumn('impression', (index) => `2019-0${1 + (index % 9)}-11`)
    expect(dates.map((one) => `${one.severity} ${one.problem}`)).toEqual([
      'warn the column may hold dates in a column that is none of the date columns of the records.',
    ])
  })

  it('stops dates of birth and columns of surnames under any header', async () => {
    const births = await withColumn('x', (index) => `${1940 + index}-03-1${index % 10}`)
    expect(births.map((one) => one.code)).toContain('identifier-value')
    const names = ['Schmidt', 'Meier', 'Lopez', 'Rossi', 'Dubois']
    const surnames = await withColumn('x', (index) => names[index % 5]!)
    expect(surnames.map((one) => `${one.severity} ${one.problem}`)).toEqual([
      'stop the column holds surnames or given names.',
    ])
  })

  it('warns about pseudonyms that may be chart numbers, and stops names in their place', async () => {
    const numbers = oneSheet(40).map((row, index) => ({ ...row, patient_id: String(104_230 + index) }))
    const { problems } = await checkRecords(writtenFile('sheet.csv', csvOf(numbers)), { today })
    expect(problems.map((one) => `${one.severity} ${one.code}`)).toEqual(['warn number-like-pseudonym'])
    const names = oneSheet(40).map((row, index) => ({
      ...row,
      patient_id: index === 3 ? 'Musterfrau' : row.patient_id!,
    }))
    const stopped = await checkRecords(writtenFile('sheet.csv', csvOf(names)), { today })
    expect(stopped.problems.map((one) => `${one.severity} ${one.code}`)).toEqual(['stop identifier-value'])
  })

  it('warns about initials in place of pseudonyms', async () => {
    const rows = oneSheet(40).map((row, index) => ({
      ...row,
      patient_id: String.fromCharCode(65 + (index % 20), 66 + (index >> 1)),
    }))
    const { problems } = await checkRecords(writtenFile('sheet.csv', csvOf(rows)), { today })
    expect(problems.map((one) => `${one.severity} ${one.problem}`)).toEqual([
      'warn the column may hold initials.',
    ])
  })

  it('looks at what stands above the header', async () => {
    const text = `Practice of Dr Keller,,\n${csvOf(oneSheet(5))}`
    const { problems } = await checkRecords(writtenFile('sheet.csv', text), { today })
    expect(problems.map((one) => `${one.severity} ${one.code}`)).toEqual([
      'warn possible-identifier-above-table',
      'note header-below-top',
    ])
    expect(JSON.stringify(problems)).not.toContain('Keller')
  })
})
