import { UsageError } from '../core/errors.js'

/**
 * Problems that stop the run and that the user can set aside by name. What could change events, denominators or time at
 * risk stops until it is mended or named here; nothing of the kind passes with a warning.
 */
export const setAsideRules = Object.freeze({
  'not-a-date': 'a date of an outcome or of time at risk that cannot be read',
  'not-a-number': 'a number of an outcome or an exposure that cannot be read',
  'out-of-range': 'a number of an outcome or an exposure that is impossible',
  'date-cut-short': 'a date of an outcome or of time at risk that may lack a digit',
  'rows-not-told-apart': 'rows of one patient that may be crowns or visits',
  'two-digit-year': 'a date whose year has two digits',
  'month-in-words': 'a date whose month is in words',
  'partial-date': 'a date without its day or month',
  'unknown-word': 'a word that is no code of its field',
  'other-unit': 'a number in another unit, or in one that is not known',
  'torque-unit-in-doubt': 'a torque that is no N·cm',
  'missing-value': 'a row without a value that every row needs',
  'several-crowns': 'a row that stands for several crowns',
  'no-such-restoration': 'a row whose restoration is not there',
  'tightening-without-day': 'a tightening that cannot be placed in time',
  'event-before-delivery': 'a finding dated before the delivery',
  'event-in-future': 'a finding dated in the future',
  'event-after-removal': 'a finding after the restoration was gone',
  'event-after-death': 'a finding after the patient had died',
  'delivery-after-death': 'a delivery after the patient had died',
  'loosening-not-in-visits': 'a tightening after a loosening that no visit found',
  'tightening-after-end': 'a tightening after the removal or the death',
  'replaced-in-place': 'a restoration that was remade and is said to be in place',
  'identifier-is-placeholder': 'a patient whose identifier is none',
  'removal-not-in-status': 'a reason for a removal that no status has',
  'onset-without-finding': 'the onset of a finding that is not there',
  'delivery-on-another-day': 'a tightening at delivery that lies on a later day',
  'first-tightening-missing': 'a wait since a first tightening that is not there',
  'same-but-for-spelling': 'patients whose identifiers differ in spelling only',
  'check-before-nothing': 'a last check before a loosening that has no date',
  'onset-outside-interval': 'an onset that does not lie between check and finding',
  'visit-rows-disagree': 'rows of one visit that contradict each other',
  'loosening-without-date': 'a loosening that is counted and has no date',
  'loosening-not-counted': 'a loosening that has a date and a count of 0',
  'check-not-before-loosening': 'a check before loosening that is not before it',
  'course-before-delivery': 'something dated before the delivery',
  'course-in-future': 'something dated in the future',
  'course-after-removal': 'a check or loosening after the removal',
  'course-after-death': 'something dated after the death',
  'removal-without-date': 'a removal that has a reason and no date',
  'wait-unit-in-doubt': 'a wait shorter than a minute',
  'wait-without-second-tightening': 'a wait without a second tightening',
  'torque-without-tightening': 'a torque where no tightening is counted',
  'screw-partly-named': 'tightenings of which only some name their screw',
  'delivery-date-and-year-differ': 'a delivery whose date and year do not agree',
  'delivery-before-implants': 'a delivery before the first implants of this kind',
  'observation-start-impossible': 'a start of observation that cannot be',
  'rows-contradict': 'rows of one restoration that contradict each other',
  'field-mostly-unreadable': 'a field of which more than a fifth cannot be read',
  'row-too-long': 'a row with more values than there are headers',
  'too-many-set-aside': 'more rows set aside than 5%',
} as const satisfies Readonly<Record<string, string>>)

/** A problem that can be set aside by name. */
export type SetAsideRule = keyof typeof setAsideRules

/**
 * Checks the names that a user gives to set problems aside.
 *
 * @throws UsageError `no-such-rule` where there is no such problem, with the names that exist
 */
export function checkedRules(names: readonly string[]): readonly SetAsideRule[] {
  for (const name of names) {
    if (!(name in setAsideRules)) {
      throw new UsageError({
        code: 'no-such-rule',
        problem: `no problem that can be set aside is called ${/^[a-z-]{1,40}$/.test(name) ? name : 'so'}.`,
        expected: `one of ${Object.keys(setAsideRules).join(', ')}.`,
        mend: 'copy the code in brackets from the list of holdfast check.',
      })
    }
  }
  return names as readonly SetAsideRule[]
}
