import { speaker, warningOf } from '../messages/speaker.js'
import type { PooledResult } from '../pooling/combine.js'
import type { ReportOptions } from './auditDocument.js'
import type { Report } from './bundle.js'
import { citationsOf } from './citation.js'
import {
  type Block,
  foreign,
  type Phrase,
  paragraph,
  phrase,
  type ReportDocument,
  type Section,
} from './document.js'
import {
  contrastTable,
  forestFigure,
  funnelFigure,
  heterogeneityTable,
  horizonTable,
  influenceTable,
  ratesTable,
  retentionFigure,
  sitesTable,
} from './pooledBlocks.js'
import { pooledWords } from './wording/pooledWords.js'

/** Options of a study-group report. */
export interface PooledReportOptions extends ReportOptions {
  /** Whether rows themselves were pooled, at exact times; default false: summaries were. */
  readonly rows?: boolean
}

/** The study-group report as a document, apart from any format. */
export function pooledDocument(result: PooledResult, options: PooledReportOptions): ReportDocument {
  const cite = citationsOf(result)
  const exact = options.rows ?? false
  const forest = forestFigure(result)
  const influence = influenceTable(result, cite)
  return {
    layout: 'report',
    title: [foreign(result.protocol.name)],
    kicker: exact ? pooledWords.kickerRows : pooledWords.kicker,
    summary: [
      cite.number('sites.length', 'count'),
      ' sites, ',
      cite.number('overall.restorations', 'count'),
      ' restorations, ',
      cite.number('overall.events', 'count'),
      ' events',
    ],
    generated: result.generated,
    date: options.date,
    sections: [
      { id: 'answer', title: pooledWords.answer, blocks: answerBlocks(result) },
      { id: 'sites', title: pooledWords.sites, blocks: siteBlocks(result, sitesTable(result, cite)) },
      {
        id: 'retention',
        title: pooledWords.retention,
        blocks: [retentionFigure(result), horizonTable(result, cite, exact)],
      },
      {
        id: 'comparison',
        title: pooledWords.comparison,
        blocks: [ratesTable(result, cite), contrastTable(result, cite)],
      },
      ...(forest === undefined || influence === undefined
        ? []
        : [synthesisSection(result, [forest, influence])]),
      {
        id: 'methods',
        title: pooledWords.methods,
        blocks: [
          ...(exact ? pooledWords.methodsOfRows : pooledWords.methodsText).map((text) => paragraph([text])),
          protocolTerms(result),
        ],
      },
    ],
  }
}

/** The study-group report with what it was made from. */
export function pooledReport(result: PooledResult, options: PooledReportOptions): Report {
  return {
    kind: 'study-group',
    document: pooledDocument(result, options),
    results: result,
    provenance: {
      source: { sites: result.sites.map(({ clinic, release }) => ({ clinic, release })) },
      settings: { protocolHash: result.protocolHash },
    },
    version: options.version,
  }
}

function answerBlocks(result: PooledResult): readonly Block[] {
  const warnings = result.warnings.map((one): Phrase => speaker().phrase(warningOf(one)))
  return [
    paragraph(ratioSentence(result), 'lead'),
    ...(result.model.state === 'next-round' || result.model.state === 'waiting'
      ? [paragraph([pooledWords.waiting])]
      : []),
    ...(warnings.length > 0 ? [{ kind: 'list', items: warnings } as const] : []),
  ]
}

/** What the data are compatible with, in both directions, from the interval; and how many sites that rests on. */
function ratioSentence(result: PooledResult): Phrase {
  const cite = citationsOf(result)
  const { synthesis } = result
  const at = synthesis !== undefined && synthesis.sites.length > 1 ? 'synthesis.random' : 'rateRatio'
  const { group, against } = result.protocol.groups
  if (typeof cite.read(`${at}.estimate`) !== 'number') return [pooledWords.noComparison]
  const ratio = cite.quantity(`${at}.estimate`, 'ratio')
  const interval = cite.interval(at, 'ratio')
  return phrase`Rate of the endpoint with ${foreign(group)} against ${foreign(against)}, clinics as strata: ratio ${ratio}; the data are compatible with ratios of ${interval}. The comparison rests on ${cite.number('comparing.sites', 'whole')} of ${cite.number('sites.length', 'whole')} sites, with ${cite.number('comparing.restorations', 'count')} restorations.`
}

function siteBlocks(result: PooledResult, table: Block): readonly Block[] {
  const listed = (title: string, items: readonly Phrase[]): readonly Block[] =>
    items.length === 0
      ? []
      : [
          { kind: 'heading', text: title },
          { kind: 'list', items },
        ]
  return [
    table,
    ...listed(
      pooledWords.notUsed,
      result.refused.map(({ clinic, release, reason }) => [
        foreign(`${clinic}, release ${release}: ${reason}`),
      ]),
    ),
    ...listed(
      pooledWords.replaced,
      result.replaced.map(({ clinic, release, by }) => [
        foreign(`${clinic}: release ${release} replaced by release ${by}`),
      ]),
    ),
  ]
}

function synthesisSection(result: PooledResult, blocks: readonly Block[]): Section {
  const cite = citationsOf(result)
  const without = result.synthesis?.without ?? []
  const heterogeneity = heterogeneityTable(result, cite)
  const funnel = funnelFigure(result)
  return {
    id: 'synthesis',
    title: pooledWords.synthesis,
    blocks: [
      ...blocks,
      ...(heterogeneity === undefined ? [] : [heterogeneity]),
      ...(funnel === undefined ? [] : [funnel]),
      ...(without.length === 0
        ? []
        : ([
            { kind: 'heading', text: pooledWords.noEstimate },
            { kind: 'list', items: without.map(({ clinic, reason }) => [foreign(`${clinic}: ${reason}`)]) },
          ] as const)),
    ],
  }
}

/** What the group agreed on, so that the report can be read without the file. */
function protocolTerms({ protocol, protocolHash }: PooledResult): Block {
  const { groups, strata, model, waitWindowMinutes: wait } = protocol
  const cite = citationsOf({ protocol })
  const number = (path: string): Phrase => [cite.number(`protocol.${path}`, 'whole')]
  const words = pooledWords.protocol
  const fields = model.covariates.map(({ field }) => field)
  return {
    kind: 'terms',
    entries: [
      { term: words.name, meaning: [foreign(`${protocol.name}, `), words.version, ...number('version')] },
      { term: words.endpoint, meaning: [foreign(protocol.endpoint.replaceAll('_', ' '))] },
      { term: words.groups, meaning: [foreign(`${groups.group} / ${groups.against}`)] },
      { term: words.window, meaning: [`${wait.from}–${wait.to} min`] },
      { term: words.strata, meaning: strata === null ? [words.none] : [foreign(strata.field)] },
      { term: words.covariates, meaning: fields.length === 0 ? [words.none] : [foreign(fields.join(', '))] },
      { term: words.threshold, meaning: number('threshold') },
      { term: words.hash, meaning: [foreign(protocolHash)] },
    ],
  }
}
