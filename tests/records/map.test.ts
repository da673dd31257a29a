import { readFileSync, writeFileSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { isoFromDay } from '../../src/core/calendar.js'
import { RecordError, UsageError } from '../../src/core/errors.js'
import { missingDay } from '../../src/records/columns.js'
import type { RecordSet } from '../../src/records/dataset.js'
import type { RecordsRefused } from '../../src/records/problems.js'
import { checkRecords, readRecords } from '../../src/records/read/readDataset.js'
import { type ColumnMap, type MappedColumn, parseColumnMap } from '../../src/records/understand/columnMap.js'
import { readColumnMap } from '../../src/records/understand/findColumnMap.js'
import { confirmColumnMap, mapColumns, saveColumnMap } from './mapping.js'
import { temporaryFolder, today, writtenFile } from './practice.js'

/** A map of the one-sheet form for the given columns. */
function mapOf(columns: readonly Partial<MappedColumn>[], more: object = {}): ColumnMap {
  const text = JSON.stringify({
    holdfastColumnMap: 1,
    confirmed: true,
    sheets: [{ sheet: 'one_sheet', file: 'sheet.csv', columns, ...more }],
  })
  return parseColumnMap(text, 'columns.map.json')
}

const basics: readonly Partial<MappedColumn>[] = [
  { header: 'patient_id', field: 'patient_id' },
  { header: 'last_check_date', field: 'last_check_date' },
  { header: 'first_loosening_date', field: 'first_loosening_date' },
]

/** Delivery days, as ISO dates, of a sheet whose delivery column holds the given texts. */
async function deliveries(
  texts: readonly string[],
  column: Partial<MappedColumn>,
): Promise<readonly string[]> {
  const rows = texts.map((text, index) => `P${index},${text},2024-12-30,`)
  const path = writtenFile(
    'sheet.csv',
    ['patient_id,when,last_check_date,first_loosening_date', ...rows].join('\n'),
  )
  const columnMap = mapOf([...basics, { header: 'when', field: 'delivery_date', ...column }])
  const records = await readRecords(path, { today, columnMap, setAsideLimit: 1 })
  return [...records.restorations.day('delivery_date')].map((day) =>
    day === missingDay ? 'unknown' : isoFromDay(day),
  )
}

/** A sheet as a German practice may keep it: title, semicolons, decimal commas, checks side by side, a total. */
function germanSheet(): string {
  const rows = Array.from({ length: 12 }, (_, index) =>
    [
      `P${index >> 1}`,
      [36, 46, 14, 25][index % 4],
      `${13 + index}.02.2019`,
      index % 2 === 1 ? 'verschraubt' : 'zementiert',
      index % 2 === 1 ? '2' : '1',
      '0,35',
      `${13 + index}.02.2020`,
      index % 5 === 0 ? 'Schraube locker' : 'o.B.',
      index % 3 === 0 ? '' : 'x',
    ].join(';'),
  )
  const header =
    'Patient;Zahn;Eingliederung am;Befestigung;Anzahl Anzüge;Drehmoment (Nm);Kontrolle 1;Kontrolle 1 Befund;Schiene'
  return ['Implantatkronen;;;;;;;;', header, ...rows, 'Summe;;;;18;;;;', ''].join('\r\n')
}

function labelsOf(records: RecordSet, field: string): readonly (string | undefined)[] {
  const { labels, codes } = records.restorations.category(field)
  return [...codes].map((code) => labels[code])
}

describe('the proposed map', () => {
  it('understands a German sheet, with its evidence, and is reused for the next export', async () => {
    const path = writtenFile('praxis.csv', germanSheet())
    const { map, open } = await mapColumns(path)
    expect(open).toEqual([])
    const fields = map.sheets[0]!.columns.map((column) => [column.header, column.field, column.visit])
    expect(fields).toEqual([
      ['Patient', 'patient_id', undefined],
      ['Zahn', 'tooth_position', undefined],
      ['Eingliederung am', 'delivery_date', undefined],
      ['Befestigung', 'retention_mode', undefined],
      ['Anzahl Anzüge', 'tightenings_at_delivery', undefined],
      ['Drehmoment (Nm)', 'target_torque_ncm', undefined],
      ['Kontrolle 1', 'visit_date', 1],
      ['Kontrolle 1 Befund', 'finding', 1],
      ['Schiene', 'occlusal_guard', undefined],
    ])
    expect(map.sheets[0]!.columns[5]).toEqual({
      header: 'Drehmoment (Nm)',
      field: 'target_torque_ncm',
      decimalMark: ',',
      unit: 'N·m',
      evidence: [
        'the header is German wording for target_torque_ncm',
        'decimals are set apart by commas',
        'the header states N·m',
      ],
    })
    expect(map.sheets[0]!.columns[8]!.values).toEqual({ x: 'yes', '': 'no' })
    expect(map.sheets[0]!.columns[8]!.evidence).toContain(
      'one mark and blanks: proposed as yes and no, and it wants your word',
    )

    const saved = await saveColumnMap(path, map)
    expect(saved.endsWith('praxis.csv.map.json')).toBe(true)
    const unconfirmed = await readRecords(path, { today }).catch((error: unknown) => error)
    expect((unconfirmed as RecordsRefused).message).toContain(
      '1. the column map is a proposal that nobody has confirmed. Expected: a map in which "confirmed" is true. Mend: read the map, correct it where it is wrong, and write "confirmed": true.',
    )

    await saveColumnMap(path, confirmColumnMap(await readColumnMap(saved)))
    const records = await readRecords(path, { today })
    expect(records.quality.problems.map((one) => `${one.severity} ${one.code}`)).toEqual([
      'note column-map-used',
      'note header-below-top',
      'note total-row',
      'note restoration-ids-made',
    ])
    expect(labelsOf(records, 'retention_mode').slice(0, 2)).toEqual(['cement', 'screw'])
    expect(labelsOf(records, 'occlusal_guard').slice(0, 2)).toEqual(['no', 'yes'])
    expect([...records.tightenings.number('target_torque_ncm').slice(0, 3)]).toEqual([35, 35, 35])
    const finding = records.visits.category('finding')
    expect([...finding.codes].filter((code) => finding.labels[code] === 'screw_loosening')).toHaveLength(3)
    expect([...records.visits.day('visit_date')]).toEqual(Array.from({ length: 12 }, () => 365))

    const later = writtenFile('export-2025.csv', germanSheet().replace('Implantatkronen', 'Kronen'))
    const again = await readRecords(later, { today, columnMap: await readColumnMap(saved) })
    expect(again.restorations.rowCount).toBe(12)
  })

  it('never writes to the data set', async () => {
    const path = writtenFile('praxis.csv', germanSheet())
    await mapColumns(path)
    expect(readFileSync(path, 'utf8')).toBe(germanSheet())
  })

  it.each([
    ['English', 'Patient ID,Tooth,Delivery date,Torque,Last check,First loosening,Bruxism'],
    ['German', 'Patienten-ID,Zahn,Eingliederungsdatum,Drehmoment,Letzte Kontrolle,Erste Lockerung,Bruxismus'],
    ['French', 'ID patient,Dent,Date de pose,Couple de serrage,Dernier contrôle,Premier dévissage,Bruxisme'],
    ['Spanish', 'Paciente,Pieza,Fecha de entrega,Par de apriete,Último control,Primer aflojamiento,Bruxismo'],
    [
      'Portuguese',
      'Código do paciente,Elemento,Data da entrega,Torque,Último controlo,Primeiro afrouxamento,Bruxismo',
    ],
    ['Italian', 'Paziente,Elemento,Data di consegna,Coppia,Ultimo controllo,Primo allentamento,Bruxismo'],
  ])('knows %s trade wording', async (_language, header) => {
    const path = writtenFile('sheet.csv', `${header}\nP1,36,2019-03-14,35,2020-03-14,,no\n`)
    const { map } = await mapColumns(path)
    expect(map.sheets[0]!.columns.map((column) => column.field)).toEqual([
      'patient_id',
      'tooth_position',
      'delivery_date',
      'target_torque_ncm',
      'last_check_date',
      'first_loosening_date',
      'bruxism',
    ])
  })

  it('leaves to the user what neither header nor values decide', async () => {
    const header = 'Patient,Tooth,Delivery,Torque,Last check,Loosening,Type,Visit 1'
    const rows = [
      'P1,14,03/04/2019,0.35,43900,1/2/20,grande,05/06/2021',
      'P2,16,05/06/2019,0.30,43910,,crown,07/08/2021',
    ]
    const path = writtenFile('sheet.csv', [header, ...rows].join('\n'))
    const { map, open } = await mapColumns(path)
    expect(open.map(({ header: column, what }) => `${column}: ${what}`)).toEqual([
      'Tooth: scheme',
      'Delivery: dateOrder',
      'Torque: unit',
      'Last check: serialDates',
      'Loosening: dateOrder',
      'Loosening: twoDigitYearsFrom',
      'Type: values',
      'Visit 1: checked',
      'Visit 1: dateOrder',
    ])
    const columnMap = confirmColumnMap(map)
    const thrown = await readRecords(path, { today, columnMap }).catch((error: unknown) => error)
    const { message } = thrown as RecordsRefused
    expect(message).toContain(
      'sheet.csv, column Delivery: the column map leaves open "dateOrder" of this column. Expected: a map without question marks. Mend: write in the column map, at the entry of this header, what "dateOrder" is in place of "?".',
    )
    expect(message).toContain('sheet.csv, column Torque: the column map leaves open "unit"')
  })

  it('takes the order of dates that a header states', async () => {
    const path = writtenFile(
      'sheet.csv',
      'Patient,Delivery (dd/mm/yyyy),Letzte Kontrolle TT.MM.JJJJ\nP1,03/04/2019,05.06.2020\n',
    )
    const { map, open } = await mapColumns(path)
    expect(open.filter(({ what }) => what === 'dateOrder')).toEqual([])
    expect(map.sheets[0]!.columns.map(({ field, dateOrder }) => [field, dateOrder])).toEqual([
      ['patient_id', undefined],
      ['delivery_date', 'day-first'],
      ['last_check_date', 'day-first'],
    ])
  })

  it('does not write out words that may name a person', async () => {
    const path = writtenFile('sheet.csv', 'Patient,Type\nP1,Ada Musterfrau\nP2,crown\n')
    const { map } = await mapColumns(path)
    expect(JSON.stringify(map)).not.toContain('Musterfrau')
    expect(map.sheets[0]!.columns[1]!.values).toEqual({ crown: 'single_crown', '': '?' })
  })
})

describe('reading by the map', () => {
  it('reads dates that only the map can settle', async () => {
    expect(await deliveries(['13.02.19', '14.02.98'], { twoDigitYearsFrom: 1950 })).toEqual([
      '2019-02-13',
      '1998-02-14',
    ])
    expect(await deliveries(['03/04/19'], { twoDigitYearsFrom: 1950, dateOrder: 'month-first' })).toEqual([
      '2019-03-04',
    ])
    const named = [
      '3 März 2019',
      '3. mars 2019',
      'March 3 2019',
      '3 de marzo de 2019',
      '3-Mar-2019',
      '3 março 2019',
    ]
    expect(await deliveries(named, { monthNames: true })).toEqual(named.map(() => '2019-03-03'))
    expect(await deliveries(['5/2019', '2019', '2019-11'], { partialDates: 'middle' })).toEqual([
      '2019-05-15',
      '2019-07-01',
      '2019-11-15',
    ])
    expect(await deliveries(['2/2020', '2019'], { partialDates: 'last' })).toEqual([
      '2020-02-29',
      '2019-12-31',
    ])
  })

  it('reads serial dates in both epochs', async () => {
    // 43831 is 1 January 2020 in the epoch of 1900 and 42369 in that of 1904: they differ by 1,462 days (ECMA-376, 18.17.4).
    expect(await deliveries(['43831', '43831.75'], { serialDates: 1900 })).toEqual([
      '2020-01-01',
      '2020-01-01',
    ])
    expect(await deliveries(['42369'], { serialDates: 1904 })).toEqual(['2020-01-01'])
  })

  it('reads units as the map states them, in cells, and in a column of their own', async () => {
    const head = 'patient_id,delivery_date,last_check_date,first_loosening_date,n,torque,unit'
    const rows = ['P1,2019-01-01,2020-01-01,,1,0.35,Nm', 'P2,2019-01-02,2020-01-01,,1,35,N·cm']
    const columns = [
      ...basics,
      { header: 'delivery_date', field: 'delivery_date' },
      { header: 'n', field: 'tightenings_at_delivery' },
    ]
    const read = async (lines: readonly string[], torque: Partial<MappedColumn>) => {
      const path = writtenFile('sheet.csv', [head, ...lines].join('\n'))
      const columnMap = mapOf([...columns, { header: 'torque', field: 'target_torque_ncm', ...torque }])
      return [...(await readRecords(path, { today, columnMap })).tightenings.number('target_torque_ncm')]
    }
    expect(await read(rows, { unitColumn: 'unit' })).toEqual([35, 35])
    expect(
      await read([rows[0]!, rows[0]!.replace('P1', 'P3').replace('0.35', '0.3')], { unit: 'N·m' }),
    ).toEqual([35, 30])
    const inCells = [rows[0]!.replace('0.35', '350 Nmm'), rows[1]!.replace(',35,', ',35 Ncm,')]
    expect(await read(inCells, { unit: 'in-cells' })).toEqual([35, 35])
    await expect(read(inCells, {})).rejects.toThrow(
      'a value is written with another unit than that of the field',
    )
    // More numbers with units than the codes of either column tell apart.
    const torques = Array.from({ length: 400 }, (_one, i) => 20 + (i % 200) / 10)
    const many = torques.map(
      (torque, i) => `P${i},2019-01-01,2020-01-01,,1,${torque},${i < 200 ? 'N·cm' : 'Ncm'}`,
    )
    expect(await read(many, { unitColumn: 'unit' })).toEqual(torques)
  })

  it('fills in constants, joins headers of two rows and tells equal headers apart by position', async () => {
    const text = [
      'Who,Delivery,,Check,',
      ',date,torque,date,result',
      'P1,2019-01-01,35,2020-01-01,none',
      'P2,2019-01-02,35,2020-01-01,screw loosening',
    ].join('\n')
    const columnMap = mapOf(
      [
        { header: 'Who', field: 'patient_id' },
        { header: 'Delivery date', field: 'delivery_date' },
        { header: 'Delivery torque', field: 'target_torque_ncm' },
        { header: 'Check date', position: 4, field: 'visit_date', visit: 1, checked: true },
        { header: 'Check result', field: 'finding', visit: 1 },
      ],
      { headerRows: 2, constants: { restoration_type: 'single_crown' } },
    )
    const records = await readRecords(writtenFile('sheet.csv', text), { today, columnMap })
    expect(labelsOf(records, 'restoration_type')).toEqual(['single_crown', 'single_crown'])
    expect(records.visits.rowCount).toBe(2)
    const { labels, codes } = records.visits.category('finding')
    expect([...codes].map((code) => labels[code])).toEqual(['none', 'screw_loosening'])
  })

  it('says that a mapped column is missing', async () => {
    const path = writtenFile(
      'sheet.csv',
      'patient_id,last_check_date,first_loosening_date,delivery_date\nP1,,,2020-01-01\n',
    )
    const columnMap = mapOf([...basics, { header: 'Eingesetzt', field: 'delivery_date' }])
    const { problems } = await checkRecords(path, { today, columnMap })
    expect(problems.map((one) => one.code)).toContain('mapped-column-missing')
  })
})

describe('a map that cannot be used', () => {
  it.each([
    ['{', 'it is not JSON'],
    [
      '{"holdfastColumnMap":1,"confirmed":true,"sheets":[]}',
      'sheets: too small: expected array to have >=1 items',
    ],
    [
      '{"holdfastColumnMap":1,"confirmed":true,"sheets":[{"sheet":"one_sheet","file":"a","columns":[{"header":"a","field":"nonsense"}]}]}',
      'there is no field nonsense in one_sheet',
    ],
    [
      '{"holdfastColumnMap":1,"confirmed":true,"sheets":[{"sheet":"visits","file":"a","columns":[{"header":"a","field":"finding","visit":1}]}]}',
      'a visit number stands in a sheet that is not in the one-sheet form',
    ],
  ])('%s', (text, what) => {
    const thrown = (() => {
      try {
        return parseColumnMap(text, 'mine.map.json')
      } catch (error) {
        return error
      }
    })()
    expect(thrown).toBeInstanceOf(RecordError)
    expect((thrown as RecordError).message).toBe(
      `mine.map.json: the column map cannot be used: ${what}. Expected: a column map as holdfast map writes it. Mend: put it right, or make a new one with holdfast map.`,
    )
  })

  it('is missed by a UsageError', async () => {
    const path = join(temporaryFolder(), 'none.json')
    const thrown = await readColumnMap(path).catch((error: unknown) => error)
    expect(thrown).toBeInstanceOf(UsageError)
    expect((thrown as UsageError).code).toBe('no-such-map')
  })

  it('leaves nothing half written', async () => {
    const path = writtenFile('praxis.csv', germanSheet())
    const { map } = await mapColumns(path)
    const folder = dirname(path)
    writeFileSync(join(folder, 'praxis.csv.map.json'), 'mine')
    await saveColumnMap(path, map)
    expect(JSON.parse(readFileSync(join(folder, 'praxis.csv.map.json'), 'utf8')).confirmed).toBe(false)
  })
})
