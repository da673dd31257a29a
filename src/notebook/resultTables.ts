import { lowerFirst, upperFirst } from '../charts/words.js'
import type { Cohort } from '../cohort/cohort.js'
import type { RecordPlace } from '../core/errors.js'
import { type Estimate, isNumber } from '../core/estimate.js'
import {
  formatCount,
  formatPercent,
  formatPoints,
  formatRate,
  formatRatio,
  formatYears,
} from '../core/format.js'
import { formatInterval } from '../messages/intervals.js'
import { type Message, message } from '../messages/message.js'
import { foreign } from '../messages/phrase.js'
import { speaker, warningOf } from '../messages/speaker.js'
import type { TighteningComparisonResult } from '../questions/crudeComparison/answer.js'
import { allowedFor } from '../questions/crudeComparison/words.js'
import type { AskedIncidence } from '../questions/incidence/answer.js'
import type { AskedRetention } from '../questions/retention/answer.js'
import type { Asked } from '../questions/rows/askedGroups.js'
import type { RecordSet } from '../records/dataset.js'
import { groupWords, quantityText, say, testSentence } from './estimateWords.js'
import type { ShownNumber, ValueTable } from './valueTable.js'

/** Rows read and set aside, and what the checks found with its mend. */
export function recordsTables({ source, quality }: RecordSet): readonly ValueTable[] {
  const rows: ValueTable = {
    title: `${source.title}: rows read`,
    columns: ['Table', 'Rows read', 'Set aside'],
    rows: Object.entries(quality.rows).map(([name, { read, setAside }]) => [
      name,
      formatCount(read),
      formatCount(setAside),
    ]),
    notes: source.cannotAnswer.map((what) => say(message('shown.cannot-answer', { what }))),
    generated: source.generated,
  }
  if (quality.problems.length === 0)
    return [{ ...rows, notes: [say(message('shown.nothing-found')), ...rows.notes!] }]
  return [rows, findingsTable(quality)]
}

function findingsTable({ problems }: RecordSet['quality']): ValueTable {
  return {
    title: say(message('shown.findings-title')),
    columns: ['Where', say(message('shown.what-was-found')), 'Rows', say(message('shown.what-to-do'))],
    rows: problems.map((one) => [
      placeWords(one.place),
      upperFirst(one.problem),
      one.rows.length === 0 ? formatCount(one.count) : rowsShown(one.rows, one.count),
      upperFirst(one.mend),
    ]),
    notes: [say(message('shown.rows-of-file'))],
  }
}

const rowsNamed = 4

function rowsShown(rows: readonly number[], count: number): string {
  const named = rows.slice(0, rowsNamed).join(', ')
  const more = Math.max(count, rows.length) - rowsNamed
  return more > 0 ? say(message('shown.and-more', { named, more })) : named
}

function placeWords({ file, column }: RecordPlace): string {
  return [file, column].filter((word) => word !== undefined).join(', ')
}

/** Who is followed, and who was left out why. */
export function cohortTable({ summary, n }: Cohort): ValueTable {
  return {
    title: say(message('shown.followed-title', { restorations: n, patients: summary.patients })),
    columns: ['Left out', head('restorations'), 'Remaining'],
    rows: summary.attrition.steps.map((step) => [
      say(message(`left-out.${step.code}`)),
      formatCount(step.leftOut),
      formatCount(step.remaining),
    ]),
    generated: summary.source.generated,
  }
}

/** Groups of fewer restorations are counted only: their intervals say nothing. */
const fewest = 5

function fewestNote(groups: readonly { readonly restorations: number }[]): readonly string[] {
  return groups.some(({ restorations }) => restorations < fewest)
    ? [say(message('shown.small-groups', { fewest }))]
    : []
}

/** Retention at the horizons by group. */
export function retentionTable(result: AskedRetention): ValueTable {
  return {
    title: say(
      message('shown.share-title', {
        freeOf: message(`endpoint.free-of.${result.endpoint}`),
        intervals: intervalName(result.level),
      }),
    ),
    columns: [
      head('group'),
      head('restorations'),
      head('events'),
      ...result.overall.horizons.map(({ years }) => yearsWord(years)),
    ],
    rows: [result.overall, ...result.byGroup].map((group) => [
      groupWords(group, result.asked?.by),
      formatCount(group.restorations),
      formatCount(group.events),
      ...group.horizons.map((one) =>
        group.restorations < fewest ? '–' : withInterval(one.retention, formatPercent, one.thin),
      ),
    ]),
    notes: [thinNote, ...fewestNote([result.overall, ...result.byGroup]), ...askedNotes(result.asked)],
    generated: result.asked?.generated === true,
  }
}

/** Rate and risks by group. */
export function incidenceTable(result: AskedIncidence): ValueTable {
  return {
    title: say(message('shown.how-often-title', { intervals: intervalName(result.level) })),
    columns: [
      head('group'),
      head('restorations'),
      head('events'),
      head('rate'),
      ...result.overall.horizons.map(({ years }) => withinYears(years)),
    ],
    rows: [result.overall, ...result.byGroup].map((group) => [
      groupWords(group, result.asked?.by),
      formatCount(group.restorations),
      formatCount(group.events),
      group.restorations < fewest ? '–' : withInterval(group.ratePer100Years, formatRate, false),
      ...group.horizons.map((one) =>
        group.restorations < fewest ? '–' : withInterval(one.risk, formatPercent, one.thin),
      ),
    ]),
    notes: [
      thinNote,
      ...fewestNote([result.overall, ...result.byGroup]),
      say(
        message('shown.median-follow-up', {
          years: quantityText(result.overall.medianFollowUpYears.estimate, formatYears),
        }),
      ),
      ...askedNotes(result.asked),
    ],
    generated: result.asked?.generated === true,
  }
}

/** The test of the groups, and what to beware of. */
function askedNotes(asked: Asked | undefined): readonly string[] {
  if (asked === undefined) return []
  return [
    ...(asked.test === undefined
      ? []
      : [say(message('asked.test', { test: foreign(testSentence(asked.test)) }))]),
    ...asked.warnings.map((one) => say(warningOf(one))),
  ]
}

/** Differences in risk and ratios of hazards. */
export function comparisonTable(result: TighteningComparisonResult): ValueTable {
  return {
    title: say(
      message('shown.contrast-title', {
        group: groupWords(result),
        against: lowerFirst(groupWords({ group: result.against }), speaker()),
        intervals: intervalName(result.level),
      }),
    ),
    columns: [head('quantity'), say(message('shown.column.estimate'))],
    rows: [
      ...result.horizons.map((one) => [
        say(message('shown.difference-at', { years: yearsWord(one.years) })),
        withInterval(one.riskDifference, formatPoints, one.thin),
      ]),
      ...result.hazardRatios.map((one) => [
        say(message('shown.hazards-allowing', { what: allowedFor(one) })),
        withInterval(one.hazardRatio, formatRatio, false),
      ]),
    ],
    notes: [thinNote, testSentence(result.curveTest)],
  }
}

/** What the dagger means. */
export const thinNote = say(message('shown.thin'))

/** "95% intervals". */
export function intervalName(level: number): Message {
  return message('shown.intervals', { level })
}

/** Head of a column. */
export function head(name: 'events' | 'group' | 'patients' | 'quantity' | 'rate' | 'restorations'): string {
  return say(message(`label.column.${name}`))
}

/** "3 years". */
export function yearsWord(years: number): string {
  return say(message('label.years', { years }))
}

/** "Within 3 years". */
export function withinYears(years: number): string {
  return say(message('shown.within', { years: yearsWord(years) }))
}

/** An estimate with its interval in brackets, or why there is none. */
export function withInterval(one: Estimate, format: (value: number) => string, thin: boolean): ShownNumber {
  if (!isNumber(one.estimate)) return { text: quantityText(one.estimate, format) }
  return {
    text: `${format(one.estimate)}${thin ? ' †' : ''}`,
    interval: `(${formatInterval(one.interval, format)})`,
  }
}
