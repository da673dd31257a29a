import type { WhatElseMatters } from '../analysis/whatElseMatters.js'
import { upperFirst } from '../charts/words.js'
import { formatCount, formatInterval, formatPercent, formatPoints, formatRatio } from '../core/format.js'
import { message } from '../messages/message.js'
import { speaker, warningOf } from '../messages/speaker.js'
import type { ComparisonResult } from '../questions/comparison/answer.js'
import { reasonOf } from '../questions/comparison/section.js'
import { counted, groupWords } from './estimateWords.js'
import { intervalName, thinNote, withInterval, yearsWord } from './resultTables.js'
import type { ValueTable } from './valueTable.js'

/** Hazard ratios of the factors, alone and together. */
export function factorsTable(result: WhatElseMatters): ValueTable {
  return {
    title: `What goes with ${result.endpoint.replaceAll('_', ' ')}: ratios of hazards, with ${intervalName(result.level)}`,
    columns:
      result.factors.length === 0
        ? []
        : ['What is compared', 'All else held alike', 'By itself', 'Restorations', 'Events'],
    rows: result.factors.map((one) => [
      `${upperFirst(one.words)}: ${one.contrast}`,
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
    `From ${counted(events, 'event')} among ${counted(restorations, 'restoration')}; ${coefficients === 1 ? '1 ratio is' : `${formatCount(coefficients)} ratios are`} estimated, where at most one for every five events is taken.`,
    ...(withinClinics && coefficients > 0 ? ['Restorations are compared within their clinic.'] : []),
    ...(penalised ? ['The ratios are drawn a little towards 1, since some group has no event.'] : []),
    ...warnings.map((one) => speaker().text(warningOf(one))),
    ...leftOut.map(
      ({ words, reason }) =>
        `${upperFirst(words)} is not in the model: ${speaker().text(message(`not-allowed-for.${reason}`))}.`,
    ),
  ]
}

/** Risk by site in the mouth, highest first. */
export function sitesTable({ sites, horizonYears, level }: WhatElseMatters): ValueTable {
  return {
    title: `Risk by site in the mouth, with ${intervalName(level)}`,
    columns: ['Site', `Within ${yearsWord(horizonYears)}`, 'Restorations', 'Patients', 'Events'],
    rows: sites.map((one) => [
      upperFirst(one.site),
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
  ): string => `${format(one.estimate)} (${formatInterval(one, format)})`
  const count = (which: 'group' | 'against'): string =>
    `${counted(restorations[which], 'restoration')} (${counted(events[which], 'event')})`
  return {
    title: `${groupWords(groups.group)} against ${groupWords(groups.against).toLowerCase()}: weighted risks, with ${intervalName(level)}`,
    columns:
      arms.length === 0
        ? []
        : [
            'Within',
            groupWords(groups.group),
            groupWords(groups.against),
            'Difference, percentage points',
            'At risk in each',
          ],
    rows: arms.map((arm) => [
      yearsWord(arm.years),
      ranged(arm.group, formatPercent),
      ranged(arm.against, formatPercent),
      ranged(arm.difference, formatPoints),
      `${formatCount(arm.atRisk.group)} and ${formatCount(arm.atRisk.against)}`,
    ]),
    notes: [
      `What may be said: ${verdict.replaceAll('-', ' ')}. ${speaker().text(reasonOf(reason, yearsWord(horizonYears ?? 0)))}`,
      `${count('group')} are compared with ${count('against')}, in ${counted(patients, 'patient')}.`,
    ],
  }
}
