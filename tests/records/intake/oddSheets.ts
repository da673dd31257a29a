import { utils, type WorkSheet } from '@e965/xlsx'
import { crowns, csv, dayFirst, file, type MessySheet, type TrueCrown, workbook } from './messySheets.js'

/** Crowns with one visit each: their last check, or the visit at which they were found loose. */
function withOneVisit(count: number, seed: number): readonly TrueCrown[] {
  return crowns(count, seed).map((crown) => {
    const checks = crown.visits.filter((one) => one.checked === 'yes')
    const loose = checks.find((one) => one.finding === 'screw_loosening')
    return { ...crown, visits: [loose ?? { ...checks.at(-1)!, finding: 'none' as const }] }
  })
}

const isLoose = ({ visits }: TrueCrown): boolean => visits[0]!.finding === 'screw_loosening'

/** Groups above single headers, and cells of the patient merged over the crowns of a mouth. */
function twoRowHeader(): MessySheet {
  const truth = withOneVisit(12, 31).map((crown, index, all) => {
    // Two crowns to a mouth: they share patient and sex.
    const { patient, sex } = all[index - (index % 2)]!
    return { ...crown, patient, sex }
  })
  const head = [
    ['', '', '', 'Placement', '', '', '', 'Check', ''],
    ['Patient', 'Sex', 'Site', 'date', 'torque', 'times', 'pause', 'date', 'result'],
  ]
  const rows = truth.map((crown, index) => [
    index % 2 === 0 ? crown.patient : '',
    index % 2 === 0 ? crown.sex : '',
    crown.tooth,
    crown.delivery,
    String(crown.torque),
    String(crown.tightenings),
    crown.wait === undefined ? '' : String(crown.wait),
    crown.visits[0]!.date,
    isLoose(crown) ? 'loose' : 'ok',
  ])
  const change = (sheet: WorkSheet): void => {
    const merges = [
      { s: { r: 0, c: 3 }, e: { r: 0, c: 6 } },
      { s: { r: 0, c: 7 }, e: { r: 0, c: 8 } },
    ]
    for (let row = 2; row < rows.length + 2; row += 2) {
      for (const column of [0, 1]) merges.push({ s: { r: row, c: column }, e: { r: row + 1, c: column } })
    }
    sheet['!merges'] = merges
  }
  return {
    title: 'en, two rows of headers, patients merged over their crowns',
    name: 'merged.xlsx',
    content: workbook({ Crowns: { rows: [...head, ...rows], change } }),
    truth,
    answers: file({
      '*': {
        rows: 'restoration',
        type: 'single_crown',
        headerRow: 1,
        headerRows: 2,
        mergedCells: 'fill',
        otherColumns: 'not-used',
        columns: {
          Patient: 'patient_id',
          Sex: 'sex',
          Site: { field: 'tooth_position', scheme: 'iso-3950' },
          'Placement date': 'delivery_date',
          'Placement torque': { field: 'target_torque_ncm', unit: 'N·cm' },
          'Placement times': 'tightenings_at_delivery',
          'Placement pause': { field: 'wait_minutes', unit: 'min' },
          'Check date': { field: 'visit_date', visit: 1, checked: true },
          'Check result': { field: 'finding', visit: 1, values: { ok: 'none', loose: 'screw_loosening' } },
        },
      },
    }),
  }
}

/** Every torque and wait with a unit of its own and decimal commas, and lines of totals below. */
function unitsInCells(): MessySheet {
  const truth = withOneVisit(12, 32)
  const torque = (ncm: number, index: number): string =>
    [`${ncm} Ncm`, `${String(ncm / 100).replace('.', ',')} Nm`, `${ncm * 10} N·mm`, `${ncm},0 N.cm`][
      index % 4
    ]!
  const wait = (minutes: number, index: number): string =>
    [`${minutes} min`, `${minutes * 60} s`, `${minutes},0 min`][index % 3]!
  const rows = truth.map((crown, index) => [
    crown.patient,
    crown.tooth,
    crown.sex === 'female' ? 'weiblich' : 'männlich',
    dayFirst(crown.delivery, '.'),
    torque(crown.torque, index),
    `${crown.tightenings}`,
    crown.wait === undefined ? '-' : wait(crown.wait, index),
    dayFirst(crown.visits[0]!.date, '.'),
    isLoose(crown) ? dayFirst(crown.visits[0]!.date, '.') : '',
  ])
  const head = [
    'Pat',
    'Zahn',
    'Geschlecht',
    'Eingliederung',
    'Drehmoment',
    'Anzüge',
    'Pause',
    'Kontrolle',
    'Locker',
  ]
  const totals = [[], ['Summe', '', '', '', '', String(rows.length)], ['Stand: 31.12.2024']]
  return {
    title: 'de, units in the cells, decimal commas, totals below',
    name: 'einheiten.csv',
    content: csv([head, ...rows, ...totals], ';'),
    truth,
    answers: file({
      '*': {
        rows: 'restoration',
        type: 'single_crown',
        headerRow: 1,
        blankLoosening: 'never',
        otherColumns: 'not-used',
        columns: {
          Pat: 'patient_id',
          Zahn: { field: 'tooth_position', scheme: 'iso-3950' },
          Geschlecht: 'sex',
          Eingliederung: { field: 'delivery_date', dateOrder: 'day-first' },
          Drehmoment: { field: 'target_torque_ncm', unit: 'in-cells', decimalMark: ',' },
          Anzüge: 'tightenings_at_delivery',
          Pause: { field: 'wait_minutes', unit: 'in-cells', decimalMark: ',', values: { '-': '' } },
          Kontrolle: { field: 'last_check_date', dateOrder: 'day-first' },
          Locker: { field: 'first_loosening_date', dateOrder: 'day-first' },
        },
      },
    }),
  }
}

/** A day by its year, week and weekday (ISO 8601). */
function weekDay(iso: string): string {
  const day = new Date(`${iso}T00:00:00Z`)
  const weekday = ((day.getUTCDay() + 6) % 7) + 1
  const thursday = new Date(day.getTime() + (4 - weekday) * 86_400_000)
  const year = thursday.getUTCFullYear()
  const week = 1 + Math.floor((thursday.getTime() - Date.UTC(year, 0, 1)) / 86_400_000 / 7)
  return `${year}-W${String(week).padStart(2, '0')}-${weekday}`
}

/** All days by their week. */
function weekDates(): MessySheet {
  const truth = withOneVisit(12, 33)
  const rows = truth.map((crown) => [
    crown.patient,
    crown.tooth,
    crown.sex,
    weekDay(crown.delivery),
    String(crown.torque),
    String(crown.tightenings),
    crown.wait === undefined ? '' : String(crown.wait),
    weekDay(crown.visits[0]!.date),
    isLoose(crown) ? 'yes' : 'no',
  ])
  const head = ['Who', 'Tooth', 'Sex', 'Placed', 'Ncm', 'Turns', 'Minutes', 'Check', 'Loose?']
  return {
    title: 'en, days by ISO week',
    name: 'weeks.tsv.csv',
    content: csv([head, ...rows], '\t'),
    truth,
    answers: file({
      '*': {
        rows: 'restoration',
        type: 'single_crown',
        headerRow: 1,
        otherColumns: 'not-used',
        columns: {
          Who: 'patient_id',
          Tooth: { field: 'tooth_position', scheme: 'iso-3950' },
          Sex: 'sex',
          Placed: 'delivery_date',
          Ncm: { field: 'target_torque_ncm', unit: 'N·cm' },
          Turns: 'tightenings_at_delivery',
          Minutes: { field: 'wait_minutes', unit: 'min' },
          Check: { field: 'visit_date', visit: 1, checked: true },
          'Loose?': { field: 'finding', visit: 1, values: { yes: 'screw_loosening', no: 'none' } },
        },
      },
    }),
  }
}

const serialOf = (iso: string): number => Date.parse(`${iso}T00:00:00Z`) / 86_400_000 + 25_569

/** A column of dates in which some are numbers without a format, some true dates and some text. */
function mixedSerials(): MessySheet {
  const truth = withOneVisit(12, 34)
  const rows = truth.map((crown) => [
    crown.patient,
    crown.tooth,
    crown.sex === 'female' ? 'F' : 'H',
    crown.delivery,
    String(crown.torque),
    String(crown.tightenings),
    crown.wait === undefined ? '' : String(crown.wait),
    crown.visits[0]!.date,
    isLoose(crown) ? crown.visits[0]!.date : '',
  ])
  const head = ['Patient', 'Dent', 'Sexe', 'Pose', 'Couple', 'Serrages', 'Attente', 'Contrôle', 'Desserrage']
  const change = (sheet: WorkSheet): void => {
    truth.forEach((crown, index) => {
      for (const [column, iso] of [
        [3, crown.delivery],
        [7, crown.visits[0]!.date],
        [8, isLoose(crown) ? crown.visits[0]!.date : ''],
      ] as const) {
        if (iso === '') continue
        const at = utils.encode_cell({ r: index + 1, c: column })
        if (index % 3 === 0) sheet[at] = { t: 'n', v: serialOf(iso) }
        else if (index % 3 === 1) sheet[at] = { t: 'n', v: serialOf(iso), z: 'dd/mm/yyyy' }
        else sheet[at] = { t: 's', v: dayFirst(iso, '/') }
      }
    })
  }
  const day = { dateOrder: 'day-first', serialDates: 1900, swapDates: false }
  return {
    title: 'fr, serial numbers, true dates and texts in one column',
    name: 'series.xlsx',
    content: workbook({ Feuille1: { rows: [head, ...rows], change } }),
    truth,
    answers: file({
      '*': {
        rows: 'restoration',
        type: 'single_crown',
        headerRow: 1,
        blankLoosening: 'never',
        otherColumns: 'not-used',
        columns: {
          Patient: 'patient_id',
          Dent: { field: 'tooth_position', scheme: 'iso-3950' },
          Sexe: { field: 'sex', values: { F: 'female', H: 'male' } },
          Pose: { field: 'delivery_date', ...day },
          Couple: { field: 'target_torque_ncm', unit: 'N·cm' },
          Serrages: 'tightenings_at_delivery',
          Attente: { field: 'wait_minutes', unit: 'min' },
          Contrôle: { field: 'last_check_date', ...day },
          Desserrage: { field: 'first_loosening_date', ...day },
        },
      },
    }),
  }
}

/** A sheet for each year, the columns of one in another order, with a title above and a sheet of totals. */
function sheetsByYear(): MessySheet {
  const truth = withOneVisit(18, 35)
  const head = [
    'Paziente',
    'Dente',
    'Sesso',
    'Consegna',
    'Coppia',
    'Serraggi',
    'Attesa',
    'Controllo',
    'Allentata',
  ]
  const row = (crown: TrueCrown): readonly string[] => [
    crown.patient,
    crown.tooth,
    crown.sex === 'female' ? 'F' : 'M',
    dayFirst(crown.delivery, '/'),
    `${crown.torque}`,
    `${crown.tightenings}`,
    crown.wait === undefined ? '' : `${crown.wait}`,
    dayFirst(crown.visits[0]!.date, '/'),
    isLoose(crown) ? dayFirst(crown.visits[0]!.date, '/') : 'mai',
  ]
  const turned = (cells: readonly string[]): readonly string[] => [...cells].reverse()
  const rows = truth.map(row)
  return {
    title: 'it, a sheet a year, columns in another order, a sheet of totals',
    name: 'anni.xlsx',
    content: workbook({
      '2021': { rows: [['Corone 2021'], head, ...rows.slice(0, 6)] },
      '2022': { rows: [['Corone 2022'], turned(head), ...rows.slice(6, 12).map(turned)] },
      '2023': { rows: [['Corone 2023'], head, ...rows.slice(12)] },
      Totali: {
        rows: [
          ['Anno', 'Corone'],
          ['2021', '6'],
          ['2022', '6'],
          ['2023', '6'],
        ],
      },
    }),
    truth,
    answers: file({
      '*': {
        rows: 'restoration',
        type: 'single_crown',
        blankLoosening: 'never',
        otherColumns: 'not-used',
        columns: {
          Paziente: 'patient_id',
          Dente: { field: 'tooth_position', scheme: 'iso-3950' },
          Sesso: { field: 'sex', values: { F: 'female', M: 'male' } },
          Consegna: { field: 'delivery_date', dateOrder: 'day-first' },
          Coppia: { field: 'target_torque_ncm', unit: 'N·cm' },
          Serraggi: 'tightenings_at_delivery',
          Attesa: { field: 'wait_minutes', unit: 'min' },
          Controllo: { field: 'last_check_date', dateOrder: 'day-first' },
          Allentata: { field: 'first_loosening_date', dateOrder: 'day-first', values: { mai: '' } },
        },
      },
      '2021': { use: 'records', headerRow: 2 },
      '2022': { use: 'records', headerRow: 2 },
      '2023': { use: 'records', headerRow: 2 },
      Totali: { use: 'ignore' },
    }),
  }
}

/** Five sheets of other shapes than the rest. */
export const oddSheets: readonly MessySheet[] = [
  twoRowHeader(),
  unitsInCells(),
  weekDates(),
  mixedSerials(),
  sheetsByYear(),
]
