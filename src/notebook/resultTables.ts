import { lowerFirst } from '../charts/words.js'
import type { Cohort } from '../cohort/cohort.js'
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
import { attrition } from '../questions/attrition/answer.js'
import { attritionTable } from '../questions/attrition/section.js'
import type { TighteningComparisonResult } from '../questions/crudeComparison/answer.js'
import { allowedFor } from '../questions/crudeComparison/words.js'
import type { AskedIncidence } from '../questions/incidence/answer.js'
import { quality } from '../questions/quality/answer.js'
import { problemsTable, rowsTable } from '../questions/quality/section.js'
import type { AskedRetention } from '../questions/retention/answer.js'
import type { Asked } from '../questions/rows/askedGroups.js'
import type { Table } from '../questions/words/blocks.js'
import { pathsOf } from '../questions/words/place.js'
import type { RecordSet } from '../records/dataset.js'
import { groupWords, quantityText, say, testSentence } from './estimateWords.js'
import type { ShownNumber, ValueCell, ValueTable } from './valueTable.js'

/** A table of a question as cells show it; a second line stands under a number, and in brackets behind words. */
function shownTable({ columns, rows, notes }: Table, title: string, generated: boolean): ValueTable {
  return {
    title,
    columns: columns.map((column) => say(column.longTitle ?? column.title)),
    rows: rows.map((row) =>
      row.map(({ content, under }, index): ValueCell => {
        const text = say(content)
        if (under === undefined) return text
        const below = `(${say(under)})`
        return columns[index]?.align === 'end' ? { text, interval: below } : `${text} ${below}`
      }),
    ),
    notes: notes.map(say),
    generated,
  }
}

/** Rows read and set aside, and what the checks found with its mend: how good the records are, as the report has it. */
export function recordsTables({ source, quality: checked }: RecordSet): readonly ValueTable[] {
  const result = quality({ summary: { quality: checked } })
  const at = pathsOf(result)
  const { title, generated } = source
  const rows = shownTable(
    rowsTable(result, at),
    say(message('shown.rows-read', { source: foreign(title) })),
    generated,
  )
  const found = result.problems.length > 0
  const notes = [
    ...(found ? [] : [say(message('shown.nothing-found'))]),
    ...source.cannotAnswer.map((what) =>
      say(message('shown.cannot-answer', { what: message(`cohort.gap.${what}`) })),
    ),
  ]
  const problems = problemsTable(result, at)
  return [{ ...rows, notes }, ...(found ? [shownTable(problems, say(problems.caption), generated)] : [])]
}

/** Who is followed, and who was left out why, as the report has it. */
export function cohortTable(cohort: Cohort): ValueTable {
  const { summary, n } = cohort
  const result = attrition(cohort)
  const title = message('shown.followed-title', { restorations: n, patients: summary.patients })
  return shownTable(attritionTable(result, pathsOf(result)), say(title), summary.source.generated)
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
