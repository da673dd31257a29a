import { RecordError } from '../../core/errors.js'
import { type RestorationType, restorationTypes } from '../../vocabulary/fields.js'
import { choiceOf } from './samples.js'
import { at, type Entry, type SheetTalk, shown } from './talk.js'

const field = 'restoration_type'
const notRecorded = 'unknown'

const throughout: Readonly<Record<RestorationType, string>> = {
  single_crown: 'every restoration of the sheet is a single crown on one implant',
  splinted_crowns: 'every one is of splinted crowns',
  fixed_partial: 'every one is a fixed partial prosthesis (bridge)',
  fixed_partial_cantilever: 'every one is a fixed partial prosthesis with a cantilever',
  full_arch: 'every one is a full-arch prosthesis',
}

/** Values that hold for every row of a sheet, and what to tell of the type of its restorations. */
export interface SheetConstants {
  readonly constants?: Record<string, string>
  readonly said?: string
}

/** A column that the answers name as that of the type needs no question of its own. */
export function takeTypeColumn(talk: SheetTalk, entries: readonly Entry[], headers: readonly string[]): void {
  const answer = talk.questions.given(at(talk.places, 'type')) as string | undefined
  const entry = isType(answer) ? undefined : entries[headers.indexOf(answer ?? '')]
  if (entry === undefined || entries.some((one) => one.field === field && one.said)) return
  for (const other of entries) if (other.field === field) other.field = null
  entry.field = field
  entry.said = true
}

/**
 * Asks of what type the restorations are where no column tells: which of them a cohort takes in hangs on it, and a sheet
 * that is kept for single crowns alone has no reason to say so.
 */
export function askType(
  talk: SheetTalk,
  entries: readonly Entry[],
  headers: readonly string[],
): SheetConstants {
  const { questions, places, text } = talk
  const given = questions.given(at(places, 'constants')) as Record<string, string> | undefined
  const constants = given === undefined ? {} : { constants: given }
  entries.forEach((entry, index) => {
    const isEmpty = text.columns[index]!.values.length <= 1
    if (entry.field === field && !entry.said && isEmpty) entry.field = null
  })
  if (given?.[field] !== undefined) return { ...constants, said: `${field}: ${given[field]} throughout` }
  if (!holdsRestorations(talk, entries) || entries.some((entry) => entry.field === field)) return constants
  const answer = typeOf(talk, entries, headers)
  if (isType(answer)) {
    return { constants: { ...given, [field]: answer }, said: `${field}: ${answer} throughout` }
  }
  if (answer !== undefined && answer !== notRecorded) throw noSuchType(answer)
  return constants
}

/** A sheet of visits alone has no type: that stands with the crowns to which it is linked. */
function holdsRestorations({ map }: SheetTalk, entries: readonly Entry[]): boolean {
  if (map.sheet === 'restorations') return true
  const delivered = entries.some((one) => one.field === 'delivery_date' || one.field === 'delivery_year')
  return map.sheet === 'one_sheet' && delivered
}

function typeOf(
  { text, places, questions }: SheetTalk,
  entries: readonly Entry[],
  headers: readonly string[],
): string | undefined {
  const free = text.columns.flatMap((column, index) => {
    const entry = entries[index]!
    return entry.field !== null || column.values.length <= 1 ? [] : [choiceOf(column, headers[index]!, entry)]
  })
  // Nothing is proposed: what a sheet does not say of its restorations cannot be guessed from it.
  return questions.ask(at(places, 'type'), {
    ask: 'Of what type are the restorations?',
    because: [
      'no column is known to tell it',
      'an audit of single crowns leaves out each restoration of which the type is not known',
    ],
    choices: [
      ...restorationTypes.map((type) => ({ answer: type, means: throughout[type] })),
      ...free.map(({ answer, means }) => ({ answer, means: `this column tells it; ${means}` })),
      { answer: notRecorded, means: 'mixed, and no column tells which; or not known' },
    ],
  }) as string | undefined
}

function isType(answer: string | undefined): answer is RestorationType {
  return (restorationTypes as readonly (string | undefined)[]).includes(answer)
}

function noSuchType(answer: string): RecordError {
  return new RecordError({
    code: 'bad-answers',
    problem: `the answers give ${shown(answer)} as the type of the restorations.`,
    expected: `${restorationTypes.join(', ')}, ${notRecorded}, or the header of a column.`,
    mend: 'write one of these, or take the answer out and let holdfast map ask.',
  })
}
