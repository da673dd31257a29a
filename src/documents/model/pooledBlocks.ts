import { forestChart } from '../../charts/forestChart.js'
import { groupRiskChart } from '../../charts/groupRiskChart.js'
import { siteFunnelChart } from '../../charts/siteFunnelChart.js'
import { isNumber } from '../../core/estimate.js'
import { message } from '../../messages/message.js'
import { reasonOf, speaker } from '../../messages/speaker.js'
import type { BothFigures, GroupFigures } from '../../pooling/coordinator/figures.js'
import type { EndpointResult, PooledResult } from '../../pooling/coordinator/groupResult.js'
import { siteFunnel } from '../../pooling/coordinator/siteFunnel.js'
import { yearsInWords } from '../wording/labels.js'
import { pooledText as text } from '../wording/pooledWords.js'
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
  return captionedTable('practices', text('pooled.practices-of-group'), {
    columns: [textColumn(text('pooled.columns.site')), textColumn(text('pooled.columns.shown'))],
    rows: result.sites.map(({ name, open }) => [
      foreignCell(name),
      wordCell(open ? text('pooled.open') : text('pooled.closed')),
    ]),
  })
}

/** Sizes and rates of the groups. */
export function groupsTable(result: EndpointResult, at: string, cite: Citations): Block {
  const shown = shownGroups(result)
  if (shown.length === 0) return { kind: 'paragraph', tone: 'plain', content: [text('pooled.withheld')] }
  return captionedTable(`${result.endpoint}-groups`, text('pooled.seen'), {
    columns: [
      textColumn(text('pooled.columns.group')),
      numberColumn(text('pooled.columns.restorations')),
      numberColumn(text('pooled.columns.patients')),
      numberColumn(text('pooled.columns.practices')),
      numberColumn(text('pooled.columns.events')),
      numberColumn(text('pooled.columns.competing')),
      numberColumn(text('pooled.columns.restorationYears')),
      estimateColumn(cite, text('pooled.columns.rate'), 'rate'),
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
    captionedTable(`${result.endpoint}-risks`, text('pooled.by-horizons'), {
      columns: [
        textColumn(text('pooled.columns.group')),
        textColumn(text('pooled.columns.after')),
        estimateColumn(cite, text('pooled.columns.risk'), 'percent'),
        numberColumn(text('pooled.columns.atRisk')),
      ],
      rows: shown.flatMap(({ path, figures }) =>
        figures.risks.map(({ years }, h) => [
          foreignCell(figures.group),
          wordCell(yearsInWords(years, cite).replace(' ', '\u00a0')),
          estimateCell(cite, `${at}.${path}.risks.${h}`, 'percent'),
          numberCell(cite, `${at}.${path}.risks.${h}.atRisk`, 'count'),
        ]),
      ),
      notes: [[text('pooled.gridNote')]],
    }),
  ]
}

/** Risk by the end of each year. */
export function riskFigure(result: EndpointResult, generated: boolean): readonly Figure[] {
  const shown = result.groups.some((one) => !('withheld' in one) && one.curve.length > 3)
  if (!shown) return []
  return [
    twoSizes(`${result.endpoint}-risks`, text('pooled.by-year-ends'), { generated }, (options) =>
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
    captionedTable(`${result.endpoint}-years`, text('pooled.by-year'), {
      columns: [
        textColumn(text('pooled.columns.group')),
        textColumn(text('pooled.columns.year')),
        numberColumn(text('pooled.columns.atRisk')),
        numberColumn(text('pooled.columns.events')),
        numberColumn(text('pooled.columns.competing')),
        numberColumn(text('pooled.columns.restorationYears')),
        numberColumn(text('pooled.columns.patients')),
        numberColumn(text('pooled.columns.practices')),
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
        [text('pooled.yearsNote')],
        ...(left === 0 ? [] : [speaker().phrase(message('study-group.left-out', { cells: left }))]),
      ],
    }),
  ]
}

/** Ratios and tests. */
export function contrastTable(result: EndpointResult, at: string, cite: Citations): Table {
  const comparison = `${at}.comparison`
  return captionedTable(`${result.endpoint}-ratios`, text('pooled.contrast'), {
    columns: [
      textColumn(text('pooled.columns.measure')),
      estimateColumn(cite, text('pooled.columns.estimate'), 'ratio'),
    ],
    rows: [
      [wordCell(text('pooled.hazardRatio')), estimateCell(cite, `${comparison}.hazardRatio`, 'ratio')],
      [wordCell(text('pooled.foundRatio')), estimateCell(cite, `${comparison}.ends.found`, 'ratio')],
      [wordCell(text('pooled.clearRatio')), estimateCell(cite, `${comparison}.ends.afterLastLook`, 'ratio')],
      [wordCell(text('pooled.rateRatio')), estimateCell(cite, `${comparison}.rateRatio`, 'ratio')],
    ],
    notes: [
      cite.say('pooled.log-rank', {
        stratified: cite.quantity(`${comparison}.logRank.pValue`, 'p-value'),
        robust: cite.quantity(`${comparison}.logRankByPatient.pValue`, 'p-value'),
      }),
    ],
  })
}

/** Challenges that were fixed beforehand. */
export function objectionsTable(result: EndpointResult, at: string, cite: Citations): readonly Block[] {
  const { objections } = result.verdict
  if (objections.length === 0) return []
  return [
    captionedTable(`${result.endpoint}-challenges`, text('pooled.challenges'), {
      columns: [
        textColumn(text('pooled.columns.challenge')),
        textColumn(text('pooled.columns.effect')),
        numberColumn(text('pooled.columns.ratio')),
      ],
      rows: objections.map(({ code, effect, estimate }, i) => [
        wordCell(text(`pooled.objections.${code}`)),
        wordCell(text(`pooled.effects.${effect}`)),
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
          content: cite.say('pooled.spread', {
            interval: cite.interval(`${at}.between`, 'ratio'),
            tau: cite.number(`${at}.between.tau`, 'ratio'),
            degrees: cite.number(`${at}.between.degreesOfFreedom`, 'ratio'),
          }),
        }
      : {
          kind: 'paragraph',
          tone: 'plain',
          content: cite.say('pooled.fewBetween', { reason: reasonOf(between) }),
        }
  return [
    spread,
    ...(between.state === 'estimated' || hasRatio ? [noteOnCoverage(between.state)] : []),
    ...(open.sites.length > 0 && hasRatio
      ? [
          twoSizes(
            `${result.endpoint}-forest`,
            text('pooled.forest'),
            { generated },
            (options) => forestChart(result, options),
            [[text('pooled.forestNote')]],
          ),
        ]
      : []),
    ...(funnel === undefined
      ? []
      : [
          twoSizes(`${result.endpoint}-funnel`, text('pooled.funnel'), { generated }, (options) =>
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
        content: cite.say('pooled.modelNone', { reason: reasonOf(model) }),
      },
    ]
  return [
    captionedTable(`${result.endpoint}-model`, text('pooled.model'), {
      columns: [
        textColumn(text('pooled.columns.measure')),
        estimateColumn(cite, text('pooled.columns.estimate'), 'ratio'),
      ],
      rows: model.hazardRatios.map(({ name, comparator }, j) => [
        foreignCell(`${name} / ${comparator.against}`),
        estimateCell(cite, `${at}.model.hazardRatios.${j}`, 'ratio'),
      ]),
      notes: model.state === 'stopped' ? [[text('pooled.modelStopped')]] : [],
    }),
  ]
}
