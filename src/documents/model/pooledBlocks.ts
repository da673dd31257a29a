import { forestChart } from '../../charts/forestChart.js'
import { groupRiskChart } from '../../charts/groupRiskChart.js'
import { siteFunnelChart } from '../../charts/siteFunnelChart.js'
import { isNumber } from '../../core/estimate.js'
import { listOf, type Message, message } from '../../messages/message.js'
import { endpointLabel } from '../../messages/names.js'
import { foreign } from '../../messages/phrase.js'
import { reasonOf, speaker } from '../../messages/speaker.js'
import type { BothFigures, GroupFigures, WithheldGroup } from '../../pooling/coordinator/figures.js'
import type { EndpointResult, PooledResult } from '../../pooling/coordinator/groupResult.js'
import { siteFunnel } from '../../pooling/coordinator/siteFunnel.js'
import type { Protocol } from '../../pooling/protocol/protocol.js'
import {
  type Block,
  estimateCell,
  estimateColumn,
  type Figure,
  figure,
  foreignCell,
  numberCell,
  numberColumn,
  paragraph,
  quantityCell,
  type Table,
  type TermList,
  table,
  textColumn,
  wordCell,
} from '../../questions/words/blocks.js'
import {
  count,
  interval,
  narrowed,
  number,
  type Path,
  pathsOf,
  quantity,
  valueAt,
} from '../../questions/words/place.js'

type At = Path<EndpointResult>

/** Places of the figures of each group and of both; withheld ones left out. */
function shownGroups({ groups, all }: At): readonly Path<GroupFigures | BothFigures>[] {
  return [groups[1]!, groups[0]!, all].flatMap((one) => {
    const shown = narrowed<GroupFigures | BothFigures | WithheldGroup, GroupFigures | BothFigures>(
      one,
      (figures): figures is GroupFigures | BothFigures => !('withheld' in figures),
    )
    return shown === undefined ? [] : [shown]
  })
}

/** Practices, and whether their own figures are shown. */
export function sitesTable(result: PooledResult): Table {
  return table('practices', message('pooled.practices-of-group'), {
    columns: [textColumn(message('pooled.columns.site')), textColumn(message('pooled.columns.shown'))],
    rows: result.sites.map(({ name, open }) => [
      foreignCell(name),
      wordCell(open ? message('pooled.open') : message('pooled.closed')),
    ]),
  })
}

/** Sizes and rates of the groups. */
export function groupsTable({ endpoint }: EndpointResult, at: At): Block {
  const shown = shownGroups(at)
  if (shown.length === 0) return paragraph(message('pooled.withheld'))
  return table(`${endpoint}-groups`, message('pooled.seen'), {
    columns: [
      textColumn(message('pooled.columns.group')),
      numberColumn(message('pooled.columns.restorations')),
      numberColumn(message('pooled.columns.patients')),
      numberColumn(message('pooled.columns.practices')),
      numberColumn(message('pooled.columns.events')),
      numberColumn(message('pooled.columns.competing')),
      numberColumn(message('pooled.columns.restorationYears')),
      estimateColumn(message('pooled.columns.rate'), 'rate'),
    ],
    rows: shown.map((place) => [
      foreignCell(valueAt(place.group)),
      numberCell(place.restorations),
      quantityCell(place.patients, 'count'),
      numberCell(place.sites),
      numberCell(place.events),
      numberCell(place.competing),
      numberCell(place.restorationYears, 'restoration-years'),
      estimateCell(place.rate, 'rate'),
    ]),
  })
}

/** Risks at the horizons. */
export function risksTable({ endpoint }: EndpointResult, at: At): readonly Block[] {
  const shown = shownGroups(at)
  if (shown.length === 0) return []
  return [
    table(`${endpoint}-risks`, message('pooled.by-horizons'), {
      columns: [
        textColumn(message('pooled.columns.group')),
        textColumn(message('pooled.columns.after')),
        estimateColumn(message('pooled.columns.risk'), 'percent'),
        numberColumn(message('pooled.columns.atRisk')),
      ],
      rows: shown.flatMap(({ group, risks }) =>
        valueAt(risks).map(({ years }, h) => [
          foreignCell(valueAt(group)),
          wordCell(message('pooled.after-years', { years })),
          estimateCell(risks[h]!, 'percent'),
          numberCell(risks[h]!.atRisk),
        ]),
      ),
      notes: [message('pooled.gridNote')],
    }),
  ]
}

/** Risk by the end of each year. */
export function riskFigure(result: EndpointResult): readonly Figure[] {
  const shown = result.groups.some((one) => !('withheld' in one) && one.curve.length > 3)
  if (!shown) return []
  return [
    figure(`${result.endpoint}-risks`, message('pooled.by-year-ends'), (options) =>
      groupRiskChart(result, options),
    ),
  ]
}

/** Group by year. */
export function yearsTable({ endpoint }: EndpointResult, at: At, left: number): readonly Block[] {
  const shown = shownGroups(at).filter(({ years }) => valueAt(years).length > 0)
  if (shown.length === 0) return []
  return [
    table(`${endpoint}-years`, message('pooled.by-year'), {
      columns: [
        textColumn(message('pooled.columns.group')),
        textColumn(message('pooled.columns.year')),
        numberColumn(message('pooled.columns.atRisk')),
        numberColumn(message('pooled.columns.events')),
        numberColumn(message('pooled.columns.competing')),
        numberColumn(message('pooled.columns.restorationYears')),
        numberColumn(message('pooled.columns.patients')),
        numberColumn(message('pooled.columns.practices')),
      ],
      rows: shown.flatMap(({ group, years }) =>
        valueAt(years).map(({ fromDay, toDay }, y) => {
          const year = years[y]!
          return [
            foreignCell(valueAt(group)),
            {
              content: [count(year.fromDay), '–', count(year.toDay)],
              csv: [{ text: `${fromDay}-${toDay}` }],
            },
            numberCell(year.atRisk),
            numberCell(year.endpoint),
            numberCell(year.competing),
            numberCell(year.restorationYears, 'restoration-years'),
            numberCell(year.patients),
            numberCell(year.sites),
          ]
        }),
      ),
      notes: [
        message('pooled.yearsNote'),
        ...(left === 0 ? [] : [message('study-group.left-out', { cells: left })]),
      ],
    }),
  ]
}

/** Ratios and tests. */
export function contrastTable({ endpoint }: EndpointResult, { comparison }: At): Table {
  return table(`${endpoint}-ratios`, message('pooled.contrast'), {
    columns: [
      textColumn(message('pooled.columns.measure')),
      estimateColumn(message('pooled.columns.estimate'), 'ratio'),
    ],
    rows: [
      [wordCell(message('pooled.hazardRatio')), estimateCell(comparison.hazardRatio, 'ratio')],
      [wordCell(message('pooled.foundRatio')), estimateCell(comparison.ends.found, 'ratio')],
      [wordCell(message('pooled.clearRatio')), estimateCell(comparison.ends.afterLastLook, 'ratio')],
      [wordCell(message('pooled.rateRatio')), estimateCell(comparison.rateRatio, 'ratio')],
    ],
    notes: [
      message('pooled.log-rank', {
        stratified: quantity(comparison.logRank.pValue, 'p-value'),
        robust: quantity(comparison.logRankByPatient.pValue, 'p-value'),
      }),
    ],
  })
}

/** Challenges that were fixed beforehand. */
export function objectionsTable({ endpoint, verdict }: EndpointResult, at: At): readonly Block[] {
  const { objections } = verdict
  if (objections.length === 0) return []
  return [
    table(`${endpoint}-challenges`, message('pooled.challenges'), {
      columns: [
        textColumn(message('pooled.columns.challenge')),
        textColumn(message('pooled.columns.effect')),
        numberColumn(message('pooled.columns.ratio')),
      ],
      rows: objections.map(({ code, effect, estimate }, i) => [
        wordCell(message(`pooled.objections.${code}`)),
        wordCell(message(`pooled.effects.${effect}`)),
        estimate === undefined
          ? wordCell('–')
          : numberCell(at.verdict.objections[i]!.estimate, code === 'from-charts' ? 'percent' : 'ratio'),
      ]),
    }),
  ]
}

/** Whether practices differ: interval, spread, forest and funnel of those that let their figures be shown. */
export function betweenBlocks(result: EndpointResult, at: At): readonly Block[] {
  const { between, open } = result
  const funnel = siteFunnel(result)
  const hasRatio = isNumber(result.comparison.hazardRatio.estimate)
  return [
    paragraph(spreadSentence(at)),
    // How often the interval that is shown held the truth in the study of groups.
    ...(between.state === 'estimated'
      ? [paragraph(message('study-group.coverage-sample'), 'note')]
      : hasRatio
        ? [paragraph(message('study-group.coverage-alike'), 'note')]
        : []),
    ...(open.sites.length > 0 && hasRatio
      ? [
          figure(
            `${result.endpoint}-forest`,
            message('pooled.forest'),
            (options) => forestChart(result, options),
            { notes: [message('pooled.forestNote')] },
          ),
        ]
      : []),
    ...(funnel === undefined
      ? []
      : [
          figure(`${result.endpoint}-funnel`, message('pooled.funnel'), (options) =>
            siteFunnelChart(funnel, options),
          ),
        ]),
  ]
}

function spreadSentence({ between }: At): Message {
  const value = valueAt(between)
  if (value.state !== 'estimated') return message('pooled.fewBetween', { reason: reasonOf(value) })
  const place = between as unknown as Path<typeof value>
  return message('pooled.spread', {
    interval: interval(place, 'ratio'),
    tau: number(place.tau, 'ratio'),
    degrees: number(place.degreesOfFreedom, 'ratio'),
  })
}

/** The model in rounds. */
export function modelBlocks({ endpoint, model }: EndpointResult, at: At): readonly Block[] {
  if (model.state === 'not-asked') return []
  if (model.state === 'not-estimable') {
    return [paragraph(message('pooled.modelNone', { reason: reasonOf(model) }))]
  }
  const { hazardRatios } = at.model as unknown as Path<typeof model>
  return [
    table(`${endpoint}-model`, message('pooled.model'), {
      columns: [
        textColumn(message('pooled.columns.measure')),
        estimateColumn(message('pooled.columns.estimate'), 'ratio'),
      ],
      rows: model.hazardRatios.map(({ name, comparator }, j) => [
        foreignCell(`${name} / ${comparator.against}`),
        estimateCell(hazardRatios[j]!, 'ratio'),
      ]),
      notes: model.state === 'stopped' ? [message('pooled.modelStopped')] : [],
    }),
  ]
}

/** What the group agreed on, so that a page can be read without the file. */
export function protocolTerms(source: {
  readonly protocol: Protocol
  readonly protocolHash: string
  readonly listHash?: string
}): TermList {
  const { protocol, protocolHash, listHash } = source
  const { groups, release, covariates, waitWindowMinutes: wait, endpoints } = protocol
  const at = pathsOf(source).protocol
  const fields = covariates.map(({ field }) => field)
  const days = message('pooled.protocol.days', {
    begin: release.from === null ? 'delivery' : 'other',
    day: release.from ?? '',
    cutoff: release.cutoff,
  })
  return {
    kind: 'terms',
    entries: [
      {
        term: message('pooled.protocol.name'),
        meaning: message('pooled.protocol.name-version', {
          name: foreign(protocol.name),
          version: number(at.version, 'whole'),
        }),
      },
      { term: message('pooled.protocol.endpoints'), meaning: listOf(endpoints.map(endpointLabel), 'comma') },
      {
        term: message('pooled.protocol.groups'),
        meaning: foreign(`${groups.group} / ${groups.against}`),
      },
      { term: message('pooled.protocol.window'), meaning: `${wait.from}–${wait.to} min` },
      { term: message('pooled.protocol.release'), meaning: foreign(speaker().text(days)) },
      {
        term: message('pooled.protocol.covariates'),
        meaning: fields.length === 0 ? message('pooled.protocol.none') : foreign(fields.join(', ')),
      },
      { term: message('pooled.protocol.threshold'), meaning: number(at.threshold, 'whole') },
      { term: message('pooled.protocol.hash'), meaning: foreign(protocolHash) },
      ...(listHash === undefined
        ? []
        : [{ term: message('pooled.protocol.list'), meaning: foreign(listHash) }]),
    ],
  }
}
