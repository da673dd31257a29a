import { mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { CFB, read, utils, write } from '@e965/xlsx'
import { describe, expect, it } from 'vitest'
import { UsageError } from '../../src/core/errors.js'
import { dictionaryText } from '../../src/records/desk/dictionaryText.js'
import { headingOf, workbookFields } from '../../src/records/desk/templateWorkbook.js'
import { writeTemplate } from '../../src/records/desk/writeTemplate.js'
import { checkRecords, readRecords } from '../../src/records/read/readDataset.js'
import { headerWord } from '../../src/records/understand/matchColumns.js'
import { fieldOf, type SheetName, sheetFields, tableNames } from '../../src/vocabulary/fields.js'
import { oneSheet, practice, type Row, temporaryFolder, today } from './practice.js'

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
    const finding = fieldOf('visits', 'finding')!.codes!.join(',').replaceAll('_', ' ')
    expect(xml).toContain(`<formula1>"${finding},unknown"</formula1>`)
    expect(xml).toMatch(
      /type="decimal"[^>]*promptTitle="Chair \(minutes\)"[^>]*><formula1>0<\/formula1><formula2>480<\/formula2>/,
    )
    const columns = readFileSync(join(folder, 'visits.csv'), 'utf8').trim().split(',').length
    expect(xml).toContain(`<dataValidations count="${columns}">`)
    // The order of the parts of a sheet is fixed (ECMA-376 part 1, 18.3.1.99).
    expect(xml.indexOf('</sheetData>')).toBeLessThan(xml.indexOf('<dataValidations'))
    expect(xml.indexOf('</dataValidations>')).toBeLessThan(xml.indexOf('<ignoredErrors'))
  })

  it('keeps headings and keys in view, and prints on one page each', async () => {
    const folder = join(temporaryFolder(), 'start')
    await writeTemplate(folder)
    const container = CFB.read(readFileSync(join(folder, 'template.xlsx')), { type: 'buffer' })
    const [records, dictionary] = [1, 2].map((sheet) =>
      Buffer.from(CFB.find(container, `/xl/worksheets/sheet${sheet}.xml`)!.content as Uint8Array).toString(),
    )
    expect(CFB.find(container, '/xl/worksheets/sheet3.xml')).toBeNull()
    expect(records).toContain(
      '<pane xSplit="1" ySplit="1" topLeftCell="B2" activePane="bottomRight" state="frozen"/>',
    )
    for (const xml of [records!, dictionary!]) {
      expect(xml).toContain('<sheetPr><pageSetUpPr fitToPage="1"/></sheetPr>')
      expect(xml).toContain('orientation="landscape" fitToWidth="1" fitToHeight="1"/>')
      // The order of the parts of a sheet is fixed (ECMA-376 part 1, 18.3.1.99).
      const parts = ['<sheetPr>', '<sheetData>', '<pageMargins', '<pageSetup', '<ignoredErrors']
      const places = parts.map((part) => xml.indexOf(part)).filter((place) => place >= 0)
      expect(places).toEqual([...places].sort((left, right) => left - right))
    }
    expect(records).toMatch(/<dataValidation type="date"[^>]*promptTitle="Delivery date"/)
    expect(records).toMatch(/<col min="3" max="3" style="\d+"/)
    expect(records).toContain('<formula1>"single crown,splinted crowns,')
  })

  it.each(['one-sheet', 'three-tables'] as const)(
    'can be filled in and read back without a warning: %s',
    async (form) => {
      const folder = join(temporaryFolder(), 'start')
      await writeTemplate(folder, { form })
      const workbook = read(readFileSync(join(folder, 'template.xlsx')), { type: 'buffer', cellStyles: true })
      const tables: Record<string, Row[]> =
        form === 'one-sheet'
          ? { one_sheet: oneSheet(20) }
          : (practice(20) as unknown as Record<string, Row[]>)
      for (const [name, rows] of Object.entries(tables)) {
        const sheet = workbook.Sheets[name]!
        const fields = workbookFields(name as SheetName)
        const header = utils.sheet_to_json<string[]>(sheet, { header: 1 })[0]!
        expect(header).toEqual(fields.map(headingOf))
        const cells = rows.map((row) => fields.map((field) => (row[field.name] ?? '').replaceAll('_', ' ')))
        utils.sheet_add_aoa(sheet, cells, { origin: 'A3' })
      }
      const filled = join(temporaryFolder(), 'filled.xlsx')
      writeFileSync(filled, write(workbook, { type: 'buffer', bookType: 'xlsx' }))
      const records = await readRecords(filled, { today })
      expect(records.restorations.rowCount).toBe(20)
      expect(records.quality.problems.filter((one) => one.severity !== 'note')).toEqual([])
      expect(records.quality.problems.map((one) => one.code)).toContain('example-row')
    },
  )

  it('has headings that are read as their fields', () => {
    for (const sheet of [...tableNames, 'one_sheet'] as const) {
      for (const field of workbookFields(sheet)) expect(headerWord(headingOf(field))).toBe(field.name)
    }
    expect(headingOf(fieldOf('one_sheet', 'target_torque_ncm')!)).toBe('Target torque (Ncm)')
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
