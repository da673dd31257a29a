import { forestChart } from '../charts/forestChart.js'
import { pooledRetentionChart } from '../charts/pooledRetentionChart.js'
import { siteFunnelChart } from '../charts/siteFunnelChart.js'
import { yearsInWords } from '../charts/words.js'
import { isNumber } from '../core/estimate.js'
import type { PooledResult } from '../pooling/combine.js'
import { twoSizes } from './captioned.js'
import {
  estimateCell,
  estimateColumn,
  foreignCell,
  numberCell,
  numberColumn,
  quantityCell,
  textColumn,
  wordCell,
} from './cells.js'
import type { Citations } from './citation.js'
import type { Figure, Table } from './document.js'
import { pooledWords } from './wording/pooledWords.js'

const { columns } = pooledWords

/** One line a site. */
export function sitesTable(result: PooledResult, cite: Citations): Table {
  return {
    kind: 'table',
    id: 'table-sites',
    caption: 'Sites of the study group',
    columns: [
      textColumn(columns.site),
      numberColumn(columns.release),
      numberColumn(columns.restorations),
      numberColumn(columns.patients),
      numberColumn(columns.events),
      numberColumn(columns.years),
      numberColumn(columns.intervals),
      textColumn(columns.compares),
    ],
    rows: result.sites.map((site, i) => [
      foreignCell(site.clinic),
      numberCell(cite, `sites.${i}.release`, 'whole'),
      numberCell(cite, `sites.${i}.restorations`, 'count'),
      quantityCell(cite, `sites.${i}.patients`, 'count'),
      numberCell(cite, `sites.${i}.events`, 'count'),
      numberCell(cite, `sites.${i}.restorationYears`, 'restoration-years'),
      numberCell(cite, `sites.${i}.intervals`, 'count'),
      wordCell(site.comparesGroups ? pooledWords.yes : pooledWords.no),
    ]),
    notes: result.sites.every(({ comparesGroups }) => comparesGroups) ? [] : [[pooledWords.notApart]],
  }
}

/** Curves of the groups. */
export function retentionFigure(result: PooledResult): Figure {
  const notes = result.overall.spread.length > 0 ? [[pooledWords.spreadNote]] : []
  return twoSizes(
    'pooled-retention',
    'Pooled retention',
    result.generated,
    (options) => pooledRetentionChart(result, options),
    notes,
  )
}

/** Retention at the horizons, both readings. */
export function horizonTable(result: PooledResult, cite: Citations, exact: boolean): Table {
  const curves = [
    { curve: result.overall, path: 'overall' },
    ...result.byGroup.map((curve, i) => ({ curve, path: `byGroup.${i}` })),
  ]
  return {
    kind: 'table',
    id: 'table-pooled-retention',
    caption: 'Retention at the horizons',
    columns: [
      textColumn(columns.group),
      textColumn(columns.horizon),
      ...(exact ? [] : [estimateColumn(columns.spread, 'percent')]),
      estimateColumn(exact ? columns.exactRetention : columns.retention, 'percent'),
    ],
    rows: curves.flatMap(({ curve, path }) =>
      curve.horizons.map(({ years }, h) => [
        foreignCell(curve.group),
        wordCell(yearsInWords(years).replace(' ', '\u00a0')),
        ...(exact ? [] : [estimateCell(cite, `${path}.horizons.${h}.retentionSpread`, 'percent')]),
        estimateCell(cite, `${path}.horizons.${h}.retention`, 'percent'),
      ]),
    ),
    notes: exact ? [[pooledWords.exactNote]] : [[pooledWords.stepNote], [pooledWords.curveInterval]],
  }
}

/** Rates, their ratio, and the hazard ratios where they have settled. */
export function contrastTable(result: PooledResult, cite: Citations): Table {
  const { model, synthesis } = result
  const rows = [
    [wordCell('rate ratio, Mantel–Haenszel, stratified by clinic'), estimateCell(cite, 'rateRatio', 'ratio')],
    ...(synthesis === undefined
      ? []
      : [
          [
            wordCell('rate ratio, random effects of clinics'),
            estimateCell(cite, 'synthesis.random', 'ratio'),
          ],
        ]),
    ...(model.state === 'settled'
      ? model.hazardRatios.map(({ name }, j) => [
          foreignCell(`hazard ratio, ${name}`),
          estimateCell(cite, `model.hazardRatios.${j}`, 'ratio'),
        ])
      : []),
  ]
  return {
    kind: 'table',
    id: 'table-pooled-contrasts',
    caption: 'The group against the comparator',
    columns: [textColumn(columns.measure), estimateColumn(columns.estimate, 'ratio')],
    rows,
    notes: model.state === 'settled' ? [] : [[modelNote(result)]],
  }
}

function modelNote({ model }: PooledResult): string {
  if (model.state === 'not-estimable') return `There is no hazard ratio: ${model.reason}.`
  return pooledWords.waiting
}

/** Rates of the two groups and the test. */
export function ratesTable(result: PooledResult, cite: Citations): Table {
  return {
    kind: 'table',
    id: 'table-pooled-rates',
    caption: 'Events and time at risk in the sites that show both groups',
    columns: [
      textColumn(columns.group),
      numberColumn(columns.events),
      numberColumn(columns.years),
      estimateColumn(columns.rate, 'rate'),
    ],
    rows: result.rates.map(({ group }, i) => [
      foreignCell(group),
      numberCell(cite, `rates.${i}.events`, 'count'),
      numberCell(cite, `rates.${i}.restorationYears`, 'restoration-years'),
      estimateCell(cite, `rates.${i}.ratePer100Years`, 'rate'),
    ]),
    notes: [
      [
        'Log-rank test stratified by clinic: statistic ',
        cite.quantity('logRank.statistic', 'statistic'),
        ', P ',
        cite.quantity('logRank.pValue', 'p-value'),
        '.',
      ],
    ],
  }
}

/** Forest plot of the sites. */
export function forestFigure(result: PooledResult): Figure | undefined {
  const { synthesis, generated } = result
  if (synthesis === undefined) return undefined
  const { lower } = synthesis.predictionInterval
  return twoSizes(
    'forest',
    'Rate ratio of each site and of all together',
    generated,
    (options) => forestChart(synthesis, options),
    [[isNumber(lower) ? pooledWords.predictionNote : pooledWords.predictionAbsent]],
  )
}

/** Funnel of the sites; only where three or more have an estimate. */
export function funnelFigure(result: PooledResult): Figure | undefined {
  const { synthesis, generated } = result
  if (synthesis === undefined || synthesis.sites.length < 3) return undefined
  return twoSizes(
    'funnel',
    'Rate ratio of each site by its certainty',
    generated,
    (options) => siteFunnelChart(synthesis, options),
    [[pooledWords.funnelNote]],
  )
}

/** Each site's estimate, the estimate without it, and its influence. */
export function influenceTable(result: PooledResult, cite: Citations): Table | undefined {
  const { synthesis } = result
  if (synthesis === undefined) return undefined
  const several = synthesis.leaveOneOut.length > 0
  return {
    kind: 'table',
    id: 'table-influence',
    caption: 'Sites one by one, and all others without each',
    columns: [
      textColumn(columns.site),
      numberColumn(columns.events),
      numberColumn(columns.ratio),
      numberColumn(columns.weight),
      ...(several ? [numberColumn(columns.without), numberColumn(columns.shift)] : []),
    ],
    rows: synthesis.sites.map(({ clinic }, i) => [
      foreignCell(clinic),
      numberCell(cite, `synthesis.sites.${i}.events`, 'count'),
      numberCell(cite, `synthesis.sites.${i}.ratio`, 'ratio'),
      numberCell(cite, `synthesis.sites.${i}.randomWeight`, 'percent'),
      ...(several
        ? [
            quantityCell(cite, `synthesis.leaveOneOut.${i}.random`, 'ratio'),
            quantityCell(cite, `synthesis.influence.${i}.shift`, 'correlation'),
          ]
        : []),
    ]),
    notes: [
      [
        'P of the test for asymmetry of the funnel: ',
        cite.quantity('synthesis.funnelAsymmetry', 'p-value'),
        '.',
      ],
    ],
  }
}

/** How far the sites differ beyond chance. */
export function heterogeneityTable(result: PooledResult, cite: Citations): Table | undefined {
  if (result.synthesis === undefined) return undefined
  const at = 'synthesis.analysis.heterogeneity'
  const words = pooledWords.heterogeneity
  return {
    kind: 'table',
    id: 'table-heterogeneity',
    caption: words.caption,
    columns: [textColumn(columns.quantity), numberColumn(columns.value)],
    rows: [
      [wordCell(words.between), quantityCell(cite, `${at}.tauSquared`, 'statistic')],
      [wordCell(words.share), quantityCell(cite, `${at}.iSquaredFromTau`, 'percent')],
      [wordCell(words.chance), quantityCell(cite, `${at}.pValue`, 'p-value')],
      [wordCell(words.predictionLower), quantityCell(cite, 'synthesis.predictionInterval.lower', 'ratio')],
      [wordCell(words.predictionUpper), quantityCell(cite, 'synthesis.predictionInterval.upper', 'ratio')],
    ],
    notes: [],
  }
}
