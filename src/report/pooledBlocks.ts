import { forestChart } from '../charts/forestChart.js'
import { groupRiskChart } from '../charts/groupRiskChart.js'
import { siteFunnelChart } from '../charts/siteFunnelChart.js'
import { yearsInWords } from '../charts/words.js'
import { isNumber } from '../core/estimate.js'
import { message } from '../messages/message.js'
import { reasonOf, speaker } from '../messages/speaker.js'
import type { BothFigures, GroupFigures } from '../pooling/coordinator/figures.js'
import type { EndpointResult, PooledResult } from '../pooling/coordinator/groupResult.js'
import { siteFunnel } from '../pooling/coordinator/siteFunnel.js'
import { captionedTable, twoSizes } from './captioned.js'
import {
  estimateCell,
  estimateColumn,
  foreignCell,
  numberCell,
  numberColumn,
  phraseCell,
  quantityCell,
  textColumn,
  wordCell,
} from './cells.js'
import type { Citations } from './citation.js'
import type { Block, Cell, Figure, Table } from './document.js'
import { pooledWords } from './wording/pooledWords.js'

const { columns } = pooledWords

/** Where the figures of a group, or of both, stand; withheld ones left out. */
function shownGroups(
  result: EndpointResult,
): readonly { readonly path: string; readonly figures: GroupFigures | BothFigures }[] {
  return [
    { path: 'groups.1', figures: result.groups[1] },
    { path: 'groups.0', figures: result.groups[0] },
    { path: 'all', figures: result.all },
  ].filter(
    (one): one is { path: string; figures: GroupFigures | BothFigures } => !('withheld' in one.figures),
  )
}

/** Practices, and whether their own figures are shown. */
export function sitesTable(result: PooledResult): Table {
  return captionedTable('practices', 'Practices of the study group', {
    columns: [textColumn(columns.site), textColumn(columns.shown)],
    rows: result.sites.map(({ name, open }) => [
      foreignCell(name),
      wordCell(open ? pooledWords.open : pooledWords.closed),
    ]),
  })
}

/** Sizes and rates of the groups. */
export function groupsTable(result: EndpointResult, at: string, cite: Citations): Block {
  const shown = shownGroups(result)
  if (shown.length === 0) return { kind: 'paragraph', tone: 'plain', content: [pooledWords.withheld] }
  return captionedTable(`${result.endpoint}-groups`, 'What was seen', {
    columns: [
      textColumn(columns.group),
      numberColumn(columns.restorations),
      numberColumn(columns.patients),
      numberColumn(columns.practices),
      numberColumn(columns.events),
      numberColumn(columns.competing),
      numberColumn(columns.restorationYears),
      estimateColumn(cite, columns.rate, 'rate'),
    ],
    rows: shown.map(({ path, figures }) => [
      foreignCell(figures.group),
      numberCell(cite, `${at}.${path}.restorations`, 'count'),
      quantityCell(cite, `${at}.${path}.patients`, 'count'),
      numberCell(cite, `${at}.${path}.sites`, 'count'),
      numberCell(cite, `${at}.${path}.events`, 'count'),
      numberCell(cite, `${at}.${path}.competing`, 'count'),
      numberCell(cite, `${at}.${path}.restorationYears`, 'restoration-years'),
      estimateCell(cite, `${at}.${path}.rate`, 'rate'),
    ]),
  })
}

/** Risks at the horizons. */
export function risksTable(result: EndpointResult, at: string, cite: Citations): readonly Block[] {
  const shown = shownGroups(result)
  if (shown.length === 0) return []
  return [
    captionedTable(`${result.endpoint}-risks`, 'Risk by the horizons', {
      columns: [
        textColumn(columns.group),
        textColumn(columns.after),
        estimateColumn(cite, columns.risk, 'percent'),
        numberColumn(columns.atRisk),
      ],
      rows: shown.flatMap(({ path, figures }) =>
        figures.risks.map(({ years }, h) => [
          foreignCell(figures.group),
          wordCell(yearsInWords(years).replace(' ', '\u00a0')),
          estimateCell(cite, `${at}.${path}.risks.${h}`, 'percent'),
          numberCell(cite, `${at}.${path}.risks.${h}.atRisk`, 'count'),
        ]),
      ),
      notes: [[pooledWords.gridNote]],
    }),
  ]
}

/** Risk by the end of each year. */
export function riskFigure(result: EndpointResult, generated: boolean): readonly Figure[] {
  const shown = result.groups.some((one) => !('withheld' in one) && one.curve.length > 3)
  if (!shown) return []
  return [
    twoSizes(`${result.endpoint}-risks`, 'Risk by the end of each year', { generated }, (options) =>
      groupRiskChart(result, options),
    ),
  ]
}

/** Group by year. */
export function yearsTable(
  result: EndpointResult,
  at: string,
  cite: Citations,
  left: number,
): readonly Block[] {
  const shown = shownGroups(result).filter(({ figures }) => figures.years.length > 0)
  if (shown.length === 0) return []
  return [
    captionedTable(`${result.endpoint}-years`, 'Group by year', {
      columns: [
        textColumn(columns.group),
        textColumn(columns.year),
        numberColumn(columns.atRisk),
        numberColumn(columns.events),
        numberColumn(columns.competing),
        numberColumn(columns.restorationYears),
        numberColumn(columns.patients),
        numberColumn(columns.practices),
      ],
      rows: shown.flatMap(({ path, figures }) =>
        figures.years.map(({ fromDay, toDay }, y) => {
          const cell = (name: string): Cell => numberCell(cite, `${at}.${path}.years.${y}.${name}`, 'count')
          const from = cite.number(`${at}.${path}.years.${y}.fromDay`, 'count')
          const to = cite.number(`${at}.${path}.years.${y}.toDay`, 'count')
          return [
            foreignCell(figures.group),
            phraseCell([from, '–', to], `${fromDay}-${toDay}`),
            cell('atRisk'),
            cell('endpoint'),
            cell('competing'),
            numberCell(cite, `${at}.${path}.years.${y}.restorationYears`, 'restoration-years'),
            cell('patients'),
            cell('sites'),
          ]
        }),
      ),
      notes: [
        [pooledWords.yearsNote],
        ...(left === 0 ? [] : [speaker().phrase(message('study-group.left-out', { cells: left }))]),
      ],
    }),
  ]
}

/** Ratios and tests. */
export function contrastTable(result: EndpointResult, at: string, cite: Citations): Table {
  const comparison = `${at}.comparison`
  return captionedTable(`${result.endpoint}-ratios`, 'The group against the comparator', {
    columns: [textColumn(columns.measure), estimateColumn(cite, columns.estimate, 'ratio')],
    rows: [
      [wordCell(pooledWords.hazardRatio), estimateCell(cite, `${comparison}.hazardRatio`, 'ratio')],
      [wordCell(pooledWords.foundRatio), estimateCell(cite, `${comparison}.ends.found`, 'ratio')],
      [wordCell(pooledWords.clearRatio), estimateCell(cite, `${comparison}.ends.afterLastLook`, 'ratio')],
      [wordCell(pooledWords.rateRatio), estimateCell(cite, `${comparison}.rateRatio`, 'ratio')],
    ],
    notes: [
      [
        'Log-rank test stratified by clinic: P ',
        cite.quantity(`${comparison}.logRank.pValue`, 'p-value'),
        '; with the variance summed over patients, P ',
        cite.quantity(`${comparison}.logRankByPatient.pValue`, 'p-value'),
        '.',
      ],
    ],
  })
}

/** Challenges that were fixed beforehand. */
export function objectionsTable(result: EndpointResult, at: string, cite: Citations): readonly Block[] {
  const { objections } = result.verdict
  if (objections.length === 0) return []
  return [
    captionedTable(`${result.endpoint}-challenges`, 'Challenges fixed beforehand', {
      columns: [textColumn(columns.challenge), textColumn(columns.effect), numberColumn(columns.ratio)],
      rows: objections.map(({ code, effect, estimate }, i) => [
        wordCell(pooledWords.objections[code]),
        wordCell(pooledWords.effects[effect]),
        estimate === undefined
          ? wordCell('–')
          : numberCell(
              cite,
              `${at}.verdict.objections.${i}.estimate`,
              code === 'from-charts' ? 'percent' : 'ratio',
            ),
      ]),
    }),
  ]
}

/** How often the interval that is shown held the truth in the study of groups. */
function noteOnCoverage(state: EndpointResult['between']['state']): Block {
  const said = message(state === 'estimated' ? 'study-group.coverage-sample' : 'study-group.coverage-alike')
  return { kind: 'paragraph', tone: 'note', content: speaker().phrase(said) }
}

/** Whether practices differ: interval, spread, forest and funnel of those that let their figures be shown. */
export function betweenBlocks(
  result: EndpointResult,
  at: string,
  cite: Citations,
  generated: boolean,
): readonly Block[] {
  const { between, open } = result
  const funnel = siteFunnel(result)
  const hasRatio = isNumber(result.comparison.hazardRatio.estimate)
  const spread: Block =
    between.state === 'estimated'
      ? {
          kind: 'paragraph',
          tone: 'plain',
          content: [
            'Allowing for practices that differ, the data are compatible with hazard ratios of ',
            ...cite.interval(`${at}.between`, 'ratio'),
            '. Standard deviation of the practices’ own log hazard ratios: ',
            cite.number(`${at}.between.tau`, 'ratio'),
            '; degrees of freedom: ',
            cite.number(`${at}.between.degreesOfFreedom`, 'ratio'),
            '.',
          ],
        }
      : {
          kind: 'paragraph',
          tone: 'plain',
          content: [pooledWords.fewBetween, ...speaker().phrase(reasonOf(between)), '.'],
        }
  return [
    spread,
    ...(between.state === 'estimated' || hasRatio ? [noteOnCoverage(between.state)] : []),
    ...(open.sites.length > 0 && hasRatio
      ? [
          twoSizes(
            `${result.endpoint}-forest`,
            'Hazard ratio of each practice that shows it, and of all together',
            { generated },
            (options) => forestChart(result, options),
            [[pooledWords.forestNote]],
          ),
        ]
      : []),
    ...(funnel === undefined
      ? []
      : [
          twoSizes(`${result.endpoint}-funnel`, 'Practices by their certainty', { generated }, (options) =>
            siteFunnelChart(funnel, options),
          ),
        ]),
  ]
}

/** The model in rounds. */
export function modelBlocks(result: EndpointResult, at: string, cite: Citations): readonly Block[] {
  const { model } = result
  if (model.state === 'not-asked') return []
  if (model.state === 'not-estimable')
    return [
      {
        kind: 'paragraph',
        tone: 'plain',
        content: [pooledWords.modelNone, ...speaker().phrase(reasonOf(model)), '.'],
      },
    ]
  return [
    captionedTable(`${result.endpoint}-model`, pooledWords.model, {
      columns: [textColumn(columns.measure), estimateColumn(cite, columns.estimate, 'ratio')],
      rows: model.hazardRatios.map(({ name, comparator }, j) => [
        foreignCell(`${name} / ${comparator.against}`),
        estimateCell(cite, `${at}.model.hazardRatios.${j}`, 'ratio'),
      ]),
      notes: model.state === 'stopped' ? [[pooledWords.modelStopped]] : [],
    }),
  ]
}
