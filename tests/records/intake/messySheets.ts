import { utils, type WorkSheet, write } from '@e965/xlsx'

/** A check of the screw at a visit. */
interface TrueVisit {
  readonly date: string
  readonly checked: 'yes' | 'no'
  readonly finding: 'none' | 'screw_loosening' | 'veneer_chipping'
}

/** A crown as it truly was. */
export interface TrueCrown {
  readonly patient: string
  readonly tooth: string
  readonly sex: 'female' | 'male'
  readonly delivery: string
  readonly torque: number
  readonly tightenings: 1 | 2
  readonly wait?: number
  readonly visits: readonly TrueVisit[]
}

/** A sheet as a practice may keep it, the answers written for it from docs/intake.md, and what must be read. */
export interface MessySheet {
  readonly title: string
  readonly name: string
  readonly content: string | Uint8Array
  readonly answers: object
  readonly truth: readonly TrueCrown[]
}

type Language = 'en' | 'de' | 'es' | 'fr' | 'it' | 'pt'

interface Words {
  readonly patient: string
  readonly tooth: string
  readonly sex: string
  readonly female: string
  readonly male: string
  readonly delivery: string
  readonly torque: string
  readonly times: string
  readonly wait: string
  readonly visit: string
  readonly finding: string
  readonly none: string
  readonly loose: string
  readonly chipped: string
  readonly unchecked: string
  readonly loosening: string
  readonly lastCheck: string
  readonly never: string
  readonly remark: string
  readonly title: string
  readonly total: string
}

const words: Readonly<Record<Language, Words>> = {
  en: {
    patient: 'Pt code',
    tooth: 'Site',
    sex: 'Gender',
    female: 'F',
    male: 'M',
    delivery: 'Crown seated',
    torque: 'Torque used',
    times: 'Tightened',
    wait: 'Wait (min)',
    visit: 'Seen on',
    finding: 'What we saw',
    none: 'fine',
    loose: 'screw was loose',
    chipped: 'ceramic chip',
    unchecked: 'screw not checked',
    loosening: 'Came loose on',
    lastCheck: 'Last seen',
    never: 'never',
    remark: 'Notes',
    title: 'Implant crowns of the practice',
    total: 'Total',
  },
  de: {
    patient: 'Pat.-Kürzel',
    tooth: 'Regio',
    sex: 'Geschl.',
    female: 'w',
    male: 'm',
    delivery: 'Eingesetzt',
    torque: 'Drehmom.',
    times: 'Anzüge',
    wait: 'Wartezeit (min)',
    visit: 'Termin am',
    finding: 'Was war',
    none: 'alles fest',
    loose: 'Schraube lose',
    chipped: 'Keramik ab',
    unchecked: 'nicht geprüft',
    loosening: 'Locker am',
    lastCheck: 'Zuletzt gesehen',
    never: 'nie',
    remark: 'Bemerkung',
    title: 'Implantatkronen',
    total: 'Summe',
  },
  es: {
    patient: 'Pac.',
    tooth: 'Pieza n',
    sex: 'Sexo',
    female: 'M',
    male: 'H',
    delivery: 'Colocada',
    torque: 'Par',
    times: 'Aprietes',
    wait: 'Espera (min)',
    visit: 'Fecha cita',
    finding: 'Qué se vio',
    none: 'todo bien',
    loose: 'tornillo suelto',
    chipped: 'porcelana rota',
    unchecked: 'no revisado',
    loosening: 'Se aflojó',
    lastCheck: 'Última vez',
    never: 'nunca',
    remark: 'Notas',
    title: 'Coronas sobre implantes',
    total: 'Total',
  },
  fr: {
    patient: 'Pat. code',
    tooth: 'Site',
    sex: 'Sexe',
    female: 'F',
    male: 'H',
    delivery: 'Posée le',
    torque: 'Couple',
    times: 'Nb serrages',
    wait: 'Attente (min)',
    visit: 'Vu le',
    finding: 'Vu quoi',
    none: 'tout va bien',
    loose: 'vis lâche',
    chipped: 'éclat',
    unchecked: 'vis non contrôlée',
    loosening: 'Dévissée le',
    lastCheck: 'Dernière fois',
    never: 'jamais',
    remark: 'Remarques',
    title: 'Couronnes sur implants',
    total: 'Total général',
  },
  it: {
    patient: 'Paz. codice',
    tooth: 'Sito',
    sex: 'Sesso',
    female: 'F',
    male: 'M',
    delivery: 'Messa il',
    torque: 'Coppia vite',
    times: 'Serrata',
    wait: 'Attesa (min)',
    visit: 'Visto il',
    finding: 'Cosa visto',
    none: 'bene',
    loose: 'vite lenta',
    chipped: 'ceramica rotta',
    unchecked: 'non controllata',
    loosening: 'Svitata il',
    lastCheck: 'Ultima volta',
    never: 'mai',
    remark: 'Note',
    title: 'Corone su impianti',
    total: 'Totale',
  },
  pt: {
    patient: 'Cód. pac.',
    tooth: 'Local',
    sex: 'Sexo',
    female: 'M',
    male: 'H',
    delivery: 'Colocada',
    torque: 'Torque',
    times: 'Apertos',
    wait: 'Espera (min)',
    visit: 'Visto em',
    finding: 'O que se viu',
    none: 'tudo bem',
    loose: 'parafuso mole',
    chipped: 'cerâmica lascada',
    unchecked: 'não verificado',
    loosening: 'Soltou em',
    lastCheck: 'Última vez',
    never: 'nunca',
    remark: 'Notas',
    title: 'Coroas sobre implantes',
    total: 'Total',
  },
}

const teeth = ['36', '46', '14', '25', '11', '47', '35', '16']

function dayAfter(iso: string, days: number): string {
  return new Date(Date.parse(`${iso}T00:00:00Z`) + 86_400_000 * days).toISOString().slice(0, 10)
}

/** Invented crowns: two a patient, checks each year, one in five found loose at the second visit. */
export function crowns(count: number, seed: number): readonly TrueCrown[] {
  return Array.from({ length: count }, (_, index) => {
    const delivery = dayAfter('2018-02-03', 37 * index + 3 * seed)
    const twice = (index + seed) % 3 === 0
    const loose = (index + seed) % 5 === 2
    return {
      patient: `K${String(1 + (index >> 1)).padStart(2, '0')}`,
      tooth: teeth[(index + seed) % teeth.length]!,
      sex: (index >> 1) % 2 === 0 ? 'female' : 'male',
      delivery,
      torque: [35, 30, 32, 25][index % 4]!,
      tightenings: twice ? 2 : 1,
      ...(twice ? { wait: 8 + (index % 7) } : {}),
      visits: [
        {
          date: dayAfter(delivery, 180 + index),
          checked: 'yes',
          finding: index % 7 === 4 ? 'veneer_chipping' : 'none',
        },
        {
          date: dayAfter(delivery, 400 + index),
          checked: 'yes',
          finding: loose ? 'screw_loosening' : 'none',
        },
        ...(index % 4 === 1
          ? [{ date: dayAfter(delivery, 800), checked: 'no' as const, finding: 'none' as const }]
          : []),
      ],
    }
  })
}

export const dayFirst = (iso: string, mark: string): string => iso.split('-').reverse().join(mark)
const monthFirst = (iso: string): string => `${iso.slice(5, 7)}/${iso.slice(8)}/${iso.slice(0, 4)}`

export function csv(rows: readonly (readonly string[])[], separator: string): string {
  const quoted = (cell: string): string => (cell.includes(separator) ? `"${cell}"` : cell)
  return `${rows.map((row) => row.map(quoted).join(separator)).join('\r\n')}\r\n`
}

export function workbook(
  sheets: Readonly<
    Record<
      string,
      { readonly rows: readonly (readonly string[])[]; readonly change?: (sheet: WorkSheet) => void }
    >
  >,
): Uint8Array {
  const book = utils.book_new()
  for (const [name, { rows, change }] of Object.entries(sheets)) {
    const sheet = utils.aoa_to_sheet(rows.map((row) => [...row]))
    change?.(sheet)
    utils.book_append_sheet(book, sheet, name)
  }
  return write(book, { type: 'buffer', bookType: 'xlsx' })
}

export function file(sheets: object): object {
  return { holdfastAnswers: 1, right: true, sheets }
}

interface Form {
  readonly date: (iso: string) => string
  readonly dateOrder: 'day-first' | 'month-first' | 'year-first'
  readonly separator: string
  /** How a torque in N·cm is written, and the unit that the answers give. */
  readonly torque: (ncm: number) => string
  readonly unit?: string
  readonly decimalMark?: ','
}

const forms: Readonly<Record<Language, Form>> = {
  en: { date: monthFirst, dateOrder: 'month-first', separator: ',', torque: (ncm) => `${ncm} Ncm` },
  de: {
    date: (iso) => dayFirst(iso, '.'),
    dateOrder: 'day-first',
    separator: ';',
    torque: (ncm) => String(ncm / 100).replace('.', ','),
    unit: 'N·m',
    decimalMark: ',',
  },
  es: {
    date: (iso) => dayFirst(iso, '/'),
    dateOrder: 'day-first',
    separator: ';',
    torque: (ncm) => `${ncm} N.cm`,
  },
  fr: {
    date: (iso) => dayFirst(iso, '/'),
    dateOrder: 'day-first',
    separator: ';',
    torque: (ncm) => `${ncm} N-cm`,
  },
  it: {
    date: (iso) => dayFirst(iso, '-'),
    dateOrder: 'day-first',
    separator: '\t',
    torque: (ncm) => String(ncm * 10),
    unit: 'N·mm',
  },
  pt: { date: (iso) => iso, dateOrder: 'year-first', separator: ';', torque: (ncm) => `${ncm} N cm` },
}

/** The columns that every form has, and the answers that explain them. */
function basics(language: Language) {
  const w = words[language]
  const form = forms[language]
  const header = [w.patient, w.tooth, w.sex, w.delivery, w.torque, w.times, w.wait]
  const cells = (crown: TrueCrown): string[] => [
    crown.patient,
    crown.tooth,
    w[crown.sex],
    form.date(crown.delivery),
    form.torque(crown.torque),
    String(crown.tightenings),
    crown.wait === undefined ? '' : String(crown.wait),
  ]
  const { dateOrder, unit, decimalMark } = form
  const columns = {
    [w.patient]: 'patient_id',
    [w.tooth]: { field: 'tooth_position', scheme: 'iso-3950' },
    [w.sex]: { field: 'sex', values: { [w.female]: 'female', [w.male]: 'male' } },
    [w.delivery]: { field: 'delivery_date', dateOrder },
    [w.torque]: {
      field: 'target_torque_ncm',
      ...(unit === undefined ? { unit: 'N·cm' } : { unit }),
      ...(decimalMark === undefined ? {} : { decimalMark }),
    },
    [w.times]: 'tightenings_at_delivery',
    [w.wait]: 'wait_minutes',
  }
  return { w, form, header, cells, columns, dateOrder }
}

/** A row for each crown, with its last check and first loosening; what else was found is not on the sheet. */
function byRestoration(language: Language, seed: number): MessySheet {
  const { w, form, header, cells, columns, dateOrder } = basics(language)
  const truth = crowns(24, seed).map((crown): TrueCrown => {
    const checks = crown.visits.filter((one) => one.checked === 'yes')
    const loose = checks.find((one) => one.finding === 'screw_loosening')
    const last = { ...checks.at(-1)!, finding: 'none' as const }
    return { ...crown, visits: loose === undefined ? [last] : [loose] }
  })
  const rows = truth.map((crown) => {
    const [only] = crown.visits
    const loose = only!.finding === 'screw_loosening'
    return [...cells(crown), form.date(only!.date), loose ? form.date(only!.date) : w.never, '']
  })
  const head = [...header, w.lastCheck, w.loosening, w.remark]
  const content = csv([[w.title], [], head, ...rows, [w.total, '24']], form.separator)
  return {
    title: `${language}, a crown a row, title above and total below`,
    name: 'sheet.csv',
    content,
    truth,
    answers: file({
      '*': {
        rows: 'restoration',
        type: 'single_crown',
        headerRow: 3,
        blankLoosening: 'never',
        otherColumns: 'not-used',
        columns: {
          ...columns,
          [w.lastCheck]: { field: 'last_check_date', dateOrder },
          [w.loosening]: { field: 'first_loosening_date', dateOrder, values: { [w.never]: '' } },
        },
      },
    }),
  }
}

function findingWords(w: Words): Record<string, string> {
  return {
    [w.none]: 'none',
    [w.loose]: 'screw_loosening',
    [w.chipped]: 'veneer_chipping',
    [w.unchecked]: 'not_checked',
  }
}

function findingOf(w: Words, visit: TrueVisit): string {
  if (visit.checked === 'no') return w.unchecked
  return { none: w.none, screw_loosening: w.loose, veneer_chipping: w.chipped }[visit.finding]
}

/** A row for each visit; patient and crown stand on the first of their rows only. */
function byVisit(language: Language, seed: number): MessySheet {
  const { w, form, header, cells, columns, dateOrder } = basics(language)
  const truth = crowns(20, seed)
  const rows = truth.flatMap((crown) =>
    crown.visits.map((visit, index) => {
      const own = cells(crown).map((cell, column) => (index === 0 || column > 3 ? cell : ''))
      return [...own, form.date(visit.date), findingOf(w, visit)]
    }),
  )
  return {
    title: `${language}, a visit a row, keys on the first row of each crown`,
    name: 'visits.txt.csv',
    content: csv([[...header, w.visit, w.finding], ...rows], form.separator),
    truth,
    answers: file({
      '*': {
        rows: 'visit',
        type: 'single_crown',
        headerRow: 1,
        otherColumns: 'not-used',
        columns: {
          ...columns,
          [w.patient]: { field: 'patient_id', fillDown: true },
          [w.tooth]: { field: 'tooth_position', scheme: 'iso-3950', fillDown: true },
          [w.delivery]: { field: 'delivery_date', dateOrder, fillDown: true },
          [w.visit]: { field: 'visit_date', dateOrder, checked: true },
          [w.finding]: { field: 'finding', values: findingWords(w) },
        },
      },
    }),
  }
}

/** A row for each patient, two crowns side by side, each with two checks. */
function byPatient(language: Language, seed: number): MessySheet {
  const { w, form, header, cells, columns, dateOrder } = basics(language)
  const truth = crowns(18, seed).map((crown) => ({ ...crown, visits: crown.visits.slice(0, 2) }))
  const pairs = Array.from({ length: 9 }, (_, index) => truth.slice(2 * index, 2 * index + 2))
  const of = (crown: number, text: string): string => `${text} ${crown}`
  const shared = [w.patient, w.sex]
  const each = header.filter((text) => !shared.includes(text))
  const ofCrown = (crown: TrueCrown): string[] => [
    ...cells(crown).filter((_, column) => ![0, 2].includes(column)),
    ...crown.visits.flatMap((visit) => [form.date(visit.date), findingOf(w, visit)]),
  ]
  const checks = [`${w.visit} A`, `${w.finding} A`, `${w.visit} B`, `${w.finding} B`]
  const head = [...shared, ...[1, 2].flatMap((crown) => [...each, ...checks].map((text) => of(crown, text)))]
  const rows = pairs.map((pair) => [pair[0]!.patient, w[pair[0]!.sex], ...pair.flatMap(ofCrown)])
  const explained: Record<string, unknown> = {
    [w.patient]: 'patient_id',
    [w.sex]: (columns as Record<string, unknown>)[w.sex],
  }
  for (const crown of [1, 2]) {
    for (const text of each) {
      const said = (columns as Record<string, unknown>)[text]
      explained[of(crown, text)] = {
        ...(typeof said === 'string' ? { field: said } : (said as object)),
        crown,
      }
    }
    for (const [visit, letter] of ['A', 'B'].entries()) {
      explained[of(crown, `${w.visit} ${letter}`)] = {
        field: 'visit_date',
        visit: visit + 1,
        crown,
        dateOrder,
        checked: true,
      }
      explained[of(crown, `${w.finding} ${letter}`)] = {
        field: 'finding',
        visit: visit + 1,
        crown,
        values: findingWords(w),
      }
    }
  }
  return {
    title: `${language}, a patient a row, two crowns and their checks side by side`,
    name: 'patients.csv',
    content: csv([head, ...rows], form.separator),
    truth,
    answers: file({
      '*': {
        rows: 'patient',
        type: 'single_crown',
        headerRow: 1,
        otherColumns: 'not-used',
        columns: explained,
      },
    }),
  }
}

/** Rows that stand for several crowns of one sitting, in a workbook of two years and a legend. */
function severalCrowns(language: Language, seed: number): MessySheet {
  const { w, header, columns } = basics(language)
  const iso = (date: string): string => date
  const sittings = crowns(8, seed).map((crown, index) => {
    const group = [['24', '25', '26'], ['11', '12'], ['36'], ['46', '47']][index % 4]!
    const written = ['24-26', '11, 12', '36', '46/47'][index % 4]!
    return {
      ...crown,
      patient: `S${index}`,
      sex: index % 2 === 0 ? ('female' as const) : ('male' as const),
      group,
      written,
      visits: [{ ...crown.visits[1]!, finding: crown.visits[1]!.finding }],
    }
  })
  const rows = sittings.map((one) => [
    one.patient,
    one.written,
    w[one.sex],
    iso(one.delivery),
    String(one.torque),
    String(one.tightenings),
    one.wait === undefined ? '' : String(one.wait),
    iso(one.visits[0]!.date),
    findingOf(w, one.visits[0]!),
  ])
  const head = [...header, `${w.visit} 1`, `${w.finding} 1`]
  return {
    title: `${language}, several crowns a row, a workbook of two years and a legend`,
    name: 'book.xlsx',
    content: workbook({
      '2023': { rows: [head, ...rows.slice(0, 4)] },
      '2024': { rows: [head, ...rows.slice(4)] },
      Key: {
        rows: [
          ['x', 'y'],
          ['a', 'b'],
        ],
      },
    }),
    truth: sittings.flatMap(({ group, written: _written, ...one }) =>
      group.map((tooth) => ({ ...one, tooth })),
    ),
    answers: file({
      '*': {
        rows: 'restoration',
        severalCrowns: 'each',
        type: 'single_crown',
        otherColumns: 'not-used',
        columns: {
          ...columns,
          [w.delivery]: { field: 'delivery_date', dateOrder: 'year-first' },
          [w.torque]: { field: 'target_torque_ncm', unit: 'N·cm' },
          [`${w.visit} 1`]: { field: 'visit_date', visit: 1, dateOrder: 'year-first', checked: true },
          [`${w.finding} 1`]: { field: 'finding', visit: 1, values: findingWords(w) },
        },
      },
      '2023': { use: 'records', headerRow: 1 },
      '2024': { use: 'records', headerRow: 1 },
      Key: { use: 'ignore' },
    }),
  }
}

const languages = Object.keys(words) as Language[]

/** Twenty-four sheets: six languages, rows by restoration, visit, patient and several crowns. */
export const messySheets: readonly MessySheet[] = languages.flatMap((language, index) => [
  byRestoration(language, index),
  byVisit(language, index + 1),
  byPatient(language, index + 2),
  severalCrowns(language, index + 3),
])
