import { upperFirst, yearsInWords } from '../../charts/words.js'
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
import { fairLabels, groupTitle, lostWords, wrongItems, wrongOpening } from '../wording.js'
import type { SectionContext } from './context.js'
import { fairTable } from './fairBlocks.js'

/** What could be wrong with the comparison, objection by objection; empty where there is no comparison. */
export function wrongSection(context: SectionContext): Section {
  const { audit, cite } = context
  const { fair } = audit
  const frame = { id: 'wrong', title: fairLabels.wrongSection }
  if (fair === undefined) return { ...frame, blocks: [] }
  const { betweenLooks, competing, lost } = fair.wrong
  const blocks: Block[] = [
    paragraph([wrongOpening]),
    { kind: 'list', items: wrongItems(fair, cite) },
    ...(betweenLooks.risks.length === 0 ? [] : [looksTable(context)]),
    ...(competing.causes.length === 0 ? [] : [competingTable(context)]),
    ...(lost?.scenarios === undefined ? [] : [lostTable(context)]),
  ]
  return { ...frame, blocks }
}

function looksTable({ audit, cite }: SectionContext): Table {
  const { columns } = fairLabels
  return fairTable('fair-looks', {
    columns: [
      textColumn(columns.years),
      textColumn(columns.group),
      numberColumn(columns.byDayFound),
      numberColumn(columns.lowest),
      numberColumn(columns.highest),
      estimateColumn(columns.weibull, 'percent'),
    ],
    rows: audit.fair!.wrong.betweenLooks.risks.map(({ years, group }, index) => {
      const at = `fair.wrong.betweenLooks.risks.${index}`
      return [
        wordCell(yearsInWords(years)),
        foreignCell(groupTitle(group, audit.definition)),
        quantityCell(cite, `${at}.byDayFound`, 'percent'),
        quantityCell(cite, `${at}.bounds.lower`, 'percent'),
        quantityCell(cite, `${at}.bounds.upper`, 'percent'),
        estimateCell(cite, `${at}.weibull`, 'percent'),
      ]
    }),
  })
}

function competingTable({ audit, cite }: SectionContext): Table {
  const { group, against, wrong } = audit.fair!
  return fairTable('fair-competing', {
    columns: [
      textColumn(fairLabels.columns.cause),
      ...[group, against].map((name) => numberColumn(groupTitle(name, audit.definition))),
    ],
    rows: wrong.competing.causes.map(({ cause }, index) => [
      wordCell(upperFirst(cause)),
      numberCell(cite, `fair.wrong.competing.causes.${index}.group`, 'count'),
      numberCell(cite, `fair.wrong.competing.causes.${index}.against`, 'count'),
    ]),
  })
}

function lostTable({ audit, cite }: SectionContext): Table {
  const { columns } = fairLabels
  return fairTable('fair-lost', {
    columns: [
      textColumn(columns.assumption),
      // Scenarios hold their difference under another name than estimates do.
      numberColumn(columns.difference),
      numberColumn(columns.range),
    ],
    rows: audit.fair!.wrong.lost!.scenarios!.map(({ name }, index) => {
      const at = `fair.wrong.lost.scenarios.${index}`
      const interval = cite.interval(at, 'points')
      return [
        wordCell(lostWords[name] ?? name),
        numberCell(cite, `${at}.difference`, 'points'),
        phraseCell(interval, plainText(interval)),
      ]
    }),
  })
}
