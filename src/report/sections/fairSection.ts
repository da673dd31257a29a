import { balancePlot } from '../../charts/balancePlot.js'
import { overlapPlot } from '../../charts/overlapPlot.js'
import { specificationPlot } from '../../charts/specificationPlot.js'
import { upperFirst, yearsInWords } from '../../charts/words.js'
import { isNumber } from '../../core/estimate.js'
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
} from '../cells.js'
import { type Block, paragraph, plainText, type Section, type Table } from '../document.js'
import {
  fairLabels,
  groupTitle,
  leadReasonSentence,
  leadSentence,
  leftOutSentence,
  numberNeededPhrase,
  planSentence,
  questionRows,
  reasonInWords,
} from '../wording.js'
import type { SectionContext } from './context.js'
import { fairFigure, fairTable, variantTable } from './fairBlocks.js'

/** One tightening against two, with everything an honest opponent would ask for; empty where there is no comparison. */
export function fairSection(context: SectionContext): Section {
  const { audit, cite } = context
  const { fair } = audit
  const frame = { id: 'fair', title: fairLabels.section }
  if (fair === undefined) return { ...frame, blocks: [] }
  const reasons = leadReasonSentence(fair)
  const blocks: Block[] = [
    paragraph(leadSentence(audit, cite), 'lead'),
    ...(reasons.length === 0 ? [] : [paragraph(reasons)]),
    { kind: 'heading', text: fairLabels.plan },
    questionTable(context),
    paragraph(planSentence(fair, cite)),
    ...(fair.departures.length === 0 ? [] : [departuresTable(context)]),
    { kind: 'heading', text: fairLabels.whoCompared },
    ...comparedBlocks(context),
    { kind: 'heading', text: fairLabels.everyWay },
    ...variantBlocks(context),
  ]
  return { ...frame, blocks }
}

function questionTable({ audit, cite }: SectionContext): Table {
  const { columns } = fairLabels
  return fairTable('fair-question', {
    columns: [textColumn(columns.part), textColumn(columns.answer)],
    rows: questionRows(audit, audit.fair!, cite).map(({ part, answer }) => [
      wordCell(part),
      phraseCell(answer, plainText(answer)),
    ]),
  })
}

function departuresTable({ audit }: SectionContext): Table {
  const { columns } = fairLabels
  return fairTable('fair-departures', {
    columns: [textColumn(columns.field), textColumn(columns.planned), textColumn(columns.used)],
    rows: audit.fair!.departures.map(({ field, planned, used }) => [
      foreignCell(field),
      foreignCell(planned),
      foreignCell(used),
    ]),
  })
}

function comparedBlocks(context: SectionContext): Block[] {
  const { audit } = context
  const fair = audit.fair!
  const { group, against, who } = fair
  const left = leftOutSentence(fair)
  return [
    attritionTable(context),
    reasonsTable(context),
    fairFigure('fair-overlap', context, (options) => overlapPlot(who.cells, { ...options, group, against })),
    ...(who.balance === undefined
      ? []
      : [
          fairFigure('fair-balance-plot', context, (options) => balancePlot(who.balance!, options)),
          balanceTable(context),
        ]),
    ...(left.length === 0 ? [] : [paragraph(left, 'note')]),
  ]
}

function attritionTable({ audit, cite }: SectionContext): Table {
  const { columns } = fairLabels
  return fairTable('fair-attrition', {
    columns: [
      textColumn(columns.group),
      numberColumn(columns.recorded),
      numberColumn(columns.leftOut),
      numberColumn(columns.included),
    ],
    rows: audit.fair!.who.attrition.map(({ group }, index) => {
      const at = `fair.who.attrition.${index}`
      return [
        foreignCell(groupTitle(group, audit.definition)),
        numberCell(cite, `${at}.restorations`, 'count'),
        numberCell(cite, `${at}.leftOutTotal`, 'count'),
        numberCell(cite, `${at}.included`, 'count'),
      ]
    }),
  })
}

function reasonsTable({ audit, cite }: SectionContext): Table {
  const { group, against, who } = audit.fair!
  return fairTable('fair-reasons', {
    columns: [
      textColumn(fairLabels.columns.reason),
      ...[group, against].map((name) => numberColumn(groupTitle(name, audit.definition))),
    ],
    rows: who.reasons.map(({ reason }, index) => [
      foreignCell(reasonInWords(reason)),
      numberCell(cite, `fair.who.reasons.${index}.group`, 'count'),
      numberCell(cite, `fair.who.reasons.${index}.against`, 'count'),
    ]),
  })
}

function balanceTable({ audit, cite }: SectionContext): Table {
  const { columns } = fairLabels
  return fairTable('fair-balance', {
    columns: [textColumn(columns.trait), numberColumn(columns.before), numberColumn(columns.after)],
    rows: audit.fair!.who.balance!.rows.map(({ words }, index) => {
      const at = `fair.who.balance.rows.${index}`
      return [
        foreignCell(upperFirst(words)),
        quantityCell(cite, `${at}.before.standardisedDifference`, 'correlation'),
        quantityCell(cite, `${at}.after.standardisedDifference`, 'correlation'),
      ]
    }),
  })
}

function variantBlocks(context: SectionContext): Block[] {
  const fair = context.audit.fair!
  const ratios = fair.variants.some(({ scale }) => scale.endsWith('ratio'))
  const tables = (['fair-differences', 'fair-ratios', 'fair-means'] as const).map((id) =>
    variantTable(context, id),
  )
  return [
    fairFigure('fair-specification', context, (options) => specificationPlot(fair, options)),
    ...(ratios
      ? [
          fairFigure('fair-specification-ratios', context, (options) =>
            specificationPlot(fair, { ...options, kind: 'ratio' }),
          ),
        ]
      : []),
    ...tables.filter((one): one is Table => one !== undefined),
    neededTable(context),
  ]
}

function neededTable({ audit, cite }: SectionContext): Table {
  const { columns } = fairLabels
  return fairTable('fair-needed', {
    columns: [
      textColumn(columns.years),
      estimateColumn(columns.difference, 'points'),
      textColumn(columns.numberNeeded),
    ],
    rows: audit.fair!.horizons.map(({ years, numberNeeded, difference }, index) => {
      const phrase =
        numberNeeded === undefined || !isNumber(difference.estimate)
          ? ['–']
          : numberNeededPhrase(cite, `fair.horizons.${index}.numberNeeded`, numberNeeded)
      return [
        wordCell(yearsInWords(years)),
        estimateCell(cite, `fair.horizons.${index}.difference`, 'points'),
        phraseCell(phrase, plainText(phrase)),
      ]
    }),
  })
}
