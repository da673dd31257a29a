import { type Field, fieldOf } from '../../vocabulary/fields.js'
import { saysUnknown } from '../../vocabulary/unknown.js'
import { hasShapeOfName, identifierOfValue } from '../identities/identifierValues.js'
import { countsOf, type TextColumn } from '../read/textTable.js'
import type { MappedColumn } from '../understand/columnMap.js'
import { dayOfText } from '../understand/dates.js'
import { dayByMap } from '../understand/datesByMap.js'
import { headerWords } from '../understand/headerWords.js'
import { numberOfText, unitOf, withUnit } from '../understand/numbers.js'
import { proposedSettings } from '../understand/proposeMap.js'
import { turnedRound } from '../understand/readDates.js'
import { unitFactor } from '../understand/unitFactors.js'
import { notChecked } from '../understand/visitColumns.js'
import type { ColumnAnswers } from './answers.js'
import type { Choice } from './questions.js'
import { at, type Entry, isVisitEntry, type SheetTalk, shown } from './talk.js'

type Settings = Omit<MappedColumn, 'header'>
type Writable = { -readonly [Key in keyof Settings]: Settings[Key] }

interface ColumnTalk extends SheetTalk {
  readonly column: TextColumn
  readonly name: string
  readonly field: Field
  readonly evidence: string[]
}

/** Asks what else has to be known to read a column: dates, units, words, blanks; gives its entry in the map. */
export function askSettings(talk: SheetTalk, column: TextColumn, entry: Entry, name: string): Settings {
  const { places, questions, map } = talk
  if (entry.field === null) return { field: null }
  const isVisit = isVisitEntry(map, entry)
  const field = fieldOf(isVisit ? 'visits' : map.sheet, entry.field)
  if (field === undefined) return { field: null }
  const evidence = [...entry.because]
  const one: ColumnTalk = { ...talk, column, name, field, evidence }
  const settings: Writable = {
    field: field.name,
    ...(entry.visit === undefined ? {} : { visit: entry.visit }),
    ...(entry.crown === undefined ? {} : { crown: entry.crown }),
    ...(proposedSettings(field, talk.text, column, entry.unit, evidence) as Partial<Writable>),
  }
  if (isVisit && field.name === 'visit_date') settings.checked = askChecked(one, entry)
  const said = questions.given(at(places, 'columns', name))
  if (typeof said === 'object' && said !== null) {
    const { values, field: _field, ...rest } = said as ColumnAnswers
    Object.assign(settings, rest)
    if (values !== undefined) settings.values = { ...settings.values, ...values }
  }
  if (field.kind === 'date') askDates(one, settings)
  if (field.unit !== undefined) askUnit(one, settings)
  if (field.kind === 'code') askWords(one, settings)
  if (field.kind === 'date' || field.kind === 'whole' || field.kind === 'number') askUnreadable(one, settings)
  if (settings.decimalMark === '?') {
    settings.decimalMark = askOf(
      one,
      'decimalMark',
      'Which mark sets the decimals apart?',
      [
        { answer: '.', means: 'the point' },
        { answer: ',', means: 'the comma' },
      ],
      ',',
    ) as ','
  }
  if (settings.scheme === '?') {
    settings.scheme = askOf(
      one,
      'scheme',
      'How are tooth positions written?',
      [
        { answer: 'iso-3950', means: 'two digits: quadrant and position (11 to 48)' },
        { answer: '1-32', means: 'one number, 1 to 32' },
        { answer: 'quadrant-letters', means: 'letters and a number, such as UR6' },
        { answer: 'plus-minus', means: 'plus and minus, such as 6+' },
      ],
      'iso-3950',
    ) as 'iso-3950'
  }
  askFillDown(one, settings)
  return { ...settings, evidence: one.evidence }
}

function askOf(
  talk: ColumnTalk,
  key: keyof ColumnAnswers,
  ask: string,
  choices: readonly Choice[],
  proposed: Choice['answer'],
): unknown {
  return talk.questions.ask(at(talk.places, 'columns', talk.name, key), {
    ask: `${shown(talk.name)}: ${ask}`,
    because: talk.evidence,
    choices,
    proposed,
  })
}

const yesOrNo: readonly Choice[] = [
  { answer: true, means: 'yes' },
  { answer: false, means: 'no' },
]

/** Whether the screw was checked at a visit, where no column says so. */
function askChecked(talk: ColumnTalk, entry: Entry): boolean {
  const { map, questions, places, name } = talk
  const given = questions.given(at(places, 'columns', name, 'checked'))
  if (typeof given === 'boolean') return given
  const hasColumn = map.columns.some((one) => one.field === 'screw_checked')
  if (hasColumn) return false
  if (entry.checked === true) return true
  return (
    askOf(talk, 'checked', 'was the screw checked for looseness at these visits?', yesOrNo, true) === true
  )
}

function askDates(talk: ColumnTalk, settings: Writable): void {
  if (settings.dateOrder === '?') {
    const points = talk.column.values.some((value) => /^\d{1,2}\.\d{1,2}\.\d{2,4}$/.test(value))
    const monthFirst = !points && talk.language === 'English'
    settings.dateOrder = askOf(
      talk,
      'dateOrder',
      'which comes first, the day or the month?',
      [
        { answer: 'day-first', means: 'the day' },
        { answer: 'month-first', means: 'the month' },
      ],
      monthFirst ? 'month-first' : 'day-first',
    ) as 'day-first'
  }
  if (settings.serialDates === '?') {
    settings.serialDates = askOf(
      talk,
      'serialDates',
      'dates are numbers. From which year are they counted?',
      [
        { answer: 1900, means: 'as most spreadsheets do' },
        { answer: 1904, means: 'as old Macintosh spreadsheets did' },
      ],
      1900,
    ) as 1900
  }
  if (settings.twoDigitYearsFrom === '?') {
    settings.twoDigitYearsFrom =
      centurySaid(talk) ??
      (talk.questions.ask(at(talk.places, 'columns', talk.name, 'twoDigitYearsFrom'), {
        ask: `${shown(talk.name)}: years have two digits. With which year do the hundred years begin?`,
        because: talk.evidence,
        proposed: 1950,
      }) as number)
  }
  // A name of a month means one month only, so that there is nothing to ask.
  if (settings.monthNames === '?') settings.monthNames = true
  if (settings.partialDates === '?') {
    settings.partialDates = askOf(
      talk,
      'partialDates',
      'some dates lack their day or month. Which day is taken?',
      [
        { answer: 'first', means: 'the first of the month or year' },
        { answer: 'middle', means: 'the middle' },
        { answer: 'last', means: 'the last' },
        { answer: 'unknown', means: 'none: the date is not known' },
      ],
      'middle',
    ) as 'middle'
  }
  askSwap(talk, settings)
}

/** What was said of the years of another column of the sheet: one answer serves them all. */
function centurySaid({ questions, places }: ColumnTalk): number | undefined {
  const columns = questions.given(at(places, 'columns')) as Readonly<Record<string, unknown>> | undefined
  for (const said of Object.values(columns ?? {})) {
    const from = (said as ColumnAnswers | null)?.twoDigitYearsFrom
    if (typeof from === 'number') return from
  }
  return undefined
}

function askSwap(talk: ColumnTalk, settings: Writable): void {
  const turned = turnedRound(talk.column.values, countsOf(talk.column))
  if (turned === 'no' || settings.swapDates !== undefined) return
  const mixed = turned === 'mixed'
  talk.evidence.push(
    `every true date has a day up to 12${mixed ? ', and every date that is a text one above' : ''}: a spreadsheet may have turned day and month round on entry`,
  )
  const ask = 'have day and month been turned round in the true dates?'
  settings.swapDates = askOf(talk, 'swapDates', ask, yesOrNo, mixed) === true
}

/** A unit that is not known, or that would put the values out of reach, is asked for. */
function askUnit(talk: ColumnTalk, settings: Writable): void {
  const { field, column, evidence } = talk
  const units = ['N·cm', 'N·m', 'N·mm', 'kgf·cm', 'in·lbf']
  if (field.unitLimits === undefined || settings.unitColumn !== undefined) {
    if (settings.unit === '?') delete settings.unit
    return
  }
  if (talk.questions.given(at(talk.places, 'columns', talk.name, 'unit')) !== undefined) return
  const { min, max } = field.unitLimits
  const bare = column.values.map((value) => withUnit(value)?.number ?? value)
  const numbers = bare.flatMap((value) => {
    const number = numberOfText(value, '.') ?? numberOfText(value, ',')
    return number === undefined ? [] : [number]
  })
  const fits = (unit: string): boolean => {
    const factor = unitFactor(unit, field.unit!)
    return factor !== undefined && numbers.every((one) => one * factor >= min && one * factor <= max)
  }
  const stated = settings.unit ?? field.unit!
  const strange = [
    bracketOf(talk.name),
    ...column.values.map((value) => /^[\d.,]+\s*([^\d\s.,].*)$/.exec(value)?.[1]),
  ].filter((word): word is string => word !== undefined && unitOf(word.trim()) === undefined)
  if (strange.length > 0)
    evidence.push(`a unit that is not known: ${[...new Set(strange)].slice(0, 3).join(', ')}`)
  const known = settings.unit === 'in-cells' || (settings.unit !== '?' && fits(stated))
  if (known && strange.length === 0) return
  const proposed = units.find(fits) ?? field.unit!
  settings.unit = askOf(
    talk,
    'unit',
    'in which unit is the torque?',
    units.map((unit) => ({ answer: unit, means: unit })),
    proposed,
  ) as string
}

function bracketOf(header: string): string | undefined {
  return /[([]\s*([^)\]\d]{1,12}?)\s*[)\]]\s*$/.exec(header)?.[1]
}

/** Words that no list knows, single letters for sexes, and blanks beside findings. */
function askWords(talk: ColumnTalk, settings: Writable): void {
  const { field, column, questions, places, name } = talk
  const values: Record<string, string> = { ...settings.values }
  if (field.name === 'sex')
    Object.assign(values, lettersOfSexes(talk), questions.given(at(places, 'columns', name, 'values')))
  if (field.name === 'finding')
    Object.assign(
      values,
      yesNoFindings(values, column),
      questions.given(at(places, 'columns', name, 'values')),
    )
  const codes = [...field.codes!, ...(field.name === 'finding' ? [notChecked] : [])]
  const choices: readonly Choice[] = [
    ...codes.map((code) => ({ answer: code, means: code.replaceAll('_', ' ') })),
    { answer: 'unknown', means: 'not known' },
  ]
  // H beside M means man and woman in Spanish and Portuguese, and is asked all the same.
  const letters = Object.keys(values).map((word) => word.toLowerCase())
  const doubtful = field.name === 'sex' && letters.includes('h') && letters.includes('m')
  for (const [word, meaning] of Object.entries(values)) {
    const isBlank = word === ''
    if (meaning !== '?' && !isBlank && !(doubtful && /^[hm]$/i.test(word))) continue
    if (isBlank && meaning === '?') {
      delete values['']
      continue
    }
    values[word] = String(
      questions.ask(at(places, 'columns', name, 'values', word), {
        ask: isBlank
          ? `${shown(name)}: what does an empty cell mean?`
          : `${shown(name)}: what does "${word}" mean?`,
        because: [],
        choices,
        proposed: meaning === '?' ? 'unknown' : meaning,
      }),
    )
  }
  if (field.name === 'finding' && values[''] === undefined && hasBlankFindings(talk)) {
    const blank = questions.ask(at(places, 'blankFinding'), {
      ask: 'What does an empty cell mean where a finding would stand?',
      because: [`column ${shown(name)}`],
      choices: [
        { answer: 'none', means: 'nothing was found' },
        { answer: 'unknown', means: 'it is not known what was found' },
        { answer: notChecked, means: 'the screw was not checked' },
      ],
      proposed: 'none',
    })
    if (blank !== 'unknown') values[''] = String(blank)
  }
  if (Object.keys(values).length > 0) settings.values = values
}

/** H and M, H and F, M and F: what single letters mean goes by the language of the sheet. */
function lettersOfSexes({ column, language }: ColumnTalk): Record<string, string> {
  const letters = new Set(column.values.map((value) => value.trim().toLowerCase()))
  const withH = letters.has('h')
  const iberian = language === 'Spanish' || language === 'Portuguese'
  const values: Record<string, string> = {}
  for (const value of column.values) {
    const letter = value.trim().toLowerCase()
    if (letter === 'h') values[value] = 'male'
    // Beside H for hombre or homem M is mujer or mulher; alone, or beside F, it is a man.
    if (letter === 'm') values[value] = withH && (iberian || !letters.has('f')) ? 'female' : 'male'
  }
  return values
}

/** A column that answers "loose?" by yes and no. */
function yesNoFindings(values: Readonly<Record<string, string>>, column: TextColumn): Record<string, string> {
  const meaning = (word: string): string | undefined => {
    const plain = headerWords(word)
    if (/^(?:yes|y|ja|j|oui|o|si|s|sim|x|1|true)$/.test(plain)) return 'screw_loosening'
    return /^(?:no|n|nein|non|nao|0|false)$/.test(plain) ? 'none' : undefined
  }
  const words = column.values.filter((value) => !saysUnknown(value))
  if (words.length === 0 || words.length > 4 || !words.every((word) => meaning(word) !== undefined)) return {}
  return Object.fromEntries(
    words
      .filter((word) => values[word] === undefined || values[word] === '?' || word !== '')
      .map((word) => [word, meaning(word)!]),
  )
}

/** Whether a cell is empty where a visit took place. */
function hasBlankFindings({ text, map, column }: ColumnTalk): boolean {
  const index = text.columns.indexOf(column)
  const own = map.columns[index]
  const dateIndex = map.columns.findIndex((one) => one.field === 'visit_date' && one.visit === own?.visit)
  const dates = text.columns[dateIndex]
  for (let row = 0; row < text.rowCount; row++) {
    if (column.values[column.codes[row]!] !== '') continue
    if (dates === undefined || dates.values[dates.codes[row]!] !== '') return true
  }
  return false
}

/** Texts among dates and numbers: each is asked for, and what is written in its place is read. */
function askUnreadable(talk: ColumnTalk, settings: Writable): void {
  const { field, column, questions, places, name } = talk
  const values: Record<string, string> = { ...settings.values }
  const mark = settings.decimalMark === ',' ? ',' : '.'
  const isRead = (value: string): boolean => {
    if (field.kind !== 'date') {
      const bare = withUnit(value)?.number ?? (unitless(value) || value)
      return numberOfText(bare, mark) !== undefined
    }
    const order =
      settings.dateOrder === '?' || settings.dateOrder === undefined ? 'year-first' : settings.dateOrder
    return (
      dayOfText(value, order) !== undefined ||
      dayByMap(value, order, { ...settings, header: '' }) !== undefined
    )
  }
  const strange = column.values.filter(
    (value) => !saysUnknown(value) && values[value] === undefined && !isRead(value),
  )
  for (const word of strange.slice(0, 40)) {
    if (word.length > 60 || identifierOfValue(word) !== undefined || hasShapeOfName(word)) continue
    const proposed = meaningAmong(field, word)
    const answer = questions.ask(at(places, 'columns', name, 'values', word), {
      ask: `${shown(name)}: what does "${word}" mean?`,
      because: [
        `write what is to be read in its place: ${field.kind === 'date' ? 'a date as YYYY-MM-DD' : 'a number'}; nothing for an empty cell; "unread" where it cannot be known, and check then stops`,
      ],
      proposed,
    })
    if (answer !== 'unread') values[word] = String(answer)
  }
  if (Object.keys(values).length > 0) settings.values = values
  if (
    field.name !== 'first_loosening_date' ||
    !column.values.some((value, code) => value === '' && countsOf(column)[code]! > 0)
  )
    return
  const blank = questions.ask(at(places, 'blankLoosening'), {
    ask: `${shown(name)}: what does an empty cell mean?`,
    because: [],
    choices: [
      { answer: 'never', means: 'the screw was never found loose' },
      { answer: 'unknown', means: 'it is not known: check stops until these rows are mended or set aside' },
    ],
    proposed: 'never',
  })
  if (blank === 'unknown') settings.blank = 'unknown'
}

/** A number before a word that is no unit. */
function unitless(value: string): string | undefined {
  return /^([\d.,]+)\s*[^\d\s].*$/.exec(value)?.[1]
}

const never =
  /^(?:no|none|never|nein|keine?|nie|non|aucune?|jamais|ninguno?|ninguna|nunca|nao|nenhum|nenhuma|nessuno|nessuna|mai|ok|o b|ohne|fest|tight)$/
const once =
  /^(?:1 ?x|once|single|einmal|einfach|une fois|una vez|uma vez|una volta|yes|y|ja|j|oui|si|sim|x)$/
const twice = /^(?:2 ?x|twice|double|repeated|zweimal|zweifach|deux fois|dos veces|duas vezes|due volte)$/

function meaningAmong(field: Field, word: string): string {
  const plain = headerWords(word)
  if (field.kind === 'date') return never.test(plain) ? '' : 'unread'
  if (never.test(plain)) return '0'
  if (once.test(plain)) return '1'
  return twice.test(plain) ? '2' : 'unread'
}

/** A key that stands on the first of several rows only, as merged cells are exported. */
function askFillDown(talk: ColumnTalk, settings: Writable): void {
  const { field, column, map, text } = talk
  const isKey =
    field.name === 'patient_id' ||
    (map.rows === 'visit' && ['restoration_id', 'tooth_position', 'delivery_date'].includes(field.name))
  if (!isKey || map.sheet !== 'one_sheet' || settings.fillDown !== undefined) return
  const blank = countsOf(column)[0]!
  if (blank === 0 || column.values[column.codes[0]!] === '' || blank > 0.95 * text.rowCount) return
  const answer = askOf(talk, 'fillDown', 'does a value hold for the empty cells below it?', yesOrNo, true)
  if (answer === true) settings.fillDown = true
}
