import { type Field, fieldOf, type SheetName, sheetFields } from '../../vocabulary/fields.js'
import type { TextColumn, TextTable } from '../read/textTable.js'
import type { EssentialColumn, MappedColumn, MappedSheet } from '../understand/columnMap.js'
import { type HeaderReading, type headerLanguages, readHeader } from '../understand/headerSynonyms.js'
import { headerWords } from '../understand/headerWords.js'
import { likeliestSheet, proposeSheet } from '../understand/proposeMap.js'
import { severalPositions } from '../understand/severalCrowns.js'
import { visitOfHeader } from '../understand/visitHeaders.js'
import type { ColumnAnswers, SheetAnswers } from './answers.js'
import type { QuestionList } from './questions.js'
import { askType, takeTypeColumn } from './restorationType.js'
import { choiceOf, isDateLike, samplesOf, shareOf } from './samples.js'
import { type ToldTightening, toldTightening } from './secondTightening.js'
import { askSettings } from './settings.js'
import { at, type Entry, type Places, type SheetTalk, shown } from './talk.js'

/** Asks what a row is and what the columns hold; gives the map of the sheet as far as it goes. */
export function askColumns(
  text: TextTable,
  named: SheetName | undefined,
  places: Places,
  questions: QuestionList,
): { readonly map: Omit<MappedSheet, 'file'>; readonly told: readonly string[] } {
  const sheet = named === 'restorations' || named === undefined ? sheetFor(text, named) : named
  const rows = sheet === 'one_sheet' ? askRows(text, places, questions) : undefined
  const base: MappedSheet = { sheet, file: text.file, columns: [], ...(rows === undefined ? {} : { rows }) }
  const talk: SheetTalk = { text, map: base, places, questions, language: languageOf(text, sheet) }
  const headers = headersOf(text)
  const entries = text.columns.map((column, index) => entryOf(talk, column, headers[index]!))
  const absent = sheet === 'one_sheet' ? askEssentials(talk, entries, headers) : []
  takeTypeColumn(talk, entries, headers)
  const asked = askFields(talk, entries, headers)
  const { constants, said } = askType(talk, entries, headers)
  const told = said === undefined ? asked.told : [...asked.told, said]
  const columnsSoFar = entries.map(({ field, visit }) => ({
    header: '',
    field,
    ...(visit === undefined ? {} : { visit }),
  }))
  const mapped = entries.map((entry, index) => {
    const column = text.columns[index]!
    const repeated = text.columns.filter((one) => one.header === column.header).length > 1
    const settled = askSettings(
      { ...talk, map: { ...base, columns: columnsSoFar } },
      column,
      entry,
      headers[index]!,
    )
    return {
      header: column.header,
      ...(repeated || column.header === '' ? { position: column.position } : {}),
      ...settled,
    }
  })
  return {
    told,
    map: {
      ...base,
      ...(absent.length === 0 ? {} : { absent: [...absent] }),
      columns: mapped,
      ...askCrowns(talk, mapped),
      ...(sheet === 'one_sheet'
        ? askTold(talk, mapped, constants)
        : constants === undefined
          ? {}
          : { constants }),
    },
  }
}

function sheetFor(text: TextTable, named: SheetName | undefined): SheetName {
  const likely = likeliestSheet(text)
  return named ?? (likely === 'tightenings' ? likely : 'one_sheet')
}

function askRows(
  text: TextTable,
  places: Places,
  questions: QuestionList,
): 'restoration' | 'visit' | 'patient' {
  const proposed = likelyRows(text)
  return questions.ask(at(places, 'rows'), {
    ask: 'What is one row of the sheet?',
    because: [`${text.rowCount} rows; headers: ${text.columns.map((one) => shown(one.header)).join(', ')}`],
    choices: [
      { answer: 'restoration', means: 'one crown or prosthesis (checks may stand side by side in the row)' },
      { answer: 'visit', means: 'one visit or check of a crown; a crown has as many rows as visits' },
      { answer: 'patient', means: 'one patient, with several crowns side by side in the row' },
    ],
    proposed,
  }) as 'restoration' | 'visit' | 'patient'
}

/** Several crowns by numbered headers of teeth are patients; a site on many rows is one of visits. */
function likelyRows(text: TextTable): 'restoration' | 'visit' | 'patient' {
  const teeth = text.columns.filter((column) => readCrown(column.header)?.field === 'tooth_position')
  if (teeth.length > 1) return 'patient'
  const column = (field: string): TextColumn | undefined =>
    text.columns.find((one) => readHeader('one_sheet', one.header)?.field === field)
  const keys = [column('restoration_id')] as (TextColumn | undefined)[]
  if (keys[0] === undefined)
    keys.splice(0, 1, column('patient_id'), column('tooth_position'), column('delivery_date'))
  const visits = text.columns.some((one) => readHeader('visits', one.header)?.field === 'visit_date')
  if (keys.some((one) => one === undefined) || !visits) return 'restoration'
  const distinct = new Set(
    Array.from({ length: text.rowCount }, (_, row) => keys.map((one) => one!.codes[row]).join(' ')),
  )
  return distinct.size < 0.8 * text.rowCount ? 'visit' : 'restoration'
}

/** A header of one of several crowns side by side, such as "Tooth 2" or "2. Zahn". */
function readCrown(header: string): (HeaderReading & { readonly crown: number }) | undefined {
  const words = headerWords(header).replace(/(\p{L})(\d)/gu, '$1 $2')
  const match = /^(?:(.*?) )?(\d{1,2})(?: (.*))?$/.exec(words)
  if (match === null || Number(match[2]) < 1) return undefined
  const rest = [match[1] ?? '', match[3] ?? ''].filter((part) => part !== '').join(' ')
  const reading = rest === '' ? undefined : readHeader('one_sheet', rest)
  return reading === undefined ? undefined : { ...reading, crown: Number(match[2]) }
}

/** A header of one of several visits side by side that names no visit, such as "Finding 2". */
function readNumbered(header: string): FullReading | undefined {
  const match = /^(.*\p{L}) ?(\d{1,2})$/u.exec(headerWords(header))
  const reading = match === null ? undefined : readHeader('visits', match[1]!)
  if (
    reading === undefined ||
    !['finding', 'screw_checked', 'check_method', 'action_taken'].includes(reading.field)
  )
    return undefined
  return { ...reading, visit: Number(match![2]) }
}

function languageOf(text: TextTable, sheet: SheetName): (typeof headerLanguages)[number] {
  const counts = new Map<string, number>()
  for (const { header } of text.columns) {
    for (const holder of [sheet, 'visits'] as const) {
      const by = readHeader(holder, header)?.by
      if (by !== undefined && by !== 'field name') counts.set(by, (counts.get(by) ?? 0) + 1)
    }
  }
  const best = [...counts].sort((left, right) => right[1] - left[1])[0]
  return (best?.[0] ?? 'English') as (typeof headerLanguages)[number]
}

/** Names of columns in answers: the header, with its turn where it is repeated, or the place of a column without one. */
export function headersOf(text: TextTable): readonly string[] {
  return text.columns.map((column, index) => {
    if (column.header === '') return `column ${column.position}`
    const turn = text.columns.slice(0, index + 1).filter((one) => one.header === column.header).length
    return turn === 1 ? column.header : `${column.header} (${turn})`
  })
}

function entryOf({ text, map, places, questions }: SheetTalk, column: TextColumn, name: string): Entry {
  const of = (key: keyof ColumnAnswers): unknown => questions.given(at(places, 'columns', name, key))
  const field = of('field') as string | null | undefined
  const read = headerReading(map, column.header)
  const unit = readHeader('one_sheet', column.header)?.unit ?? read?.unit
  const base = { ...(unit === undefined ? {} : { unit }) }
  const said = (key: 'visit' | 'crown'): number | undefined => of(key) as number | undefined
  if (field !== undefined) {
    const visit = said('visit') ?? (field === read?.field ? read?.visit : undefined)
    const crown = said('crown') ?? (map.rows === 'patient' && field === read?.field ? read?.crown : undefined)
    return {
      ...base,
      field,
      ...(visit === undefined ? {} : { visit }),
      ...(crown === undefined ? {} : { crown }),
      said: true,
      because: ['your word'],
    }
  }
  const others = questions.given(at(places, 'otherColumns')) === 'not-used'
  if (read === undefined || others) return { ...base, field: null, said: others, because: [] }
  // By its turn among the columns that are left, not its place in the file: the door may have taken some off.
  const taken = text.columns.slice(0, text.columns.indexOf(column)).some((earlier) => {
    const one = headerReading(map, earlier.header)
    return one?.field === read.field && one.visit === read.visit && one.crown === read.crown
  })
  if (taken)
    return { ...base, field: null, said: false, because: [`another column may hold ${read.field} too`] }
  const { visit, crown, checked } = read
  return {
    ...base,
    field: read.field,
    ...(visit === undefined ? {} : { visit }),
    ...(crown === undefined ? {} : { crown }),
    ...(checked === undefined ? {} : { checked }),
    said: false,
    because: [read.by === 'field name' ? 'the name of the field' : `${read.by} wording`],
  }
}

interface FullReading extends HeaderReading {
  readonly visit?: number
  readonly crown?: number
  readonly checked?: boolean | '?'
}

function headerReading(map: MappedSheet, header: string): FullReading | undefined {
  if (map.sheet !== 'one_sheet') return readHeader(map.sheet, header)
  if (map.rows === 'patient') {
    const crown = readCrown(header)
    if (crown !== undefined) return crown
  }
  const visit = map.rows === 'visit' ? undefined : visitOfHeader(header)
  if (visit !== undefined) return visit
  const numbered = map.rows === 'visit' ? undefined : readNumbered(header)
  if (numbered !== undefined) return numbered
  if (map.rows === 'visit') {
    const ofVisit = readHeader('visits', header)
    if (ofVisit !== undefined && ofVisit.field !== 'restoration_id') {
      const own = readHeader('one_sheet', header)
      const isOwn =
        own !== undefined &&
        ['loosening', 'removed', 'last_check'].every((word) => !own.field.startsWith(word))
      return isOwn && own.field !== 'first_loosening_date' ? own : ofVisit
    }
  }
  const own = readHeader('one_sheet', header)
  // Of rows by visit a column "loose" says what was found there, and no date of a first loosening.
  if (map.rows === 'visit' && own?.field === 'first_loosening_date') return { ...own, field: 'finding' }
  return own
}

const essentials = {
  patient: {
    ask: 'Which column tells one patient from another (a code or pseudonym, no name)?',
    fields: ['patient_id'],
  },
  delivery: {
    ask: 'Which column holds the day on which the crown was delivered?',
    fields: ['delivery_date', 'delivery_year'],
  },
  lastCheck: {
    ask: 'Which column tells when the screw was last checked, or when the visit was?',
    fields: ['last_check_date', 'visit_date', 'days_since_delivery'],
  },
  loosening: {
    ask: 'Which column tells that the screw was found loose?',
    fields: ['first_loosening_date', 'finding', 'loosening_count'],
  },
  tightenings: {
    ask: 'Which column tells how often the screw was tightened at delivery?',
    fields: ['tightenings_at_delivery', 'tightening_group'],
  },
} as const

/**
 * The columns without which there is no answer are asked for, always, and never assumed; that of the tightenings is
 * settled too by a word on other columns or on the screws of which nothing is said.
 *
 * @returns what there is no column for, by the user's word
 */
function askEssentials(
  talk: SheetTalk,
  entries: readonly Entry[],
  headers: readonly string[],
): readonly EssentialColumn[] {
  const { text, map, places, questions } = talk
  const absent: EssentialColumn[] = []
  const given = (key: keyof SheetAnswers): boolean => questions.given(at(places, key)) !== undefined
  const ofCrowns = entries.some((entry) =>
    (essentials.delivery.fields as readonly string[]).includes(entry.field ?? ''),
  )
  const exposureSettled =
    (['columns', 'columnsRight', 'otherColumns', 'otherTightenings'] as const).some(given) ||
    (map.rows === 'visit' && !ofCrowns)
  for (const [key, { ask, fields }] of Object.entries(essentials)) {
    const holds = (entry: Entry): boolean => (fields as readonly string[]).includes(entry.field ?? '')
    if (entries.some((entry) => entry.said && holds(entry))) continue
    if (key === 'tightenings' && exposureSettled && !given('tightenings')) continue
    const proposed = headers[entries.findIndex(holds)] ?? null
    const candidates = text.columns.flatMap((column, index) =>
      isTaken(entries[index]!, fields) ? [] : [choiceOf(column, headers[index]!, entries[index]!)],
    )
    const answer = questions.ask(at(places, key), {
      ask,
      because:
        proposed === null
          ? ['no header says so']
          : [`${shown(proposed)}: ${entries[headers.indexOf(proposed)]!.because[0]}`],
      choices: [...candidates, { answer: null, means: 'not in this sheet' }],
      proposed,
    })
    const index = headers.indexOf(answer as string)
    const entry = entries[index]
    if (answer === null && given(key as EssentialColumn)) absent.push(key as EssentialColumn)
    // The user's word on one column takes the field from any that only its header had given it.
    for (const other of entries) {
      // Another crown of the same row has a column of its own.
      const rival = other !== entry && !other.said && holds(other) && other.crown === entry?.crown
      if (rival && (entry === undefined || other.field === entry.field || !holds(entry))) {
        if (other.visit === undefined || entry === undefined) other.field = null
      }
    }
    if (entry === undefined) continue
    if (!holds(entry)) entry.field = fieldByValues(key as keyof typeof essentials, text.columns[index]!, map)
    if (questions.given(at(places, key)) !== undefined) entry.said = true
    if (map.rows === 'patient') takeOtherCrowns(entries, headers, index)
  }
  return absent
}

/** What is said of "Loose 1" holds for "Loose 2", of the next crown of the row, where nothing else is known of it. */
function takeOtherCrowns(entries: readonly Entry[], headers: readonly string[], index: number): void {
  const numbered = (header: string): RegExpExecArray | null => /^(.*?)(\d{1,2})$/.exec(header.trim())
  const own = numbered(headers[index]!)
  if (own === null) return
  const entry = entries[index]!
  entry.crown ??= Number(own[2])
  headers.forEach((header, at) => {
    const other = entries[at]!
    const match = numbered(header)
    if (at === index || other.said || other.field !== null || match?.[1] !== own[1]) return
    other.field = entry.field
    other.crown = Number(match![2])
    other.because = [`as ${shown(headers[index]!)}`]
  })
}

function isTaken(entry: Entry, fields: readonly string[]): boolean {
  return entry.said && entry.field !== null && !fields.includes(entry.field)
}

function fieldByValues(key: keyof typeof essentials, column: TextColumn, map: MappedSheet): string {
  if (key === 'patient') return 'patient_id'
  if (key === 'delivery') return 'delivery_date'
  if (key === 'lastCheck') return map.rows === 'visit' ? 'visit_date' : 'last_check_date'
  if (key === 'tightenings') {
    return shareOf(column, (value) => /^\d{1,2}$/.test(value.trim())) > 0.5
      ? 'tightenings_at_delivery'
      : 'tightening_group'
  }
  if (map.rows === 'visit') return 'finding'
  return shareOf(column, isDateLike) > 0.5 ? 'first_loosening_date' : 'loosening_count'
}

/** Asks for the columns of which the header does not tell for certain, and tells of those of which it does. */
function askFields(
  talk: SheetTalk,
  entries: readonly Entry[],
  headers: readonly string[],
): { readonly told: readonly string[] } {
  const { text, places, questions } = talk
  const known = entries.flatMap((entry, index) =>
    entry.field === null || entry.said ? [] : [`${shown(headers[index]!)} → ${nameOf(entry)}`],
  )
  const oneByOne =
    known.length > 0 &&
    questions.ask(at(places, 'columnsRight'), {
      ask: 'These columns are understood by their headers. Right?',
      because: known,
      choices: [
        { answer: true, means: 'yes' },
        { answer: false, means: 'no, ask for each' },
      ],
      proposed: true,
    }) === false
  entries.forEach((entry, index) => {
    const column = text.columns[index]!
    if (entry.said || column.values.length <= 1) return
    const ranked = rankedFields(talk, column, entries)
    const isOpen = entry.field === null ? ranked.length > 0 : oneByOne
    if (!isOpen) return
    const best = entry.field ?? ranked[0]!.field
    const answer = questions.ask(at(places, 'columns', headers[index]!, 'field'), {
      ask: `What does the column ${shown(headers[index]!)} hold?`,
      because: [
        ...entry.because,
        ...samplesOf(column),
        ...ranked.slice(0, 3).map((one) => `${one.field}: ${one.because}`),
      ],
      choices: [
        ...[...new Set([best, ...ranked.map((one) => one.field)])].map((field) => ({
          answer: field,
          means: meaningOf(talk, field),
        })),
        { answer: null, means: 'not used' },
      ],
      proposed: entry.field ?? (ranked[0]!.share > 0.9 ? ranked[0]!.field : null),
    })
    entry.field = answer as string | null
  })
  const unused = headers.filter((_, index) => entries[index]!.field === null)
  return {
    told: [
      ...headers.flatMap((header, index) =>
        entries[index]!.field === null ? [] : [`${shown(header)} → ${nameOf(entries[index]!)}`],
      ),
      ...(unused.length === 0 ? [] : [`not used: ${unused.map(shown).join(', ')}`]),
    ],
  }
}

function nameOf({ field, visit, crown }: Entry): string {
  return [field, visit && `visit ${visit}`, crown && `crown ${crown}`].filter(Boolean).join(', ')
}

function meaningOf({ map }: SheetTalk, name: string): string {
  return (fieldOf(map.sheet, name) ?? fieldOf('visits', name))?.description ?? name
}

/** Fields that the values of a column would fit and that no other column holds, likeliest first, with the reason. */
function rankedFields(
  { map }: SheetTalk,
  column: TextColumn,
  entries: readonly Entry[],
): readonly { readonly field: string; readonly because: string; readonly share: number }[] {
  const free = (name: string): boolean => !entries.some((entry) => entry.field === name)
  const visits = map.rows === 'visit' ? sheetFields.visits : []
  const fields = [...sheetFields[map.sheet], ...visits].filter(
    (field, index, all) => free(field.name) && all.findIndex((one) => one.name === field.name) === index,
  )
  const dates = shareOf(column, isDateLike)
  if (dates > 0.8) {
    return fields
      .filter((field) => field.kind === 'date')
      .map(({ name }) => ({
        field: name,
        share: 0,
        because: `${Math.round(100 * dates)} % of the values are dates`,
      }))
  }
  return fields
    .filter((field) => field.kind === 'code')
    .map((field) => ({ field: field.name, share: shareOfCodes(field, column) }))
    .filter((one) => one.share > 0.6)
    .sort((left, right) => right.share - left.share)
    .map(({ field, share }) => ({
      field,
      share,
      because: `${Math.round(100 * share)} % of the words are known for it`,
    }))
}

/** Yes and no fit too many fields to say anything. */
function shareOfCodes(field: Field, column: TextColumn): number {
  if (field.codes!.length <= 2) return 0
  const map = proposeSheet(field.name === 'finding' ? 'visits' : 'one_sheet', {
    file: '',
    columns: [{ ...column, header: field.name }],
    rowCount: column.codes.length,
    sourceRow: new Int32Array(0),
    setAsideRows: 0,
    outside: [],
  })
  const values = map.columns[0]?.values ?? {}
  return shareOf(column, (value) => !value.match(/^\d+$/) && values[value] !== '?' && values[''] !== '?')
}

/** Rows that name several positions: crowns of their own, or one prosthesis. */
function askCrowns(talk: SheetTalk, mapped: readonly MappedColumn[]): Pick<MappedSheet, 'severalCrowns'> {
  const { text, places, questions, map } = talk
  const given = questions.given(at(places, 'severalCrowns')) as 'each' | 'one' | undefined
  const teeth = mapped.filter((one) => one.field === 'tooth_position')
  const columns = text.columns.filter((column) => teeth.some((one) => one.header === column.header))
  const scheme = teeth[0]?.scheme
  const several = columns.flatMap((column) =>
    column.values.filter(
      (value) => severalPositions(value, scheme === '?' ? undefined : scheme) !== undefined,
    ),
  )
  if (several.length === 0 || map.sheet !== 'one_sheet')
    return given === undefined ? {} : { severalCrowns: given }
  const answer = questions.ask(at(places, 'severalCrowns'), {
    ask: 'Some rows name several teeth. What is such a row?',
    because: [`such as ${several.slice(0, 5).join(' | ')}`],
    choices: [
      { answer: 'each', means: 'several crowns: each counts by itself, with the values of the row' },
      { answer: 'one', means: 'one prosthesis on several implants: it counts once' },
    ],
    proposed: 'each',
  })
  return { severalCrowns: answer as 'each' | 'one' }
}

/** Second tightenings of which remarks tell, row by row; and how the rows are read of which nothing is told. */
function askTold(
  talk: SheetTalk,
  mapped: readonly MappedColumn[],
  constants: Record<string, string> | undefined,
): Pick<MappedSheet, 'secondTightenings' | 'otherTightenings' | 'constants'> {
  const { places, questions } = talk
  const found: Record<string, number | 'unknown'> = {}
  const given = questions.given(at(places, 'secondTightenings')) as
    | 'as-told'
    | 'row-by-row'
    | Record<string, number | 'unknown' | 'no'>
    | undefined
  const told = toldRows(talk, mapped)
  const all = given === undefined ? askAllTold(talk, told) : given === 'row-by-row' ? {} : given
  if (all === 'as-told') for (const { row, waitMinutes } of told) found[row] = waitMinutes
  else if (all !== undefined) {
    for (const [row, answer] of Object.entries(all)) if (answer !== 'no') found[row] = answer
    for (const one of told) askToldRow(talk, one, found)
  }
  return {
    ...(Object.keys(found).length === 0 ? {} : { secondTightenings: found }),
    ...askOthers(talk, mapped, Object.keys(found).length, constants),
    ...(constants === undefined ? {} : { constants }),
  }
}

interface ToldRow extends ToldTightening {
  readonly row: string
  readonly header: string
}

/** Rows in which a remark that is no field tells of a second tightening. */
function toldRows({ text }: SheetTalk, mapped: readonly MappedColumn[]): readonly ToldRow[] {
  return text.columns.flatMap((column, index) => {
    if (mapped[index]!.field !== null) return []
    const told = column.values.map(toldTightening)
    return Array.from({ length: text.rowCount }, (_, row) => row).flatMap((row) => {
      const one = told[column.codes[row]!]
      return one === undefined ? [] : [{ ...one, row: String(text.sourceRow[row]!), header: column.header }]
    })
  })
}

/** All at once, each row with its words; a user who is not sure of one goes through them row by row. */
function askAllTold(
  { places, questions }: SheetTalk,
  told: readonly ToldRow[],
): 'as-told' | Record<string, never> | undefined {
  if (told.length === 0) return undefined
  const answer = questions.ask(at(places, 'secondTightenings'), {
    ask: `${told.length} rows tell of a second tightening at delivery. Take them as they tell it?`,
    because: told.map(({ row, words }) => `row ${row}: "${words}"`),
    choices: [
      { answer: 'as-told', means: 'yes, with the minutes that stand there' },
      { answer: 'row-by-row', means: 'no, ask for each row' },
    ],
    proposed: 'as-told',
  })
  return answer === 'as-told' ? 'as-told' : {}
}

function askToldRow(
  { places, questions }: SheetTalk,
  { row, words, waitMinutes, header }: ToldRow,
  found: Record<string, number | 'unknown'>,
): void {
  const answer = questions.ask(at(places, 'secondTightenings', row), {
    ask: `Row ${row} tells of a second tightening at delivery ("${words}"). After how many minutes?`,
    because: [`column ${shown(header)}`],
    choices: [
      ...(waitMinutes === 'unknown' ? [] : [{ answer: waitMinutes, means: `after ${waitMinutes} minutes` }]),
      { answer: 'unknown', means: 'the wait is not known' },
      { answer: 'no', means: 'no second tightening at delivery' },
    ],
    proposed: waitMinutes,
  })
  if (answer !== 'no') found[row] = answer as number | 'unknown'
}

/** How often the screw was tightened where the sheet does not say: asked where it matters, and never assumed. */
function askOthers(
  { places, questions }: SheetTalk,
  mapped: readonly MappedColumn[],
  told: number,
  constants: Record<string, string> | undefined,
): Pick<MappedSheet, 'otherTightenings'> {
  const has = (field: string): boolean => mapped.some((one) => one.field === field)
  const given = questions.given(at(places, 'otherTightenings')) as 'once' | 'unknown' | undefined
  const known = has('tightenings_at_delivery') || constants?.tightenings_at_delivery !== undefined
  if (known || (told === 0 && !has('target_torque_ncm')))
    return given === 'once' ? { otherTightenings: given } : {}
  const answer = questions.ask(at(places, 'otherTightenings'), {
    ask: 'How often was the screw tightened at delivery where the sheet does not say?',
    because: ['no column holds the number of tightenings'],
    choices: [
      { answer: 'unknown', means: 'it is not known; a torque alone does not tell' },
      { answer: 'once', means: 'once' },
    ],
    proposed: 'unknown',
  })
  return answer === 'once' ? { otherTightenings: 'once' } : {}
}
