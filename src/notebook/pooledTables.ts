import { isNumber } from '../core/estimate.js'
import {
  formatCount,
  formatInterval,
  formatPercent,
  formatPValue,
  formatQuantity,
  formatRate,
  formatRatio,
} from '../core/format.js'
import { reasonOf, speaker } from '../messages/speaker.js'
import type { GroupFigures } from '../pooling/coordinator/figures.js'
import type { EndpointResult, PooledResult } from '../pooling/coordinator/groupResult.js'
import { counted, groupWords } from './estimateWords.js'
import { intervalName, withInterval, yearsWord } from './resultTables.js'
import type { ValueTable } from './valueTable.js'

/** The pooled answer: what was seen, risks at the horizons, and the contrasts of the two groups. */
export function pooledTables(pooled: PooledResult): readonly ValueTable[] {
  return pooled.endpoints.flatMap((one) => [groupsTable(pooled, one), contrastTable(pooled, one)])
}

function groupsTable({ sites, generated, protocol }: PooledResult, one: EndpointResult): ValueTable {
  const shown = [...one.groups, one.all].filter(
    (figures): figures is GroupFigures => !('withheld' in figures),
  )
  return {
    title: `${counted(sites.length, 'practice')} pooled, ${one.endpoint.replaceAll('_', ' ')}, with ${intervalName(protocol.level)}`,
    columns: [
      'Group',
      'Restorations',
      'Events',
      'Per 100 restoration-years',
      ...protocol.horizonsYears.map((years) => `Within ${yearsWord(years)}`),
    ],
    rows: shown.map((figures) => [
      groupWords(figures.group),
      formatCount(figures.restorations),
      formatCount(figures.events),
      withInterval(figures.rate, formatRate, false),
      ...figures.risks.map((risk) => withInterval(risk, formatPercent, risk.atRisk < 10)),
    ]),
    notes: [
      ...(shown.length < 3 ? ['A group behind which too few patients or practices stand is not shown.'] : []),
      'Only sums over all practices were seen; nothing is known between the ends of the intervals of the grid.',
    ],
    generated,
  }
}

function contrastTable({ generated, protocol }: PooledResult, one: EndpointResult): ValueTable {
  const { comparison, between, verdict } = one
  const { group, against } = protocol.groups
  return {
    title: `${groupWords(group)} against ${groupWords(against).toLowerCase()}, with ${intervalName(protocol.level)}`,
    columns: ['What is compared', 'Estimate'],
    rows: [
      ['Ratio of hazards, clinics as strata', withInterval(comparison.hazardRatio, formatRatio, false)],
      [
        'The same, allowing for practices that differ',
        between.state === 'estimated'
          ? formatInterval(between.interval, formatRatio)
          : `– (${speaker().text(reasonOf(between))})`,
      ],
      ['Ratio of rates, clinics as strata', withInterval(comparison.rateRatio, formatRatio, false)],
      ['Log-rank test, P', formatQuantity(comparison.logRank.pValue, formatPValue)],
      ['What may be said', verdict.verdict.replaceAll('-', ' ')],
    ],
    notes: isNumber(comparison.hazardRatio.estimate) ? ['Below 1: less often in the first group.'] : [],
    generated,
  }
}
