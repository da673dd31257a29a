import { lowerFirst } from '../charts/words.js'
import { isNumber } from '../core/estimate.js'
import { formatCount, formatPercent, formatPValue, formatRate, formatRatio } from '../core/format.js'
import { formatInterval } from '../messages/intervals.js'
import { message } from '../messages/message.js'
import { endpointLabel } from '../messages/names.js'
import { reasonOf, speaker } from '../messages/speaker.js'
import type { GroupFigures } from '../pooling/coordinator/figures.js'
import type { EndpointResult, PooledResult } from '../pooling/coordinator/groupResult.js'
import { counted, groupWords, quantityText, say } from './estimateWords.js'
import { head, intervalName, withInterval, withinYears } from './resultTables.js'
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
    title: say(
      message('shown.pooled-title', {
        practices: counted(sites.length, 'practice'),
        endpoint: endpointLabel(one.endpoint),
        intervals: intervalName(protocol.level),
      }),
    ),
    columns: [
      head('group'),
      head('restorations'),
      head('events'),
      head('rate'),
      ...protocol.horizonsYears.map((years) => withinYears(years)),
    ],
    rows: shown.map((figures) => [
      groupWords(figures),
      formatCount(figures.restorations),
      formatCount(figures.events),
      withInterval(figures.rate, formatRate, false),
      ...figures.risks.map((risk) => withInterval(risk, formatPercent, risk.atRisk < 10)),
    ]),
    notes: [
      ...(shown.length < 3 ? [say(message('shown.group-not-shown'))] : []),
      say(message('shown.sums-only')),
    ],
    generated,
  }
}

function contrastTable({ generated, protocol }: PooledResult, one: EndpointResult): ValueTable {
  const { comparison, between, verdict } = one
  const { group, against } = protocol.groups
  return {
    title: say(
      message('shown.contrast-title', {
        group: groupWords({ group }),
        against: lowerFirst(groupWords({ group: against }), speaker()),
        intervals: intervalName(protocol.level),
      }),
    ),
    columns: [say(message('shown.what-is-compared')), say(message('shown.column.estimate'))],
    rows: [
      [say(message('shown.hazards-by-clinic')), withInterval(comparison.hazardRatio, formatRatio, false)],
      [
        say(message('shown.hazards-between')),
        between.state === 'estimated'
          ? formatInterval(between.interval, formatRatio)
          : `– (${say(reasonOf(between))})`,
      ],
      [say(message('shown.rates-by-clinic')), withInterval(comparison.rateRatio, formatRatio, false)],
      [say(message('shown.column.log-rank')), quantityText(comparison.logRank.pValue, formatPValue)],
      [say(message('shown.may-be-said-head')), say(message(`shown.verdict.${verdict.verdict}`))],
    ],
    notes: isNumber(comparison.hazardRatio.estimate) ? [say(message('shown.below-one'))] : [],
    generated,
  }
}
