import { describe, expect, it } from 'vitest'
import { dayFromIso, isoFromDay } from '../../src/core/calendar.js'
import { layoutOf } from '../../src/records/read/importCsv.js'
import {
  dateOrderOf,
  dateOrderOfFormat,
  dateOrderOfHeader,
  dayOfText,
} from '../../src/records/understand/dates.js'
import { fullYear, monthOfName } from '../../src/records/understand/datesByMap.js'
import { readHeader, withoutUnit } from '../../src/records/understand/headerSynonyms.js'
import { decimalMarkOf, numberOfText, unitOf, withUnit } from '../../src/records/understand/numbers.js'
import { isoOfSerial } from '../../src/records/understand/serialDates.js'
import {
  archOf,
  positionKind,
  positionNumber,
  regionOf,
  schemeReader,
} from '../../src/records/understand/toothPosition.js'
import { unitFactor } from '../../src/records/understand/unitFactors.js'
import { visitOfHeader } from '../../src/records/understand/visitHeaders.js'

const once = (values: readonly string[]): Int32Array => new Int32Array(values.length).fill(1)

describe('tooth positions', () => {
  // The schemes are facts of the trade: ISO 3950 (quadrant and position), the numbers 1 to 32 that run from the upper
  // right third molar round to the lower right one, quadrant letters, and plus for the upper jaw. Common practice.
  const oneTo32 = [
    18, 17, 16, 15, 14, 13, 12, 11, 21, 22, 23, 24, 25, 26, 27, 28, 38, 37, 36, 35, 34, 33, 32, 31, 41, 42,
    43, 44, 45, 46, 47, 48,
  ]

  it('of 1 to 32 run round both jaws', () => {
    const read = schemeReader('1-32')
    expect(oneTo32.map((_, index) => read(String(index + 1)))).toEqual(oneTo32)
    expect(['0', '33', 'x', '1.5'].map(read)).toEqual([undefined, undefined, undefined, undefined])
    expect(read('#19')).toBe(36)
  })

  it('in quadrant letters and with plus and minus name the same teeth', () => {
    const letters = schemeReader('quadrant-letters')
    const signs = schemeReader('plus-minus')
    expect(['UR6', 'UL6', 'LL6', 'LR6', 'ur 1', 'LL-8'].map(letters)).toEqual([16, 26, 36, 46, 11, 38])
    expect(['6+', '+6', '-6', '6-', '– 6'].map(signs)).toEqual([16, 26, 36, 46, 36])
    expect(letters('UR9')).toBeUndefined()
  })

  it('of ISO 3950 are permanent, deciduous or none', () => {
    const all = Array.from({ length: 100 }, (_, code) => code)
    expect(all.filter((code) => positionKind(code) === 'permanent')).toHaveLength(32)
    expect(all.filter((code) => positionKind(code) === 'deciduous')).toHaveLength(20)
    expect([positionKind(19), positionKind(56), positionKind(36.5)]).toEqual(['none', 'none', 'none'])
    expect(['36', '3.6', '3-6', '36.0', '3,6', '9', 'x'].map(positionNumber)).toEqual([
      36,
      36,
      36,
      36,
      36,
      9,
      undefined,
    ])
    expect([11, 28, 31, 48].map(archOf)).toEqual(['upper', 'upper', 'lower', 'lower'])
    expect([13, 14, 25, 36, 48].map(regionOf)).toEqual(['anterior', 'premolar', 'premolar', 'molar', 'molar'])
  })
})

describe('serial dates', () => {
  it('follow the two epochs of spreadsheets', () => {
    // ECMA-376 part 1, 18.17.4.1: in the 1900 system serial 1 is 1900-01-01 and 60 the day that never was; in the 1904
    // system serial 0 is 1904-01-01. 39448 is 2008-01-01 in the first, and 37986 in the second (1,462 days apart).
    expect([1, 59, 60, 61, 39_448, 43_831.99].map((serial) => isoOfSerial(serial, 1900))).toEqual([
      '1900-01-01',
      '1900-02-28',
      undefined,
      '1900-03-01',
      '2008-01-01',
      '2020-01-01',
    ])
    expect([0, 37_986].map((serial) => isoOfSerial(serial, 1904))).toEqual(['1904-01-01', '2008-01-01'])
    expect([-1, Number.NaN, 1e9].map((serial) => isoOfSerial(serial, 1900))).toEqual([
      undefined,
      undefined,
      undefined,
    ])
  })
})

describe('dates', () => {
  it('are decided by the first number above 12, once for the column', () => {
    const order = (values: readonly string[]) => dateOrderOf(values, once(values))
    expect(order(['13/01/2020', '01/02/2020'])).toEqual({
      state: 'decided',
      order: 'day-first',
      decidedBy: 1,
    })
    expect(order(['01/13/2020', '01/02/2020'])).toEqual({
      state: 'decided',
      order: 'month-first',
      decidedBy: 1,
    })
    expect(order(['12/12/2020', '01/02/2020'])).toEqual({ state: 'undecidable', ambiguous: 1 })
    expect(order(['13/01/2020', '01/13/2020'])).toEqual({
      state: 'contradictory',
      dayFirst: 1,
      monthFirst: 1,
    })
    expect(order(['2020-01-13'])).toEqual({ state: 'decided', order: 'year-first', decidedBy: 1 })
    expect(order(['', 'soon'])).toEqual({ state: 'no-dates' })
    // A day and month that are equal are the same date either way, and decide nothing.
    expect(order(['02/02/2020'])).toEqual({ state: 'no-dates' })
  })

  it('are read in the order of their column and never beyond the calendar', () => {
    const iso = (text: string, order: 'day-first' | 'month-first' | 'year-first') => {
      const day = dayOfText(text, order)
      return day === undefined ? undefined : isoFromDay(day)
    }
    expect(iso('03.04.2020', 'day-first')).toBe('2020-04-03')
    expect(iso('3/4/2020', 'month-first')).toBe('2020-03-04')
    expect(iso('3/4/2020', 'year-first')).toBeUndefined()
    expect(iso('4.4.2020', 'year-first')).toBe('2020-04-04')
    expect(iso('2020/2/29', 'day-first')).toBe('2020-02-29')
    expect(iso('2021-02-29', 'day-first')).toBeUndefined()
    expect(iso('29.02.2000 14:30', 'day-first')).toBe('2000-02-29')
    expect(iso('29.02.1900', 'day-first')).toBeUndefined()
    expect(dayOfText('20200101', 'year-first')).toBe(dayFromIso('2020-01-01'))
  })

  it('take their order from headers and from the formats of a data package', () => {
    expect(
      [
        'Delivery (DD/MM/YYYY)',
        'Datum TT.MM.JJJJ',
        'fecha dd-mm-aaaa',
        'Date (mm/dd/yyyy)',
        'yyyy-mm-dd',
        'Date',
      ].map(dateOrderOfHeader),
    ).toEqual(['day-first', 'day-first', 'day-first', 'month-first', 'year-first', undefined])
    expect(['%d/%m/%Y', '%m/%d/%Y', '%Y-%m-%d', 'default', undefined].map(dateOrderOfFormat)).toEqual([
      'day-first',
      'month-first',
      'year-first',
      undefined,
      undefined,
    ])
  })

  it('know years of two digits and months by name', () => {
    expect(
      [
        [49, 1950],
        [50, 1950],
        [0, 2000],
        [99, 1930],
        [30, 1930],
        [29, 1930],
      ].map(([two, from]) => fullYear(two!, from!)),
    ).toEqual([2049, 1950, 2000, 1999, 1930, 2029])
    expect(
      [
        'Jänner',
        'février',
        'Marzo',
        'abr.',
        'MAI',
        'giugno',
        'juillet',
        'août',
        'set',
        'Okt',
        'novembre',
        'dez',
      ].map(monthOfName),
    ).toEqual([1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12])
    expect(monthOfName('soon')).toBeUndefined()
  })
})

describe('numbers', () => {
  const anywhere = (): boolean => true

  it('have one decimal mark in the column', () => {
    const mark = (values: readonly string[], fits: (value: number) => boolean = anywhere) =>
      decimalMarkOf(values, once(values), fits)
    expect(mark(['1.5', '2'])).toEqual({ state: 'decided', mark: '.' })
    expect(mark(['1,5', '1,250'])).toEqual({ state: 'decided', mark: ',' })
    expect(mark(['1.5', '2,5'])).toEqual({ state: 'contradictory' })
    expect(mark(['1.250'])).toEqual({ state: 'undecidable', ambiguous: 1 })
    expect(mark(['1.250'], (value) => value < 10)).toEqual({ state: 'decided', mark: '.' })
    expect(mark(['1.250'], (value) => value > 10)).toEqual({ state: 'decided', mark: ',' })
    expect(mark(['35', ''])).toEqual({ state: 'decided', mark: '.' })
  })

  it('are read with thousands set apart, and nothing else is', () => {
    expect(
      ['1,250.5', "1'250", '1 250', '.5', '5.', '1e3', '-2', '+3'].map((text) => numberOfText(text, '.')),
    ).toEqual([1250.5, 1250, 1250, 0.5, 5, 1000, -2, 3])
    expect(['1.250,5', ',5', '2,0'].map((text) => numberOfText(text, ','))).toEqual([1250.5, 0.5, 2])
    expect(
      ['1,25', '1.2.3', 'abc', '', '1e999', '0x10', 'NaN', '--1'].map((text) => numberOfText(text, '.')),
    ).toEqual(Array.from({ length: 8 }, () => undefined))
  })

  it('have their units taken off', () => {
    expect(withUnit('35 N·cm')).toEqual({ number: '35', unit: 'N·cm' })
    expect(withUnit('0,35Nm')).toEqual({ number: '0,35', unit: 'N·m' })
    expect(withUnit('35')).toBeUndefined()
    expect(withUnit('35 apples')).toBeUndefined()
    expect(['Ncm', 'N.cm', 'N*mm', 'kgf cm', 'Min', '°', 'Sekunden'].map(unitOf)).toEqual([
      'N·cm',
      'N·cm',
      'N·mm',
      'kgf·cm',
      'min',
      '°',
      's',
    ])
    expect([
      unitFactor('N·m', 'N·cm'),
      unitFactor('N·mm', 'N·cm'),
      unitFactor('h', 'min'),
      unitFactor('mm', 'N·cm'),
    ]).toEqual([100, 0.1, 60, undefined])
    // Standard gravity, 9.80665 m/s² (3rd CGPM, 1901).
    expect(unitFactor('kgf·cm', 'N·cm')).toBe(9.80665)
  })
})

describe('headers', () => {
  it('give up their units', () => {
    expect(withoutUnit('Torque (Ncm)')).toEqual({ base: 'Torque', unit: 'N·cm' })
    expect(withoutUnit('Wait [min]')).toEqual({ base: 'Wait', unit: 'min' })
    expect(withoutUnit('Wartezeit Minuten')).toEqual({ base: 'Wartezeit', unit: 'min' })
    expect(withoutUnit('Delivery dd/mm/yyyy')).toEqual({ base: 'Delivery' })
    expect(withoutUnit('Age (years)')).toEqual({ base: 'Age' })
    expect(readHeader('one_sheet', 'Implant diameter (mm)')).toEqual({
      field: 'implant_diameter_mm',
      by: 'field name',
      unit: 'mm',
    })
    expect(readHeader('one_sheet', 'Delivery Date')).toEqual({ field: 'delivery_date', by: 'field name' })
    expect(readHeader('one_sheet', 'Shade')).toBeUndefined()
  })

  it('of visits side by side give number and field', () => {
    const read = (header: string): unknown => {
      const found = visitOfHeader(header)
      return found === undefined ? undefined : [found.visit, found.field, found.checked]
    }
    expect(
      [
        'Check 1',
        'Kontrolle 2 Befund',
        'finding at visit 3',
        'Controllo 1 data',
        'visite 4',
        'Recall2',
        'implant 1',
        'Tooth 2',
      ].map(read),
    ).toEqual([
      [1, 'visit_date', true],
      [2, 'finding', true],
      [3, 'finding', '?'],
      [1, 'visit_date', true],
      [4, 'visit_date', '?'],
      [2, 'visit_date', true],
      undefined,
      undefined,
    ])
  })
})

describe('the separator', () => {
  it('is the one of the header, outside quotation marks', () => {
    expect(layoutOf('a;b;c\n1,5;2;3\n').separator).toBe(';')
    expect(layoutOf('"a;x",b\n1,2\n').separator).toBe(',')
    expect(layoutOf('title\n\na\tb\tc\n').separator).toBe('\t')
    expect(layoutOf('sep=|\na|b\n')).toEqual({ separator: '|', statedInFirstLine: true })
    expect(layoutOf('only one column\n').separator).toBe(',')
  })
})
