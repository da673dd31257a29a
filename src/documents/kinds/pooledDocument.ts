import { isNumber } from '../../core/estimate.js'
import { message } from '../../messages/message.js'
import { endpointLabel } from '../../messages/names.js'
import { speaker } from '../../messages/speaker.js'
import { cellNames } from '../../pooling/coordinator/cells.js'
import type { EndpointResult, PooledResult } from '../../pooling/coordinator/groupResult.js'
import type { Report } from '../bundle.js'
import { citationsOf } from '../model/citation.js'
import {
  type Block,
  foreign,
  type Phrase,
  paragraph,
  type ReportDocument,
  type Section,
} from '../model/document.js'
import {
  betweenBlocks,
  contrastTable,
  groupsTable,
  modelBlocks,
  objectionsTable,
  riskFigure,
  risksTable,
  sitesTable,
  yearsTable,
} from '../model/pooledBlocks.js'
import { protocolTerms } from '../model/protocolTerms.js'
import { yearsInWords } from '../wording/labels.js'
import { pooledText as text } from '../wording/pooledWords.js'
import type { ReportOptions } from './auditDocument.js'

/** The study-group report as a document, apart from any format; the first endpoint leads, others follow shortly. */
export function pooledDocument(result: PooledResult, options: ReportOptions): ReportDocument {
  const cite = citationsOf(result)
  const rows = result.route === 'rows'
  return {
    layout: 'report',
    title: [foreign(result.protocol.name)],
    kicker: rows ? text('pooled.kickerRows') : text('pooled.kicker'),
    summary: cite.say('pooled.summary', {
      practices: cite.number('sites.length', 'count'),
      version: cite.number('protocol.version', 'whole'),
    }),
    generated: result.generated,
    date: options.date,
    sections: [
      {
        id: 'answer',
        title: text('pooled.answer'),
        blocks: result.endpoints.flatMap((one, e) => answerBlocks(result, one, `endpoints.${e}`)),
      },
      ...result.endpoints.flatMap((one, e) => endpointSections(result, one, e)),
      { id: 'sites', title: text('pooled.sites'), blocks: [sitesTable(result)] },
      {
        id: 'methods',
        title: text('pooled.methods'),
        blocks: [
          ...([1, 2, 3] as const).map((part) =>
            paragraph([text(`pooled.${rows ? 'methodsOfRows' : 'methodsText'}-${part}`)]),
          ),
          paragraph([text('pooled.stratumNote')]),
          paragraph([text('pooled.caution')]),
          protocolTerms(result),
        ],
      },
    ],
  }
}

/** The study-group report with what it was made from. */
export function pooledReport(result: PooledResult, options: ReportOptions): Report {
  return {
    kind: 'study-group',
    document: pooledDocument(result, options),
    results: result,
    provenance: {
      source: { sites: result.sites.map(({ name }) => name) },
      settings: {
        protocolHash: result.protocolHash,
        ...(result.listHash === undefined ? {} : { listHash: result.listHash }),
      },
    },
    version: options.version,
  }
}

/** How many numbers of an endpoint are left out because practices object. */
function objectedIn({ objected, protocol }: PooledResult, { endpoint }: EndpointResult): number {
  const own = new Set(
    cellNames({ ...protocol, endpoints: protocol.endpoints.filter((one) => one === endpoint) }),
  )
  return objected.filter((cell) => own.has(cell)).length
}

function endpointSections(result: PooledResult, one: EndpointResult, e: number): readonly Section[] {
  const cite = citationsOf(result)
  const at = `endpoints.${e}`
  const name = e === 0 ? '' : `: ${cite.by.text(endpointLabel(one.endpoint))}`
  const id = (part: string): string => (e === 0 ? part : `${part}-${e}`)
  return [
    {
      id: id('risks'),
      title: `${text('pooled.risks')}${name}`,
      blocks: [
        groupsTable(one, at, cite),
        ...(e === 0 ? riskFigure(one, result.generated) : []),
        ...risksTable(one, at, cite),
        ...(e === 0 ? yearsTable(one, at, cite, objectedIn(result, one)) : []),
      ],
    },
    {
      id: id('comparison'),
      title: `${text('pooled.comparison')}${name}`,
      blocks: [
        contrastTable(one, at, cite),
        ...objectionsTable(one, at, cite),
        ...modelBlocks(one, at, cite),
      ],
    },
    ...(e === 0
      ? [
          {
            id: 'between',
            title: text('pooled.between'),
            blocks: betweenBlocks(one, at, cite, result.generated),
          },
        ]
      : []),
  ]
}

/** Verdict, then the figure that it rests on, then the counts of the same restorations. */
function answerBlocks(result: PooledResult, one: EndpointResult, at: string): readonly Block[] {
  const cite = citationsOf(result)
  const { verdict } = one
  const { group, against } = result.protocol.groups
  const lead = cite.say('pooled.lead', {
    endpoint: endpointLabel(one.endpoint),
    verdict: text(`pooled.verdicts.${verdict.verdict}`),
    group: foreign(group),
    against: foreign(against),
    ratio: isNumber(one.comparison.hazardRatio.estimate)
      ? cite.say('pooled.lead-ratio', {
          ratio: cite.quantity(`${at}.comparison.hazardRatio.estimate`, 'ratio'),
          interval: cite.interval(`${at}.comparison.hazardRatio`, 'ratio'),
        })
      : '',
    reason: verdict.reason === undefined ? '' : text(`pooled.reasons.${verdict.reason}`),
  })
  return [
    paragraph(lead, 'lead'),
    ...countsBlock(one, at, cite),
    ...riskBlock(one, at, cite),
    ...neededBlocks(one, at, cite),
  ]
}

function countsBlock(
  one: EndpointResult,
  at: string,
  cite: ReturnType<typeof citationsOf>,
): readonly Block[] {
  const [against, group] = one.groups
  if ('withheld' in against || 'withheld' in group) return []
  const counts = (path: string): Phrase => [
    cite.number(`${at}.${path}.events`, 'count'),
    ' events in ',
    cite.number(`${at}.${path}.restorations`, 'count'),
    ' restorations of ',
    cite.number(`${at}.${path}.patients`, 'count'),
    ' patients',
  ]
  return [
    paragraph([
      foreign(`${group.group}: `),
      ...counts('groups.1'),
      '; ',
      foreign(`${against.group}: `),
      ...counts('groups.0'),
      '.',
    ]),
  ]
}

function riskBlock(one: EndpointResult, at: string, cite: ReturnType<typeof citationsOf>): readonly Block[] {
  const { years, risks } = one.verdict
  if (years === undefined || risks === undefined) return []
  const risk = (side: 'group' | 'against'): Phrase => {
    const number = (part: string) => cite.number(`${at}.verdict.risks.${side}.${part}`, 'percent')
    const interval = message('quantity.interval', { lower: number('lower'), upper: number('upper') })
    return cite.say('quantity.estimate', { estimate: number('estimate'), interval })
  }
  const said = { years: yearsInWords(years, cite), group: risk('group'), against: risk('against') }
  return [paragraph(cite.say('pooled.risks-after', said))]
}

/** What it would take to know, where nothing can be said yet. */
function neededBlocks(
  one: EndpointResult,
  at: string,
  cite: ReturnType<typeof citationsOf>,
): readonly Block[] {
  const { needed } = one.verdict
  if (needed === undefined) return []
  return needed.scenarios.map(({ own }, i) =>
    paragraph(
      speaker().phrase(
        message('study-group.needed', {
          years: yearsInWords(needed.years, cite),
          points: cite.number(`${at}.verdict.needed.halfWidth`, 'points-size'),
          restorations: cite.number(`${at}.verdict.needed.scenarios.${i}.restorations`, 'count'),
          risk: cite.number(`${at}.verdict.needed.scenarios.${i}.risk`, 'percent'),
          own: own ? 'yes' : 'other',
          now: cite.number(`${at}.verdict.needed.now`, 'count'),
        }),
      ),
    ),
  )
}
