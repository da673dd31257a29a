import { mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { CFB, read, utils, write } from '@e965/xlsx'
import { describe, expect, it } from 'vitest'
import { UsageError } from '../../src/core/errors.js'
import { dictionaryText } from '../../src/records/desk/dictionaryText.js'
import { writeTemplate } from '../../src/records/desk/writeTemplate.js'
import { checkRecords, readRecords } from '../../src/records/read/readDataset.js'
import { fieldOf, sheetFields, tableNames } from '../../src/vocabulary/fields.js'
import { oneSheet, practice, temporaryFolder, today } from './practice.js'

describe('the template', () => {
  it('writes the one-sheet form with dictionary, workbook and data package', async () => {
    const folder = join(temporaryFolder(), 'start')
    const { files } = await writeTemplate(folder)
    expect([...files].sort()).toEqual(readdirSync(folder).sort())
    expect(readdirSync(folder).sort()).toEqual([
      'datapackage.json',
      'dictionary.md',
      'one-sheet.csv',
      'template.xlsx',
    ])
    const header = readFileSync(join(folder, 'one-sheet.csv'), 'utf8').trim().split(',')
    expect(header.slice(0, 4)).toEqual([
      'patient_id',
      'delivery_date',
      'last_check_date',
      'first_loosening_date',
    ])
    const { problems } = await checkRecords(folder, { today })
    expect(problems.map((one) => `${one.severity} ${one.code}`)).toEqual(['stop no-rows'])
  })

  it('has drop-down lists for codes, ranges for numbers and a word on every cell', async () => {
    const folder = join(temporaryFolder(), 'start')
    await writeTemplate(folder, { form: 'three-tables' })
    const container = CFB.read(readFileSync(join(folder, 'template.xlsx')), { type: 'buffer' })
    const xml = Buffer.from(
      CFB.find(container, '/xl/worksheets/sheet3.xml')!.content as Uint8Array,
    ).toString()
    const finding = fieldOf('visits', 'finding')!.codes!.join(',')
    expect(xml).toContain(`<formula1>"${finding},unknown"</formula1>`)
    expect(xml).toMatch(
      /type="decimal"[^>]*promptTitle="chair_minutes"[^>]*><formula1>0<\/formula1><formula2>480<\/formula2>/,
    )
    const columns = readFileSync(join(folder, 'visits.csv'), 'utf8').trim().split(',').length
    expect(xml).toContain(`<dataValidations count="${columns}">`)
    // The order of the parts of a sheet is fixed (ECMA-376 part 1, 18.3.1.99).
    expect(xml.indexOf('</sheetData>')).toBeLessThan(xml.indexOf('<dataValidations'))
    expect(xml.indexOf('</dataValidations>')).toBeLessThan(xml.indexOf('<ignoredErrors'))
  })

  it('can be filled in and read back', async () => {
    const folder = join(temporaryFolder(), 'start')
    await writeTemplate(folder)
    const workbook = read(readFileSync(join(folder, 'template.xlsx')), { type: 'buffer' })
    const header = utils.sheet_to_json<string[]>(workbook.Sheets.one_sheet!, { header: 1 })[0]!
    const rows = oneSheet(20).map((row) => header.map((name) => (row as Record<string, string>)[name] ?? ''))
    utils.sheet_add_aoa(workbook.Sheets.one_sheet!, rows, { origin: 'A2' })
    const filled = join(temporaryFolder(), 'filled.xlsx')
    writeFileSync(filled, write(workbook, { type: 'buffer', bookType: 'xlsx' }))
    const records = await readRecords(filled, { today })
    expect(records.restorations.rowCount).toBe(20)
    expect(records.quality.problems.filter((one) => one.severity !== 'note')).toEqual([])
  })

  it('does not overwrite what it did not write', async () => {
    const folder = join(temporaryFolder(), 'mine')
    mkdirSync(folder)
    writeFileSync(join(folder, 'one-sheet.csv'), 'mine')
    const thrown = await writeTemplate(folder).catch((error: unknown) => error)
    expect(thrown).toBeInstanceOf(UsageError)
    expect((thrown as UsageError).code).toBe('folder-not-ours')
  })
})

describe('the data dictionary', () => {
  it('explains every field of every sheet', () => {
    const text = dictionaryText([...tableNames, 'one_sheet'])
    for (const fields of Object.values(sheetFields)) {
      for (const field of fields) expect(text).toContain(`| ${field.name} | ${field.description} |`)
    }
  })

  it('gives examples that pass the checks', async () => {
    const tables = practice(2)
    for (const [name, rows] of Object.entries(tables)) {
      for (const field of sheetFields[name as keyof typeof tables]) {
        if (field.example === '' || field.kind === 'key' || field.kind === 'date' || field.kind === 'day')
          continue
        if (
          [
            'sequence',
            'action',
            'delivery_year',
            'age_band',
            'tooth_position',
            'minutes_since_first',
          ].includes(field.name)
        )
          continue
        for (const row of rows) row[field.name] = field.example
      }
    }
    const folder = temporaryFolder()
    const { csvOf } = await import('./practice.js')
    for (const [name, rows] of Object.entries(tables)) writeFileSync(join(folder, `${name}.csv`), csvOf(rows))
    const { problems } = await checkRecords(folder, { today })
    expect(problems.filter((one) => !one.code.endsWith('-in-events')).map((one) => one.code)).toEqual([])
  })
})
