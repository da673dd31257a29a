import { isNumber } from '../../core/estimate.js'
import { type Message, message } from '../../messages/message.js'
import { endpointLabel } from '../../messages/names.js'
import { foreign } from '../../messages/phrase.js'
import { speaker } from '../../messages/speaker.js'
import { cellNames } from '../../pooling/coordinator/cells.js'
import type { GroupFigures } from '../../pooling/coordinator/figures.js'
import type { EndpointResult, PooledResult } from '../../pooling/coordinator/groupResult.js'
import { type Block, paragraph } from '../../questions/words/blocks.js'
import { count, interval, number, type Path, pathsOf, quantity } from '../../questions/words/place.js'
import type { Report } from '../bundle.js'
import type { ReportDocument, Section } from '../model/document.js'
import {
  betweenBlocks,
  contrastTable,
  groupsTable,
  modelBlocks,
  objectionsTable,
  protocolTerms,
  riskFigure,
  risksTable,
  sitesTable,
  yearsTable,
} from '../model/pooledBlocks.js'
import { wordedBlocks } from '../model/worded.js'
import type { ReportOptions } from './auditDocument.js'

/** The study-group report as a document, apart from any format; the first endpoint leads, others follow shortly. */
export function pooledDocument(result: PooledResult, options: ReportOptions): ReportDocument {
  const by = speaker()
  const at = pathsOf(result)
  const rows = result.route === 'rows'
  const section = (id: string, title: string, blocks: readonly Block[]): Section => ({
    id,
    title,
    blocks: wordedBlocks(blocks, by, { generated: result.generated, full: true }),
  })
  return {
    layout: 'report',
    title: [foreign(result.protocol.name)],
    kicker: by.text(message(rows ? 'pooled.kickerRows' : 'pooled.kicker')),
    summary: by.phrase(
      message('pooled.summary', {
        practices: count(at.sites.length),
        version: number(at.protocol.version, 'whole'),
      }),
    ),
    generated: result.generated,
    date: options.date,
    sections: [
      section(
        'answer',
        by.text(message('pooled.answer')),
        result.endpoints.flatMap((one, e) => answerBlocks(result, one, at.endpoints[e]!)),
      ),
      ...result.endpoints.flatMap((one, e) => {
        // Sections of further endpoints bear its name, and their place among the endpoints.
        const name = e === 0 ? '' : `: ${by.text(endpointLabel(one.endpoint))}`
        return endpointParts(result, e, at.endpoints[e]!).map(({ id, title, blocks }) =>
          section(e === 0 ? id : `${id}-${e}`, `${by.text(title)}${name}`, blocks),
        )
      }),
      section('sites', by.text(message('pooled.sites')), [sitesTable(result)]),
      section('methods', by.text(message('pooled.methods')), [
        ...([1, 2, 3] as const).map((part) =>
          paragraph(message(`pooled.${rows ? 'methodsOfRows' : 'methodsText'}-${part}`)),
        ),
        paragraph(message('pooled.stratumNote')),
        paragraph(message('pooled.caution')),
        protocolTerms(result),
      ]),
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

interface Part {
  readonly id: string
  readonly title: Message
  readonly blocks: readonly Block[]
}

function endpointParts(result: PooledResult, e: number, at: Path<EndpointResult>): readonly Part[] {
  const one = result.endpoints[e]!
  const leads = e === 0
  return [
    {
      id: 'risks',
      title: message('pooled.risks'),
      blocks: [
        groupsTable(one, at),
        ...(leads ? riskFigure(one) : []),
        ...risksTable(one, at),
        ...(leads ? yearsTable(one, at, objectedIn(result, one)) : []),
      ],
    },
    {
      id: 'comparison',
      title: message('pooled.comparison'),
      blocks: [contrastTable(one, at), ...objectionsTable(one, at), ...modelBlocks(one, at)],
    },
    ...(leads ? [{ id: 'between', title: message('pooled.between'), blocks: betweenBlocks(one, at) }] : []),
  ]
}

/** Verdict, then the figure that it rests on, then the counts of the same restorations. */
function answerBlocks(
  { protocol }: PooledResult,
  one: EndpointResult,
  at: Path<EndpointResult>,
): readonly Block[] {
  const { verdict, reason } = one.verdict
  const { hazardRatio } = at.comparison
  const lead = message('pooled.lead', {
    endpoint: endpointLabel(one.endpoint),
    verdict: message(`pooled.verdicts.${verdict}`),
    group: foreign(protocol.groups.group),
    against: foreign(protocol.groups.against),
    ratio: isNumber(one.comparison.hazardRatio.estimate)
      ? message('pooled.lead-ratio', {
          ratio: quantity(hazardRatio.estimate, 'ratio'),
          interval: interval(hazardRatio, 'ratio'),
        })
      : '',
    reason: reason === undefined ? '' : message(`pooled.reasons.${reason}`),
  })
  return [
    paragraph(lead, 'lead'),
    ...countsBlock(one, at),
    ...riskBlock(one, at.verdict),
    ...neededBlocks(one, at.verdict),
  ]
}

function countsBlock({ groups }: EndpointResult, at: Path<EndpointResult>): readonly Block[] {
  const [against, group] = groups
  if ('withheld' in against || 'withheld' in group) return []
  const counts = ({ events, restorations, patients }: Path<GroupFigures>): Message =>
    message('pooled.counts', {
      events: count(events),
      restorations: count(restorations),
      patients: count(patients),
    })
  const [ofAgainst, ofGroup] = [0, 1].map((i) => counts(at.groups[i] as unknown as Path<GroupFigures>))
  return [
    paragraph(
      message('pooled.counts-of-groups', {
        group: foreign(group.group),
        ofGroup: ofGroup!,
        against: foreign(against.group),
        ofAgainst: ofAgainst!,
      }),
    ),
  ]
}

type Verdict = Path<EndpointResult['verdict']>

function riskBlock({ verdict }: EndpointResult, at: Verdict): readonly Block[] {
  const { years, risks } = verdict
  if (years === undefined || risks === undefined) return []
  const risk = (side: 'group' | 'against'): Message => {
    const { estimate, lower, upper } = at.risks[side]
    return message('quantity.estimate', {
      estimate: number(estimate, 'percent'),
      interval: message('quantity.interval', {
        lower: number(lower, 'percent'),
        upper: number(upper, 'percent'),
      }),
    })
  }
  const said = { years: message('label.years', { years }), group: risk('group'), against: risk('against') }
  return [paragraph(message('pooled.risks-after', said))]
}

/** What it would take to know, where nothing can be said yet. */
function neededBlocks({ verdict }: EndpointResult, at: Verdict): readonly Block[] {
  const { needed } = verdict
  if (needed === undefined) return []
  return needed.scenarios.map(({ own }, i) =>
    paragraph(
      message('study-group.needed', {
        years: message('label.years', { years: needed.years }),
        points: number(at.needed.halfWidth, 'points-size'),
        restorations: count(at.needed.scenarios[i]!.restorations),
        risk: number(at.needed.scenarios[i]!.risk, 'percent'),
        own: own ? 'yes' : 'other',
        now: count(at.needed.now),
      }),
    ),
  )
}
