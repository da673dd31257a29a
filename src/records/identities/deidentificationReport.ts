import { formatCount, formatPercent } from '../../core/format.js'
import type { Anonymity } from './anonymity.js'
import type { DateRule, DayRule, FieldFate } from './shareableTables.js'

/** What was done to make the shareable form, for the report that goes with it. */
export interface Deidentification {
  readonly dates: DateRule
  readonly rows: Readonly<Record<string, number>>
  readonly fates: readonly FieldFate[]
  readonly deathsSpread: number
  readonly anonymity: Anonymity
  /** How far days since delivery were rounded. */
  readonly days: DayRule
  /** Smallest group that the user accepts by name, where it is smaller than k. */
  readonly acceptedGroups?: number
}

const fateWords: Readonly<Record<FieldFate['fate'], string>> = {
  kept: 'kept as it is',
  pseudonym: 'replaced by a pseudonym drawn at random',
  'days since delivery': 'whole days since delivery, no date',
  'rounded days': 'days since delivery, rounded',
  'year only': 'the year of delivery, no day and no month',
  band: 'age in bands',
  period: 'label of the calendar period',
  shifted: "date moved by a number of days of the patient's own",
  dropped: 'left out',
}

/** The report on a de-identification, as Markdown. */
export function deidentificationReport(done: Deidentification): string {
  const { anonymity } = done
  return [
    '# How this data set was made shareable',
    '',
    ...datesParagraph(done.dates),
    ...(done.days === 'exact'
      ? []
      : [
          `Days since delivery were rounded to the nearest whole ${done.days.replace(/s$/, '')}; no visit falls on the delivery itself.`,
        ]),
    '',
    'Pseudonymised is not anonymous: whoever holds the key file can lead every row back to its patient, and the data stay',
    'personal data (GDPR, Article 4(5) and Recital 26). The key file stays in the practice. Whether the data may be sent,',
    'to whom and on what ground stays with you: approvals are not part of this file.',
    '',
    '## Rows',
    '',
    '| table | rows |',
    '|---|---|',
    ...Object.entries(done.rows).map(([table, count]) => `| ${table} | ${formatCount(count)} |`),
    '',
    done.deathsSpread === 0
      ? 'No row was added.'
      : `${done.deathsSpread === 1 ? '1 row was' : `${formatCount(done.deathsSpread)} rows were`} added to the visits: a death on record for one restoration of a patient was written down for the others, since without dates it could not be known for them.`,
    '',
    '## Fields',
    '',
    '| table | field | what was done |',
    '|---|---|---|',
    ...done.fates.map(({ table, field, fate }) => `| ${table} | ${field} | ${fateWords[fate]} |`),
    '',
    '## Small groups',
    '',
    `Restorations that are alike in ${anonymity.fields.join(', ')} form a group (visit_days: the days of all their visits). The smallest group has ${formatCount(anonymity.smallestGroup)}; ${formatCount(anonymity.rowsBelow)} of ${formatCount(anonymity.rows)} restorations (${formatPercent(anonymity.rows === 0 ? 0 : anonymity.rowsBelow / anonymity.rows)}) stand in groups of fewer than ${anonymity.k}.`,
    '',
    '| left out | smallest group | restorations in small groups |',
    '|---|---|---|',
    ...anonymity.without.map(
      (one) => `| ${one.field} | ${formatCount(one.smallestGroup)} | ${formatCount(one.rowsBelow)} |`,
    ),
    '',
    ...(done.acceptedGroups === undefined
      ? []
      : [
          `Groups down to ${formatCount(done.acceptedGroups)} were accepted by the word of the user (--accept-small-groups).`,
          '',
        ]),
    anonymity.rowsBelow === 0
      ? 'No restoration stands in a group that is too small.'
      : 'A person who knows a patient could find the restorations in small groups. Send only what the question needs, to people who have promised not to look for anybody.',
    '',
  ].join('\n')
}

function datesParagraph(dates: DateRule): readonly string[] {
  if (dates === 'days') {
    return [
      'The tables hold no date but the year of delivery; everything else is whole days since delivery. Direct identifiers,',
      'lots and free text are not in them (45 CFR 164.514(b)(2)(i) names the eighteen kinds that must go).',
    ]
  }
  return [
    'The dates of delivery were moved by a number of days of the patient’s own, between 364 days back and 364 days on.',
    'Moved dates are not Safe Harbor by themselves (45 CFR 164.514(b)(2)): they need the word of an expert or an agreement,',
    'and they destroy every question about the calendar: changes of protocol, periods, trends.',
  ]
}
