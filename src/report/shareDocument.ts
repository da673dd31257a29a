import type { SiteSummary } from '../pooling/summarySchema.js'
import type { ReportOptions } from './auditDocument.js'
import { foreignCell, numberCell, numberColumn, textColumn } from './cells.js'
import { type Citations, citationsOf } from './citation.js'
import {
  type Block,
  type Cell,
  foreign,
  joinPhrases,
  type Phrase,
  paragraph,
  phrase,
  type ReportDocument,
  type Table,
} from './document.js'
import { shareWords } from './wording/pooledWords.js'

/**
 * The page that a site reads before it sends its summary: in plain words what leaves and what stays, every number of the
 * file, and what counts cannot guard against.
 */
export function shareDocument(summary: SiteSummary, options: Pick<ReportOptions, 'date'>): ReportDocument {
  const cite = citationsOf(summary)
  return {
    layout: 'report',
    title: [shareWords.title],
    kicker: shareWords.kicker,
    summary: [
      foreign(summary.protocol.name),
      ', site ',
      foreign(summary.clinic),
      ', release ',
      cite.number('release', 'whole'),
    ],
    generated: summary.generated,
    date: options.date,
    sections: [
      { id: 'answer', title: shareWords.leaves, blocks: leavesBlocks(summary, cite) },
      {
        id: 'stays',
        title: shareWords.stays,
        blocks: [{ kind: 'list', items: shareWords.staysItems.map((item) => [item]) }],
      },
      {
        id: 'cannot',
        title: shareWords.cannot,
        blocks: [{ kind: 'list', items: shareWords.cannotItems.map((item) => [item]) }],
      },
      {
        id: 'numbers',
        title: shareWords.tables,
        blocks: [
          paragraph([shareWords.howToRead]),
          ...riskTables(summary, cite),
          ...balanceTables(summary, cite),
          ...modelTables(summary, cite),
        ],
      },
    ],
  }
}

function leavesBlocks(summary: SiteSummary, cite: Citations): readonly Block[] {
  const { competingEvents, model, patients } = summary
  return [
    paragraph([shareWords.lead], 'lead'),
    {
      kind: 'list',
      items: [
        phrase`Counts of ${cite.number('restorations', 'count')} restorations by group, stratum and interval of time. Each count is 0 or rests on at least ${cite.number('threshold', 'whole')} patients, also where counts, groups and releases are subtracted from each other.`,
        competingEvents === 'apart'
          ? ['Competing events are counted apart.']
          : ['Too few patients had a competing event: those are counted as censored.'],
        typeof patients === 'number'
          ? phrase`The number of patients: ${cite.number('patients', 'count')}.`
          : [`The number of patients does not leave: ${patients.reason}.`],
        model.state === 'given'
          ? [
              'Sums for the model: score, information, outer products of the scores of patients, and the rate ratio of this site.',
            ]
          : [`Nothing for the model: ${model.reason}.`],
      ],
    },
  ]
}

function riskTables(summary: SiteSummary, cite: Citations): readonly Block[] {
  return summary.blocks.flatMap((block, b): readonly Block[] => {
    if (block.intervalEndsDays.length === 0) {
      return [paragraph([shareWords.nobodyIn, foreign(block.levels.join(', ')), '.'])]
    }
    return block.groups.map((table, g): Table => {
      const at = `blocks.${b}.groups.${g}`
      const cell = (name: string, i: number): Cell => numberCell(cite, `${at}.${name}.${i}`, 'count')
      return {
        kind: 'table',
        id: `table-risk-${b}-${g}`,
        caption: `${table.group}: ${block.levels.join(', ')}`,
        columns: [
          textColumn('interval ends on day'),
          ...['at risk', 'endpoint', 'competing', 'censored', 'entered', 'days at risk'].map(numberColumn),
        ],
        rows: block.intervalEndsDays.map((_end, i) => [
          numberCell(cite, `blocks.${b}.intervalEndsDays.${i}`, 'count'),
          ...['atRisk', 'endpoint', 'competing', 'censored', 'entered', 'timeAtRiskDays'].map((name) =>
            cell(name, i),
          ),
        ]),
        notes: [],
      }
    })
  })
}

function balanceTables(summary: SiteSummary, cite: Citations): readonly Block[] {
  const groups = summary.blocks[0]!.groups.map(({ group }) => group)
  return summary.balance.map((field, f): Block => {
    if (!('levels' in field)) return paragraph([`${field.field} does not leave: ${field.reason}.`])
    return {
      kind: 'table',
      id: `table-balance-${f}`,
      caption: `Restorations by ${field.field}`,
      columns: [textColumn('level'), ...groups.map(numberColumn)],
      rows: field.levels.map((level, l) => [
        foreignCell(level.levels.join(', ')),
        ...level.restorations.map((_count, g) =>
          numberCell(cite, `balance.${f}.levels.${l}.restorations.${g}`, 'count'),
        ),
      ]),
      notes: [],
    }
  })
}

function modelTables(summary: SiteSummary, cite: Citations): readonly Block[] {
  const { model } = summary
  if (model.state === 'withheld') return []
  const rows = model.names.map((name, j) => [
    foreignCell(name),
    numberCell(cite, `model.atStart.score.${j}`, 'correlation'),
    numberCell(cite, `model.atStart.information.${j}.${j}`, 'correlation'),
    numberCell(cite, `model.outerProductsAtStart.${j}.${j}`, 'correlation'),
  ])
  return [
    {
      kind: 'table',
      id: 'table-model',
      caption:
        'Sums for the model; the file holds them with all digits, and products between coefficients too',
      columns: [textColumn('coefficient'), ...['score', 'information', 'outer products'].map(numberColumn)],
      rows,
      notes: [
        ...(model.own === null
          ? []
          : [
              [
                'Log rate ratio of this site ',
                cite.number('model.own.logRateRatio', 'correlation'),
                ', its variance ',
                cite.number('model.own.robustVariance', 'correlation'),
                ', and without regard to patients ',
                cite.number('model.own.modelVariance', 'correlation'),
                '.',
              ],
            ]),
        modelSize(model.intervalEndsDays, cite),
      ],
    },
  ]
}

function modelSize(ends: readonly (readonly number[])[], cite: Citations): Phrase {
  const days = ends.flatMap((block, b) =>
    block.map((_day, i): Phrase => [cite.number(`model.intervalEndsDays.${b}.${i}`, 'count')]),
  )
  const words = shareWords.modelSize
  return [
    words.before,
    cite.number('model.restorations', 'count'),
    words.restorations,
    cite.number('model.events', 'count'),
    words.after,
    ...joinPhrases(days, ', '),
    '.',
  ]
}
