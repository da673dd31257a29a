import { gzipSync } from 'node:zlib'
import { type CellObject, utils, type WorkBook, type WorkSheet, write } from '@e965/xlsx'
import { csvOf, oneSheet, type Row } from './practice.js'

/** A small file as a practice may bring it, and what must come of reading it. */
export interface CorpusFile {
  readonly title: string
  readonly name: string
  readonly content: string | Uint8Array
  /** Restorations that are read; undefined where the run stops. */
  readonly restorations: number | undefined
  /** "severity code" of every problem, in order. */
  readonly problems: readonly string[]
  /** Days of the visits of the first restoration, where they show that dates were read right. */
  readonly firstVisits?: readonly number[]
  /** Target torque of the first tightening, where it shows that numbers were read right. */
  readonly firstTorque?: number
}

const count = 30
const rows: readonly Row[] = oneSheet(count)
const plain = csvOf(rows)

function changed(change: (row: Row, index: number) => void): Row[] {
  return oneSheet(count).map((row, index) => {
    const copy: Row = { ...row }
    change(copy, index)
    return copy
  })
}

/** Every date of the sheet in another form. */
function withDates(form: (year: string, month: string, day: string) => string): Row[] {
  return changed((row) => {
    for (const [field, value] of Object.entries(row)) {
      const match = /^(\d{4})-(\d{2})-(\d{2})$/.exec(value)
      if (match !== null) row[field] = form(match[1]!, match[2]!, match[3]!)
    }
  })
}

function utf16(text: string, littleEndian: boolean, mark: boolean): Uint8Array {
  const bytes = Buffer.from((mark ? '\ufeff' : '') + text, 'utf16le')
  return littleEndian ? bytes : bytes.swap16()
}

function windows1252(text: string): Uint8Array {
  return Buffer.from(text, 'latin1')
}

/** Workbook with one sheet of rows; cells may be changed before it is written. */
function workbook(
  table: readonly Row[],
  change: (sheet: WorkSheet, book: WorkBook) => void = () => {},
  name = 'Tabelle1',
): Uint8Array {
  const header = Object.keys(table[0]!)
  const sheet = utils.aoa_to_sheet([header, ...table.map((row) => header.map((field) => row[field] ?? ''))])
  const book = utils.book_new()
  utils.book_append_sheet(book, sheet, name)
  change(sheet, book)
  return write(book, { type: 'buffer', bookType: 'xlsx', compression: true })
}

const dateFields = [
  'delivery_date',
  'last_check_before_loosening_date',
  'first_loosening_date',
  'last_check_date',
]

/** Turns the ISO dates of a sheet into serial numbers with a date format. */
function serialDates(offset: number, format: string | undefined): (sheet: WorkSheet, book: WorkBook) => void {
  return (sheet, book) => {
    const header = Object.keys(rows[0]!)
    for (const field of dateFields) {
      const column = header.indexOf(field)
      for (let row = 1; row <= rows.length; row++) {
        const at = utils.encode_cell({ r: row, c: column })
        const text = String((sheet[at] as CellObject | undefined)?.v ?? '')
        if (text === '') continue
        const serial = Date.parse(text) / 86_400_000 + offset
        sheet[at] = { t: 'n', v: serial, ...(format === undefined ? {} : { z: format }) }
      }
    }
    if (offset === 24_107) book.Workbook = { WBProps: { date1904: true } }
  }
}

function cellOf(field: string, row: number): string {
  return utils.encode_cell({ r: row - 1, c: Object.keys(rows[0]!).indexOf(field) })
}

const fine = { restorations: count, problems: [] } as const
const stops = (...codes: readonly string[]) => ({
  restorations: undefined,
  problems: codes.map((code) => `stop ${code}`),
})
const ids = (problems: readonly string[]) => ({ restorations: count, problems })

const encodings: readonly CorpusFile[] = [
  { title: 'UTF-8', name: 'a.csv', content: plain, ...fine, firstVisits: [730], firstTorque: 35 },
  { title: 'UTF-8 with BOM', name: 'a.csv', content: `\ufeff${plain}`, ...fine },
  { title: 'UTF-16 little endian with BOM', name: 'a.csv', content: utf16(plain, true, true), ...fine },
  { title: 'UTF-16 big endian with BOM', name: 'a.csv', content: utf16(plain, false, true), ...fine },
  { title: 'UTF-16 little endian without BOM', name: 'a.csv', content: utf16(plain, true, false), ...fine },
  { title: 'UTF-16 big endian without BOM', name: 'a.csv', content: utf16(plain, false, false), ...fine },
  {
    title: 'Windows-1252 with letters that UTF-8 does not have so',
    name: 'a.csv',
    content: windows1252(csvOf(changed((row) => Object.assign(row, { clinic_id: 'Köln' })))),
    ...ids(['note read-as-windows-1252']),
  },
  {
    title: 'UTF-8 with letters with accents',
    name: 'a.csv',
    content: csvOf(changed((row) => Object.assign(row, { clinic_id: 'Köln' }))),
    ...fine,
  },
  { title: 'compressed', name: 'a.csv.gz', content: gzipSync(plain), ...fine },
  { title: 'compressed, UTF-16', name: 'a.csv.gz', content: gzipSync(utf16(plain, true, true)), ...fine },
  {
    title: 'compressed and cut short',
    name: 'a.csv.gz',
    content: gzipSync(plain).subarray(0, 200),
    ...stops('broken-compression'),
  },
  { title: 'compressed, and nothing in it', name: 'a.csv.gz', content: gzipSync(''), ...stops('empty-file') },
]

const layouts: readonly CorpusFile[] = [
  { title: 'semicolons', name: 'a.csv', content: csvOf(rows, ';'), ...fine },
  { title: 'tabs', name: 'a.tsv', content: csvOf(rows, '\t'), ...fine },
  { title: 'bars', name: 'a.txt', content: csvOf(rows, '|'), ...fine },
  {
    title: 'separator stated in the first line',
    name: 'a.csv',
    content: `sep=;\r\n${csvOf(rows, ';')}`,
    ...ids(['note header-below-top']),
  },
  { title: 'Windows line ends', name: 'a.csv', content: plain.replaceAll('\n', '\r\n'), ...fine },
  { title: 'old Macintosh line ends', name: 'a.csv', content: plain.replaceAll('\n', '\r'), ...fine },
  { title: 'mixed line ends', name: 'a.csv', content: plain.replace('\n', '\r\n'), ...fine },
  { title: 'no line end at the end', name: 'a.csv', content: plain.trimEnd(), ...fine },
  { title: 'everything in quotation marks', name: 'a.csv', content: quoted(plain), ...fine },
  { title: 'blank rows', name: 'a.csv', content: plain.replaceAll('\n', '\n\n'), ...fine },
  { title: 'rows of separators alone', name: 'a.csv', content: `${plain},,,,,,,,,,\n,,\n`, ...fine },
  {
    title: 'repeated header',
    name: 'a.csv',
    content: plain + plain.split('\n')[0],
    ...ids(['note repeated-header']),
  },
  {
    title: 'trailing total',
    name: 'a.csv',
    content: `${plain}Total,,,,,45,,,,,\n`,
    ...ids(['note total-row']),
  },
  {
    title: 'German trailing total',
    name: 'a.csv',
    content: `${plain},Summe:,,,,45,,,,,\n`,
    ...ids(['note total-row']),
  },
  {
    title: 'title above the header',
    name: 'a.csv',
    content: `Crowns on implants\n\n${plain}`,
    ...ids(['note header-below-top']),
  },
  {
    title: 'short row',
    name: 'a.csv',
    content: plain.replace('\nR0002,P0001,', '\nR0099,P0099,2019-02-02\nR0002,P0001,'),
    restorations: 31,
    problems: ['warn row-too-short', 'warn no-tightening-at-delivery'],
  },
  {
    title: 'long row',
    name: 'a.csv',
    content: plain.replace('\nR0002', '\nR0099,P0099,2019-02-02,36,single_crown,1,,35,,,2020-01-01,9\nR0002'),
    ...stops('row-too-long'),
  },
  {
    title: 'surplus separators at the end of rows',
    name: 'a.csv',
    content: plain.replaceAll('\n', ',,\n'),
    ...fine,
  },
  {
    title: 'decimal commas between commas, unquoted',
    name: 'a.csv',
    content: csvOf(changed((row) => Object.assign(row, { target_torque_ncm: '35,5' }))),
    restorations: undefined,
    problems: ['stop row-too-long', 'stop too-many-set-aside'],
  },
  {
    title: 'duplicate header of an unused column',
    name: 'a.csv',
    content: withColumns(['note', 'note'], 'x'),
    ...ids(['warn possible-identifier-column', 'note columns-not-used']),
  },
  {
    title: 'duplicate header of a field',
    name: 'a.csv',
    content: withColumns(['patient_id'], 'P1'),
    ...stops('doubled-column'),
  },
  {
    title: 'header in other letter case and spacing',
    name: 'a.csv',
    content: plain.replace(
      'restoration_id,patient_id,delivery_date',
      'Restoration ID,PATIENT-ID, Delivery Date ',
    ),
    ...fine,
  },
  {
    title: 'column without a header',
    name: 'a.csv',
    content: withColumns([''], 'x'),
    ...ids(['note columns-not-used']),
  },
  {
    title: 'merged header on two rows',
    name: 'a.csv',
    content: `Crown,,,,,Delivery,,,Checks,,\n${plain}`,
    ...ids(['note header-below-top']),
  },
  {
    title: 'ten thousand columns',
    name: 'a.csv',
    content: withColumns(
      Array.from({ length: 10_000 }, (_, index) => `c${index}`),
      'x',
    ),
    ...stops('too-many-columns'),
  },
]

function quoted(text: string): string {
  return text.replace(/[^,\n]+/g, (value) => `"${value}"`)
}

function withColumns(headers: readonly string[], value: string): string {
  return plain
    .trimEnd()
    .split('\n')
    .map((line, index) => [line, ...headers.map((header) => (index === 0 ? header : value))].join(','))
    .concat('')
    .join('\n')
}

const values: readonly CorpusFile[] = [
  {
    title: 'quotation mark that never closes',
    name: 'a.csv',
    content: plain.replace('R0003', '"R0003'),
    ...stops('quotation-mark-not-closed'),
  },
  {
    title: 'quotation mark inside a value',
    name: 'a.csv',
    content: plain.replace('R0003', 'R00"03'),
    ...fine,
  },
  {
    title: 'text after a closing quotation mark',
    name: 'a.csv',
    content: plain.replace('R0003', '"R0003"x'),
    ...stops('quotation-mark-misplaced'),
  },
  {
    title: 'quotation marks that swallow rows',
    name: 'a.csv',
    content: plain.replace('R0003', '"R0003').replace('R0005,', 'R0005",'),
    restorations: undefined,
    problems: ['stop quotation-mark-swallows-rows', 'warn long-text'],
  },
  {
    title: 'quotation mark doubled inside a value',
    name: 'a.csv',
    content: csvOf(changed((row) => Object.assign(row, { clinic_id: '"A ""1"""' }))),
    ...fine,
  },
  {
    title: 'line end inside a value',
    name: 'a.csv',
    content: csvOf(changed((row) => Object.assign(row, { clinic_id: '"A\n1"' }))),
    ...fine,
  },
  {
    title: 'ISO dates with a time',
    name: 'a.csv',
    content: csvOf(withDates((y, m, d) => `${y}-${m}-${d}T08:30:00`)),
    ...fine,
    firstVisits: [730],
  },
  {
    title: 'ISO dates without hyphens',
    name: 'a.csv',
    content: csvOf(withDates((y, m, d) => `${y}${m}${d}`)),
    ...fine,
    firstVisits: [730],
  },
  {
    title: 'dates with the year first and slashes',
    name: 'a.csv',
    content: csvOf(withDates((y, m, d) => `${y}/${m}/${d}`)),
    ...fine,
    firstVisits: [730],
  },
  {
    title: 'day first, decided by every column',
    name: 'a.csv',
    content: csvOf(withDates((y, m, d) => `${d}.${m}.${y}`)),
    ...fine,
    firstVisits: [730],
  },
  {
    title: 'month first, decided by every column',
    name: 'a.csv',
    content: csvOf(withDates((y, m, d) => `${m}/${d}/${y}`)),
    ...fine,
    firstVisits: [730],
  },
  {
    title: 'day first in long columns',
    name: 'a.csv',
    content: csvOf(withDates((y, m, d) => `${d}.${m}.${y}`).map(withoutLoosening)),
    ...fine,
    firstVisits: [730],
  },
  {
    title: 'month first in long columns',
    name: 'a.csv',
    content: csvOf(withDates((y, m, d) => `${m}/${d}/${y}`).map(withoutLoosening)),
    ...fine,
    firstVisits: [730],
  },
  {
    title: 'years of two digits',
    name: 'a.csv',
    content: csvOf(withDates((y, m, d) => `${d}.${m}.${y.slice(2)}`).map(withoutLoosening)),
    ...stops('two-digit-year', 'two-digit-year'),
  },
  {
    title: 'months in words',
    name: 'a.csv',
    content: csvOf(withDates((y, _m, d) => `${d} March ${y}`).map(withoutLoosening)),
    ...stops('month-in-words', 'month-in-words'),
  },
  {
    title: 'dates without a day',
    name: 'a.csv',
    content: csvOf(withDates((y, m) => `${m}/${y}`).map(withoutLoosening)),
    ...stops('partial-date', 'partial-date'),
  },
  {
    title: 'a day that never was',
    name: 'a.csv',
    content: csvOf(
      changed((row, index) => Object.assign(row, index === 4 ? { last_check_date: '2021-02-29' } : {})),
    ),
    ...stops('not-a-date'),
  },
  {
    title: 'decimal commas between semicolons',
    name: 'a.csv',
    content: csvOf(
      changed((row) => Object.assign(row, { target_torque_ncm: '34,5' })),
      ';',
    ),
    ...fine,
    firstTorque: 34.5,
  },
  {
    title: 'points and commas before decimals',
    name: 'a.csv',
    content: csvOf(
      changed((row, index) => Object.assign(row, { target_torque_ncm: index % 2 === 0 ? '34,5' : '34.5' })),
      ';',
    ),
    ...stops('decimal-mark-contradictory'),
  },
  {
    title: 'thousands or decimals that both readings allow',
    name: 'a.csv',
    content: csvOf(
      changed((row) => Object.assign(row, { wait_minutes: row.wait_minutes === '' ? '' : '1,200' })),
      ';',
    ),
    ...stops('decimal-mark-undecidable'),
  },
  {
    title: 'three digits after a mark of which one reading alone is plausible',
    name: 'a.csv',
    content: csvOf(
      changed((row) => Object.assign(row, { target_torque_ncm: '35,000' })),
      ';',
    ),
    ...fine,
    firstTorque: 35,
  },
  {
    title: 'no-break spaces around values',
    name: 'a.csv',
    content: csvOf(
      changed((row) =>
        Object.assign(row, {
          target_torque_ncm: '\u00a035\u202f',
          tooth_position: `\u00a0${row.tooth_position}`,
        }),
      ),
    ),
    ...fine,
    firstTorque: 35,
  },
  {
    title: 'typographic quotation marks around values',
    name: 'a.csv',
    content: csvOf(
      changed((row) => Object.assign(row, { tooth_position: `“${row.tooth_position}”`, clinic_id: '„A“' })),
    ),
    ...fine,
  },
  {
    title: 'apostrophes before values',
    name: 'a.csv',
    content: csvOf(changed((row) => Object.assign(row, { tooth_position: `'${row.tooth_position}` }))),
    ...fine,
  },
  {
    title: 'text kept by a formula',
    name: 'a.csv',
    content: csvOf(changed((row) => Object.assign(row, { patient_id: `="${row.patient_id}"` }))),
    ...fine,
  },
  {
    title: 'text kept by a formula, quoted as RFC 4180 has it',
    name: 'a.csv',
    content: csvOf(changed((row) => Object.assign(row, { patient_id: `"=""${row.patient_id}"""` }))),
    ...fine,
  },
  {
    title: 'spaces around quotation marks',
    name: 'a.csv',
    content: csvOf(changed((row) => Object.assign(row, { patient_id: ` "${row.patient_id}" ` }))),
    ...fine,
  },
  {
    title: 'formula-like text',
    name: 'a.csv',
    content: csvOf(
      changed((row, index) => Object.assign(row, { clinic_id: index === 2 ? '=HYPERLINK(A1)' : 'A' })),
    ),
    ...ids(['warn patient-in-two-clinics']),
  },
  {
    title: 'units behind numbers',
    name: 'a.csv',
    content: csvOf(changed((row) => Object.assign(row, { target_torque_ncm: '35 Ncm' }))),
    ...fine,
    firstTorque: 35,
  },
  {
    title: 'another unit behind numbers',
    name: 'a.csv',
    content: csvOf(
      changed((row, index) => Object.assign(row, { target_torque_ncm: index === 0 ? '0.35 Nm' : '35 Ncm' })),
    ),
    ...stops('other-unit'),
  },
  {
    title: 'torque in N·m',
    name: 'a.csv',
    content: csvOf(changed((row) => Object.assign(row, { target_torque_ncm: '0.35' }))),
    ...stops('torque-unit-in-doubt'),
  },
  {
    title: 'torque in N·mm',
    name: 'a.csv',
    content: csvOf(changed((row) => Object.assign(row, { target_torque_ncm: '350' }))),
    ...stops('torque-unit-in-doubt'),
  },
  {
    title: 'positions of 1 to 32',
    name: 'a.csv',
    content: csvOf(changed((row, index) => Object.assign(row, { tooth_position: String(1 + index) }))),
    ...stops('position-scheme-in-doubt'),
  },
  {
    title: 'positions with a point',
    name: 'a.csv',
    content: csvOf(
      changed((row) => Object.assign(row, { tooth_position: row.tooth_position!.split('').join('.') })),
    ),
    ...fine,
  },
  {
    title: 'a deciduous position',
    name: 'a.csv',
    content: csvOf(changed((row, index) => Object.assign(row, index === 0 ? { tooth_position: '75' } : {}))),
    restorations: 29,
    problems: [
      'set-aside deciduous-position',
      'set-aside restoration-set-aside',
      'set-aside restoration-set-aside',
    ].slice(0, 1),
  },
  {
    title: 'unknown in words',
    name: 'a.csv',
    content: csvOf(changed((row) => Object.assign(row, { tooth_position: 'unknown', bruxism: 'n/a' }))),
    ...fine,
  },
  {
    title: 'a cell of a megabyte',
    name: 'a.csv',
    content: csvOf(
      changed((row, index) => Object.assign(row, { clinic_id: index === 0 ? 'x'.repeat(1 << 20) : 'A' })),
    ),
    ...ids(['warn long-text', 'warn patient-in-two-clinics']),
  },
  {
    title: 'a row of nine megabytes',
    name: 'a.csv',
    content: plain.replace('R0003', 'x'.repeat(9 << 20)),
    ...stops('row-too-large'),
  },
  {
    title: 'a NUL byte',
    name: 'a.csv',
    content: plain.replace('R0003', 'R00\u000003'),
    ...stops('binary-file'),
  },
  { title: 'a PDF', name: 'a.csv', content: '%PDF-1.7\n%\u0001\u0002\u0003\n', ...stops('binary-file') },
  {
    title: 'plain prose',
    name: 'a.csv',
    content: 'We have many crowns.\nMost of them hold.\n',
    restorations: undefined,
    problems: [
      'stop missing-column',
      'stop missing-column',
      'stop missing-column',
      'stop missing-column',
      'note columns-not-used',
    ],
  },
  {
    title: 'the markup of a web page',
    name: 'a.csv',
    content: '<html><body><table><tr><td>1</td></tr></table></body></html>\n',
    restorations: undefined,
    problems: [
      'stop no-rows',
      'stop missing-column',
      'stop missing-column',
      'stop missing-column',
      'stop missing-column',
      'note columns-not-used',
    ],
  },
]

/** Loosening dates are few, so that their own order cannot be decided; these sheets do without them. */
function withoutLoosening(row: Row): Row {
  return { ...row, first_loosening_date: '', last_check_before_loosening_date: '' }
}

const workbooks: readonly CorpusFile[] = [
  {
    title: 'workbook',
    name: 'a.xlsx',
    content: workbook(rows),
    ...fine,
    firstVisits: [730],
    firstTorque: 35,
  },
  {
    title: 'workbook whose rows end where nothing more is written',
    name: 'a.xlsx',
    content: workbook(
      changed((row, index) => Object.assign(row, { sex: index === 0 ? 'female' : '' })),
      (sheet) => {
        for (const [place, cell] of Object.entries(sheet))
          if (!place.startsWith('!') && (cell as CellObject).v === '') delete sheet[place]
      },
    ),
    ...fine,
  },
  {
    title: 'workbook with serial dates of 1900',
    name: 'a.xlsx',
    content: workbook(rows, serialDates(25_569, 'dd/mm/yyyy')),
    ...fine,
    firstVisits: [730],
  },
  {
    title: 'workbook with serial dates of 1904',
    name: 'a.xlsx',
    content: workbook(rows, serialDates(24_107, 'm/d/yy')),
    ...fine,
    firstVisits: [730],
  },
  {
    title: 'workbook with serial dates that have lost their format',
    name: 'a.xlsx',
    content: workbook(rows, serialDates(25_569, undefined)),
    ...stops('column-unreadable', 'column-unreadable', 'column-unreadable', 'column-unreadable'),
  },
  {
    title: 'workbook with formulas',
    name: 'a.xlsx',
    content: workbook(rows, (sheet) => {
      sheet[cellOf('target_torque_ncm', 2)] = { t: 'n', v: 35, f: '30+5' }
    }),
    ...fine,
    firstTorque: 35,
  },
  {
    title: 'workbook with a formula that gives an error',
    name: 'a.xlsx',
    content: workbook(rows, (sheet) => {
      sheet[cellOf('wait_minutes', 2)] = { t: 'e', v: 0x2a, f: 'NA()' }
    }),
    restorations: undefined,
    problems: ['stop not-a-number', 'warn formula-without-value'],
  },
  {
    title: 'workbook with a hidden sheet',
    name: 'a.xlsx',
    content: workbook(rows, (_sheet, book) => {
      utils.book_append_sheet(
        book,
        utils.aoa_to_sheet([
          ['a', 'b'],
          ['1', '2'],
        ]),
        'old',
      )
      book.Workbook = { Sheets: [{ Hidden: 0 }, { Hidden: 1 }] }
    }),
    ...ids(['warn hidden-sheet']),
  },
  {
    title: 'workbook with names on a hidden sheet',
    name: 'a.xlsx',
    content: workbook(rows, (_sheet, book) => {
      utils.book_append_sheet(
        book,
        utils.aoa_to_sheet([
          ['Name', 'code'],
          ['Ada Musterfrau', 'P0001'],
        ]),
        'key',
      )
      book.Workbook = { Sheets: [{ Hidden: 0 }, { Hidden: 2 }] }
    }),
    restorations: undefined,
    problems: ['stop identifier-column', 'warn hidden-sheet'],
  },
  {
    title: 'workbook with two filled sheets',
    name: 'a.xlsx',
    content: workbook(rows, (_sheet, book) =>
      utils.book_append_sheet(
        book,
        utils.aoa_to_sheet([
          ['a', 'b'],
          ['1', '2'],
        ]),
        'other',
      ),
    ),
    ...stops('which-sheet'),
  },
  {
    title: 'workbook with a sheet by the name of the form',
    name: 'a.xlsx',
    content: workbook(
      rows,
      (_sheet, book) =>
        utils.book_append_sheet(
          book,
          utils.aoa_to_sheet([
            ['a', 'b'],
            ['1', '2'],
          ]),
          'other',
        ),
      'one_sheet',
    ),
    ...fine,
  },
  {
    title: 'workbook with merged cells',
    name: 'a.xlsx',
    content: workbook(rows, (sheet) => {
      sheet['!merges'] = [{ s: { r: 1, c: 4 }, e: { r: 2, c: 4 } }]
    }),
    ...stops('merged-cells'),
  },
  {
    title: 'workbook with the author in its properties',
    name: 'a.xlsx',
    content: workbook(rows, (_sheet, book) => {
      book.Props = { Author: 'A. Musterfrau' }
    }),
    ...ids(['warn document-properties']),
  },
  {
    title: 'workbook with comments',
    name: 'a.xlsx',
    content: workbook(rows, (sheet) => {
      ;(sheet.A2 as CellObject).c = [{ a: 'me', t: 'look here' }]
    }),
    ...ids(['warn cell-comments']),
  },
  { title: 'workbook with nothing in it', name: 'a.xlsx', content: emptyWorkbook(), ...stops('empty-file') },
  { title: 'workbook in the old binary form', name: 'a.xls', content: inForm('biff8'), ...fine },
  { title: 'workbook in the newer binary form', name: 'a.xlsb', content: inForm('xlsb'), ...fine },
  { title: 'open document sheet', name: 'a.ods', content: inForm('ods'), ...fine },
  {
    title: 'workbook that is cut short',
    name: 'a.xlsx',
    content: workbook(rows).subarray(0, 3_000),
    ...stops('unreadable-workbook'),
  },
  {
    title: 'zip that is no workbook',
    name: 'a.xlsx',
    content: Buffer.from('504b0506000000000000000000000000000000000000', 'hex'),
    ...stops('binary-file'),
  },
]

function emptyWorkbook(): Uint8Array {
  const book = utils.book_new()
  utils.book_append_sheet(book, utils.aoa_to_sheet([]), 'Sheet1')
  return write(book, { type: 'buffer', bookType: 'xlsx' })
}

function inForm(bookType: 'biff8' | 'xlsb' | 'ods'): Uint8Array {
  const header = Object.keys(rows[0]!)
  const sheet = utils.aoa_to_sheet([header, ...rows.map((row) => header.map((field) => row[field] ?? ''))])
  const book = utils.book_new()
  utils.book_append_sheet(book, sheet, 'Sheet1')
  return write(book, { type: 'buffer', bookType })
}

/** The corpus. */
export const corpusFiles: readonly CorpusFile[] = [...encodings, ...layouts, ...values, ...workbooks]
