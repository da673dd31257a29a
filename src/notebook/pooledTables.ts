import { type Estimate, isNumber, notEstimable } from '../core/estimate.js'
import { formatCount, formatInterval, formatPercent, formatRate, formatRatio } from '../core/format.js'
import type { PooledResult } from '../pooling/combine.js'
import type { PooledHorizon } from '../pooling/pooledCurves.js'
import type { SiteSummary } from '../pooling/summarySchema.js'
import { counted, groupWords } from './estimateWords.js'
import { intervalName, withInterval, yearsWord } from './resultTables.js'
import type { ValueTable } from './valueTable.js'

/** What a summary lets others see: the counts of every group, interval by interval. */
export function siteSummaryTable(summary: SiteSummary): ValueTable {
  const rows = summary.blocks.flatMap(({ levels, intervalEndsDays, groups }) =>
    groups.flatMap((group) =>
      intervalEndsDays.map((end, i) => [
        `${groupWords(group.group)}${summary.blocks.length > 1 ? ` (${levels.join(', ')})` : ''}`,
        `to day ${formatCount(end)}`,
        formatCount(group.atRisk[i]!),
        formatCount(group.endpoint[i]!),
        formatCount(group.competing[i]!),
        formatCount(group.censored[i]!),
      ]),
    ),
  )
  return {
    title: `${summary.clinic}: everything about its restorations that leaves the clinic, besides sums for the model`,
    columns: ['Group', 'Since delivery', 'Still followed', 'Events', 'Competing events', 'Follow-up ended'],
    rows,
    notes: [
      `Each number has nobody or at least ${summary.threshold} patients behind it.`,
      `No restoration, patient, tooth or date is in it. Checksum ${summary.checksum.slice(0, 12)}…`,
    ],
    generated: summary.generated,
  }
}

/** The pooled answer: curves at the horizons, rates, and the contrasts of the two groups. */
export function pooledTables(pooled: PooledResult): readonly ValueTable[] {
  return [sitesTable(pooled), horizonsTable(pooled), contrastTable(pooled)]
}

function sitesTable({ sites, generated, refused }: PooledResult): ValueTable {
  return {
    title: `${counted(sites.length, 'clinic')} pooled`,
    columns: ['Clinic', 'Restorations', 'Events', 'Restoration-years', 'Groups shown apart'],
    rows: sites.map((one) => [
      one.clinic,
      formatCount(one.restorations),
      formatCount(one.events),
      formatCount(Math.round(one.restorationYears)),
      one.comparesGroups ? 'yes' : 'no',
    ]),
    notes: [
      ...(sites.some(({ comparesGroups }) => !comparesGroups)
        ? [
            'A clinic whose groups are not shown apart takes no part where they are compared: one of them is empty, or too few patients stand behind its counts.',
          ]
        : []),
      ...refused.map(({ clinic, reason }) => `Not used: ${clinic}. ${reason}`),
    ],
    generated,
  }
}

function horizonsTable({ overall, byGroup, rates, protocol }: PooledResult): ValueTable {
  const rateOf = (group: string): string => {
    const found = rates.find((one) => one.group === group)
    return found === undefined ? '–' : withInterval(found.ratePer100Years, formatRate, false)
  }
  return {
    title: `Share free of the event in all clinics together, with ${intervalName(protocol.level)}`,
    columns: [
      'Group',
      'Restorations',
      'Events',
      'Per 100 restoration-years',
      ...overall.horizons.map(({ years }) => yearsWord(years)),
    ],
    rows: [overall, ...byGroup].map((curve) => [
      groupWords(curve.group),
      formatCount(curve.restorations),
      formatCount(curve.events),
      rateOf(curve.group),
      ...curve.horizons.map((one) => withInterval(readingOf(one), formatPercent, false)),
    ]),
    notes: isNumber(overall.horizons[0]?.retentionSpread.estimate ?? notEstimable('exact times'))
      ? [spreadNote]
      : [],
  }
}

const spreadNote =
  'Clinics share counts over spans of time; events are read as spread evenly over the time at risk within a span.'

/** Exact where times are exact, else with the events of a span spread over it. */
function readingOf({ retention, retentionSpread }: PooledHorizon): Estimate {
  return isNumber(retentionSpread.estimate) ? retentionSpread : retention
}

function contrastTable({ rateRatio, model, synthesis, protocol }: PooledResult): ValueTable {
  const { group, against } = protocol.groups
  const rows = [
    ['Ratio of rates, clinics as strata', withInterval(rateRatio, formatRatio, false)],
    ...(model.state === 'settled'
      ? model.hazardRatios.map((ratio, i) => [
          i === 0 ? 'Ratio of hazards, clinics as strata' : `Ratio of hazards: ${ratio.name}`,
          withInterval(ratio, formatRatio, false),
        ])
      : []),
    ...(synthesis === undefined
      ? []
      : [
          ['Ratio of rates, clinics allowed to differ', withInterval(synthesis.random, formatRatio, false)],
          [
            'Ratio of rates expected in a further clinic',
            formatInterval(synthesis.predictionInterval, formatRatio),
          ],
        ]),
  ]
  const waiting = model.state === 'next-round' ? ['The model needs another round: see the request.'] : []
  return {
    title: `${groupWords(group)} against ${groupWords(against).toLowerCase()}, with ${intervalName(protocol.level)}`,
    columns: ['What is compared', 'Estimate'],
    rows,
    notes: [...waiting, 'Below 1: less often in the first group.'],
  }
}
