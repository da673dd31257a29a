import { lowerFirst, upperFirst } from '../charts/words.js'
import { formatCount, formatPercent, formatPoints, formatRatio } from '../core/format.js'
import { formatInterval } from '../messages/intervals.js'
import { message } from '../messages/message.js'
import { fieldName, levelName } from '../messages/names.js'
import { speaker, warningOf } from '../messages/speaker.js'
import type { ComparisonResult } from '../questions/comparison/answer.js'
import { reasonOf } from '../questions/comparison/section.js'
import type { WhatElseMatters } from '../questions/whatElse/answer.js'
import { factorWords } from '../questions/whatElse/words.js'
import { counted, groupWords, say } from './estimateWords.js'
import { head, intervalName, thinNote, withInterval, withinYears, yearsWord } from './resultTables.js'
import type { ShownNumber, ValueTable } from './valueTable.js'

/** Hazard ratios of the factors, alone and together. */
export function factorsTable(result: WhatElseMatters): ValueTable {
  return {
    title: say(
      message('shown.factors-title', {
        endpoint: message(`endpoint.plain.${result.endpoint}`),
        intervals: intervalName(result.level),
      }),
    ),
    columns:
      result.factors.length === 0
        ? []
        : [
            say(message('shown.what-is-compared')),
            say(message('shown.all-else-alike')),
            say(message('shown.column.by-itself')),
            head('restorations'),
            head('events'),
          ],
    rows: result.factors.map((one) => [
      upperFirst(say(factorWords(one))),
      withInterval(one.adjusted, formatRatio, false),
      withInterval(one.alone, formatRatio, false),
      one.restorations === undefined ? '–' : formatCount(one.restorations),
      one.events === undefined ? '–' : formatCount(one.events),
    ]),
    notes: factorNotes(result),
  }
}

function factorNotes(result: WhatElseMatters): readonly string[] {
  const { events, restorations, coefficients, leftOut, withinClinics, penalised, warnings } = result
  return [
    say(
      message('shown.factors-from', {
        events: counted(events, 'event'),
        restorations: counted(restorations, 'restoration'),
        coefficients,
      }),
    ),
    ...(withinClinics && coefficients > 0 ? [say(message('shown.within-clinics'))] : []),
    ...(penalised ? [say(message('shown.penalised'))] : []),
    ...warnings.map((one) => say(warningOf(one))),
    ...leftOut.map(({ key, reason }) =>
      say(
        message('shown.not-in-model', {
          what: upperFirst(say(fieldName(key))),
          reason: message(`not-allowed-for.${reason}`),
        }),
      ),
    ),
  ]
}

/** Risk by site in the mouth, highest first. */
export function sitesTable({ sites, horizonYears, level }: WhatElseMatters): ValueTable {
  return {
    title: say(message('shown.sites-title', { intervals: intervalName(level) })),
    columns: [
      say(message('shown.column.site')),
      withinYears(horizonYears),
      head('restorations'),
      head('patients'),
      head('events'),
    ],
    rows: sites.map((one) => [
      upperFirst(
        say(
          message('shown.site', {
            arch: levelName('arch', one.arch),
            region: levelName('region', one.region),
          }),
        ),
      ),
      withInterval(one.risk.risk, formatPercent, one.risk.thin),
      formatCount(one.restorations),
      formatCount(one.patients),
      formatCount(one.events),
    ]),
    notes: sites.some(({ risk }) => risk.thin) ? [thinNote] : [],
  }
}

/** Weighted risks of the two groups that were compared, their difference, and what may be said of it. */
export function weightedRisksTable(result: ComparisonResult): ValueTable {
  const { groups, arms, verdict, reason, restorations, patients, events, level, horizonYears } = result
  const ranged = (
    one: ComparisonResult['arms'][number]['group'],
    format: (value: number) => string,
  ): ShownNumber => ({ text: format(one.estimate), interval: `(${formatInterval(one, format)})` })
  const nameOf = (which: 'group' | 'against'): string =>
    groupWords(
      { group: groups[which] },
      groups.by === 'measured' || groups.by === 'chart' ? undefined : groups.by,
    )
  const count = (which: 'group' | 'against'): string =>
    `${counted(restorations[which], 'restoration')} (${counted(events[which], 'event')})`
  return {
    title: say(
      message('shown.weighted-title', {
        group: nameOf('group'),
        against: lowerFirst(nameOf('against'), speaker()),
        intervals: intervalName(level),
      }),
    ),
    columns:
      arms.length === 0
        ? []
        : [
            say(message('shown.column.within')),
            nameOf('group'),
            nameOf('against'),
            say(message('shown.difference-points')),
            say(message('shown.at-risk-in-each')),
          ],
    rows: arms.map((arm) => [
      yearsWord(arm.years),
      ranged(arm.group, formatPercent),
      ranged(arm.against, formatPercent),
      ranged(arm.difference, formatPoints),
      say(message('shown.at-risk-of-each', { group: arm.atRisk.group, against: arm.atRisk.against })),
    ]),
    notes: [
      say(
        message('shown.may-be-said', {
          verdict: message(`shown.verdict.${verdict}`),
          reason: reasonOf(reason, yearsWord(horizonYears ?? 0)),
        }),
      ),
      say(
        message('shown.compared-with', {
          group: count('group'),
          against: count('against'),
          patients: counted(patients, 'patient'),
        }),
      ),
    ],
  }
}
