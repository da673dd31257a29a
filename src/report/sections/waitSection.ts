import { waitChart } from '../../charts/waitChart.js'
import { yearsInWords } from '../../charts/words.js'
import { captionedTable } from '../captioned.js'
import { estimateCell, estimateColumn, numberCell, numberColumn, textColumn, wordCell } from '../cells.js'
import { type Block, paragraph, type Section, type Table } from '../document.js'
import { labels, thinMark, waitBasis, waitLabels, waitPlaceTitle, waitSentence } from '../wording.js'
import { captionedFigure, figuresOnRequest, type SectionContext } from './context.js'
import { warningNotes } from './warningNotes.js'

/** How long to wait before tightening again; empty where no wait is known. */
export function waitSection(context: SectionContext): Section {
  const { audit, cite } = context
  const { wait } = audit
  const frame = { id: 'wait', title: waitLabels.section }
  if (wait === undefined) return { ...frame, blocks: [] }
  const { curve } = wait
  const blocks: Block[] = [
    paragraph(waitSentence(audit, wait, cite), 'lead'),
    paragraph(waitBasis(wait, cite)),
    groupsTable(context),
    ...(curve === undefined || wait.events < wait.leastEvents
      ? []
      : figuresOnRequest(context, () => [
          captionedFigure('wait', waitLabels.curve, context, (options) => waitChart(wait, options)),
        ])),
  ]
  return { ...frame, blocks }
}

function groupsTable({ audit, cite }: SectionContext): Table {
  const wait = audit.wait!
  const { columns } = labels
  const horizons = wait.groups[0]!.incidence.horizons
  const anyThin = wait.groups.some(({ incidence }) => incidence.horizons.some(({ thin }) => thin))
  return captionedTable('wait', waitLabels.groups, {
    columns: [
      textColumn(waitLabels.wait),
      numberColumn(columns.restorations),
      numberColumn(columns.events),
      estimateColumn(columns.rate, 'rate'),
      ...horizons.map(({ years }) => estimateColumn(yearsInWords(years), 'percent')),
      estimateColumn(waitLabels.ratio, 'ratio'),
    ],
    rows: wait.groups.map(({ place, incidence, hazardRatio }, index) => {
      const at = `wait.groups.${index}`
      return [
        wordCell(waitPlaceTitle(place, wait)),
        numberCell(cite, `${at}.incidence.restorations`, 'count'),
        numberCell(cite, `${at}.incidence.events`, 'count'),
        estimateCell(cite, `${at}.incidence.ratePer100Years`, 'rate'),
        ...incidence.horizons.map(({ thin }, horizon) =>
          estimateCell(cite, `${at}.incidence.horizons.${horizon}.risk`, 'percent', thin ? ' †' : ''),
        ),
        hazardRatio === undefined
          ? { content: ['–'], csv: [{ text: '' }, { text: '' }, { text: '' }] }
          : estimateCell(cite, `${at}.hazardRatio`, 'ratio'),
      ]
    }),
    notes: [
      ...(anyThin ? [thinMark(cite)] : []),
      ...warningNotes(
        audit,
        wait.groups.flatMap(({ place, hazardRatio }) =>
          hazardRatio === undefined
            ? []
            : [{ group: waitPlaceTitle(place, wait), warnings: hazardRatio.warnings }],
        ),
      ),
    ],
  })
}
