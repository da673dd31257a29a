import { access } from 'node:fs/promises'
import { resolve, sep } from 'node:path'
import { DisclosureError, UsageError } from '../../core/errors.js'
import { formatCount, formatPercent } from '../../core/format.js'
import { deepFreeze } from '../../core/plain.js'
import { quasiIdentifiers } from '../../vocabulary/fields.js'
import { labelAt } from '../columns.js'
import type { RecordSet } from '../dataset.js'
import { dataPackageText, type PackagedTable } from '../desk/dataPackageText.js'
import { type ReadingOptions, readRecords } from '../read/readDataset.js'
import type { DayRule } from '../understand/roundedDays.js'
import { type Anonymity, anonymityOf } from './anonymity.js'
import { csvOfTable } from './csvText.js'
import { Door, keyFileOf } from './door.js'
import { openPseudonymKey, type PseudonymKey, type RandomBytes, writePseudonymKey } from './pseudonymKey.js'
import {
  type DateRule,
  type DeliveryPeriod,
  type FieldFate,
  type SharingRules,
  shareableTables,
} from './shareableTables.js'
import type { TextRows } from './sharedRows.js'
import { type FileWriter, refuseSourceFolder, writeFolder } from './writeFolder.js'

/** How records are made shareable. */
export interface DeidentifyOptions extends ReadingOptions {
  /** Key file of the practice; default: beside the data set, `holdfast-key.json` in its folder. Made where it is missing. */
  readonly keyFile?: string
  /** Days since delivery with the year alone (default), or dates moved by days of the patient's own. */
  readonly dates?: DateRule
  /** Calendar periods that the analysis needs; their labels are worked out before the dates are dropped. Default none. */
  readonly periods?: readonly DeliveryPeriod[]
  /** Tooth positions as they are (default), or jaw and region only. */
  readonly positions?: 'exact' | 'region'
  /** Optional fields that are left out, to make small groups larger; default none. */
  readonly leaveOut?: readonly string[]
  /** Days since delivery as they are (default), or rounded to weeks, months, quarters or years. */
  readonly days?: DayRule
  /** Smallest group of alike restorations that is not too small; default 5. */
  readonly k?: number
  /** Smallest group that is accepted by name, where not even coarser data reach k; default k. */
  readonly acceptSmallGroups?: number
  /** Title of the shareable data set; default "Restoration records, shareable form". */
  readonly title?: string
  /** Source of random bytes; only tests give one. */
  readonly randomBytes?: RandomBytes
  /** Writer of files; only tests give one. */
  readonly writer?: FileWriter
}

/** What was written. */
export interface DeidentifyResult extends Deidentification {
  readonly directory: string
  readonly files: readonly string[]
  readonly keyFile: string
  /** What was taken off as the source was read, for the screen; empty where nothing was. */
  readonly atTheDoor: string
}

/**
 * Writes the shareable form of a data set to a folder of its own, with the report on what was done, and keeps the key
 * file beside the source. A later run with the same key file gives the same pseudonyms.
 *
 * @param path data set in its local form; never written to, apart from the key file beside it
 * @param directory new folder, or one that an earlier run has written
 * @throws RecordsRefused where something stops, an identifier above all
 * @throws UsageError `out-is-source`, `key-in-output`, `folder-not-ours`, `cannot-write`, `bad-key-file`, `no-such-path`
 * @throws DisclosureError `key-file-open`, `period-label-discloses`, `groups-too-small`
 */
export async function deidentify(
  path: string,
  directory: string,
  options: DeidentifyOptions,
): Promise<DeidentifyResult> {
  const isThere = await access(path).then(
    () => true,
    () => false,
  )
  if (isThere) await refuseSourceFolder(path, directory)
  const keyFile = resolve(options.keyFile ?? (await keyFileOf(path)))
  refuseKeyInOutput(keyFile, directory)
  const key = await openPseudonymKey(keyFile, options.randomBytes)
  const door = new Door(key, keyFile)
  const records = await readRecords(path, { ...options, door })
  const dates = options.dates ?? 'days'
  const rules: SharingRules = {
    dates,
    days: options.days ?? 'exact',
    periods: options.periods ?? [],
    positions: options.positions ?? 'exact',
    leaveOut: options.leaveOut ?? [],
  }
  const k = options.k ?? 5
  const share = (rule: SharingRules) => {
    const made = shareableTables(records, key, rule)
    return { made, anonymity: anonymityOfTables(records, made.tables, key, k) }
  }
  const { made, anonymity } = share(rules)
  const accepted = options.acceptSmallGroups ?? k
  if (anonymity.smallestGroup < accepted)
    throw groupsTooSmall(
      anonymity,
      coarser(rules).map((rule) => ({ rule, anonymity: share(rule).anonymity })),
    )
  const done: Deidentification = {
    dates,
    days: rules.days,
    rows: Object.fromEntries(made.tables.map((table) => [table.name, table.rows.length])),
    fates: made.fates,
    deathsSpread: made.deathsSpread,
    anonymity,
    ...(accepted < k ? { acceptedGroups: accepted } : {}),
  }
  const files = filesOf(made.tables, done, options.title ?? 'Restoration records, shareable form', records)
  // The key comes first: pseudonyms that were sent and cannot be led back would be lost for the next year.
  await writePseudonymKey(keyFile, key)
  await writeFolder({
    directory,
    state: stateOf(dates),
    files,
    ...(options.writer === undefined ? {} : { writer: options.writer }),
  })
  return deepFreeze({
    ...done,
    directory: resolve(directory),
    files: [...files.keys()],
    keyFile,
    atTheDoor: door.words(),
  })
}

function refuseKeyInOutput(keyFile: string, directory: string): void {
  if (!keyFile.startsWith(resolve(directory) + sep)) return
  throw new UsageError({
    code: 'key-in-output',
    problem: 'the key file would lie in the folder that is made to be sent away.',
    expected: 'a key file that stays in the practice.',
    mend: 'leave --key out, or give another place.',
  })
}

function stateOf(dates: DateRule): string {
  return dates === 'days' ? 'shareable' : 'date-shifted'
}

function filesOf(
  tables: readonly TextRows[],
  done: Deidentification,
  title: string,
  records: RecordSet,
): ReadonlyMap<string, string> {
  const packaged: PackagedTable[] = tables.map((table) => ({
    sheet: table.name,
    path: `${table.name}.csv`,
    columns: table.header,
  }))
  const heading = {
    name: 'holdfast-shareable',
    title,
    state: stateOf(done.dates),
    ...(records.source.generated ? { generated: true } : {}),
  }
  return new Map([
    ...tables.map((table) => [`${table.name}.csv`, csvOfTable(table)] as const),
    ['datapackage.json', dataPackageText(heading, packaged)],
    ['deidentification.md', deidentificationReport(done)],
  ])
}

/** k-anonymity over what is written; a finding seen on fewer than k restorations is rare, and counts as a mark of its own. */
function anonymityOfTables(
  records: RecordSet<'local'>,
  tables: readonly TextRows[],
  key: PseudonymKey,
  k: number,
): Anonymity {
  const [restorations, , visits] = tables as readonly [TextRows, TextRows, TextRows]
  const columns = new Map<string, readonly string[]>()
  for (const field of quasiIdentifiers) {
    const at = restorations.header.indexOf(field)
    if (at >= 0)
      columns.set(
        field,
        restorations.rows.map((row) => row[at]!),
      )
  }
  const rare = rareFindings(records, k)
  const ids = records.restorations.category('restoration_id')
  const marks = new Map<string, string>()
  for (const [row, mark] of rare) {
    marks.set(key.pseudonymOf('restoration_id', ids.labels[ids.codes[row]!]!), mark)
  }
  const id = restorations.header.indexOf('restoration_id')
  columns.set(
    'rare_findings',
    restorations.rows.map((row) => marks.get(row[id]!) ?? ''),
  )
  const days = visitDays(visits)
  columns.set(
    'visit_days',
    restorations.rows.map((row) => days.get(row[id]!) ?? ''),
  )
  return anonymityOf(columns, restorations.rows.length, k)
}

function rareFindings(records: RecordSet, k: number): ReadonlyMap<number, string> {
  const { visits } = records
  const finding = visits.category('finding')
  const holders = new Map<string, Set<number>>()
  for (let row = 0; row < visits.rowCount; row++) {
    const label = labelAt(finding, row)
    if (label === undefined || label === 'none') continue
    const set = holders.get(label) ?? new Set()
    holders.set(label, set.add(visits.restoration[row]!))
  }
  const marks = new Map<number, string>()
  for (const [label, restorations] of holders) {
    if (restorations.size >= k) continue
    for (const row of restorations) marks.set(row, `${marks.get(row) ?? ''} ${label}`)
  }
  return marks
}

/** The days of all visits of a restoration: whoever knows when somebody came can find the row by them. */
function visitDays(visits: TextRows): ReadonlyMap<string, string> {
  const [id, day] = ['restoration_id', 'days_since_delivery'].map((name) => visits.header.indexOf(name))
  const days = new Map<string, string>()
  for (const row of visits.rows) days.set(row[id!]!, `${days.get(row[id!]!) ?? ''} ${row[day!]}`)
  return days
}

/** Coarser rules than the given ones, the mildest first. */
function coarser(rules: SharingRules): readonly SharingRules[] {
  const order: readonly DayRule[] = ['exact', 'weeks', 'months', 'quarters', 'years']
  const days = order.slice(order.indexOf(rules.days) + 1)
  const leaveOut = [...new Set([...rules.leaveOut, 'age_at_delivery_years', 'age_band', 'sex'])]
  return [
    ...days.slice(0, 2).map((one) => ({ ...rules, days: one })),
    ...(rules.positions === 'exact' ? [rules, ...days.map((one) => ({ ...rules, days: one }))] : []).map(
      (rule) => ({
        ...rule,
        positions: 'region' as const,
      }),
    ),
    { ...rules, days: 'years', positions: 'region', leaveOut },
  ]
}

interface Offer {
  readonly rule: SharingRules
  readonly anonymity: Anonymity
}

function groupsTooSmall(
  { k, smallestGroup, rowsBelow, rows }: Anonymity,
  offers: readonly Offer[],
): DisclosureError {
  const reaching = offers.find((one) => one.anonymity.smallestGroup >= k)
  const told = reaching === undefined ? offers : [reaching]
  const best = Math.max(smallestGroup, ...offers.map((one) => one.anonymity.smallestGroup))
  const list = told.map(
    ({ rule, anonymity }) =>
      `${optionsOf(rule)} (smallest group ${anonymity.smallestGroup}, ${anonymity.rowsBelow} below ${k})`,
  )
  const last =
    reaching === undefined
      ? `; none of these reaches ${k}: accept groups down to ${best} with what comes nearest and --accept-small-groups ${best}, or down to ${smallestGroup} as it is with --accept-small-groups ${smallestGroup}, or send nothing`
      : ''
  return new DisclosureError({
    code: 'groups-too-small',
    problem: `the smallest group of restorations that are alike, the days of their visits included, has ${smallestGroup}; ${rowsBelow} of ${rows} stand in groups of fewer than ${k}. Nothing was written.`,
    expected: `groups of at least ${k}.`,
    mend: `make the data coarser: ${list.join('; ')}${last}.`,
  })
}

function optionsOf({ days, positions, leaveOut }: SharingRules): string {
  return [
    ...(days === 'exact' ? [] : [`--days ${days}`]),
    ...(positions === 'exact' ? [] : ['--positions region']),
    ...(leaveOut.length === 0 ? [] : [`--leave-out ${leaveOut.join(',')}`]),
  ].join(' ')
}

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
function deidentificationReport(done: Deidentification): string {
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
