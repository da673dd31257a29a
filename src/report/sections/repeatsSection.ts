import { repeatsChart } from '../../charts/repeatsChart.js'
import { yearsInWords } from '../../charts/words.js'
import { captionedTable } from '../captioned.js'
import { estimateCell, estimateColumn, foreignCell, numberCell, numberColumn, textColumn } from '../cells.js'
import { type Block, type Column, paragraph, type Section, type Table } from '../document.js'
import { groupTitle, labels, repeatsBasis, repeatsLabels, repeatsSentence, thinMark } from '../wording.js'
import { captionedFigure, figuresOnRequest, groupPaths, type SectionContext } from './context.js'
import { mainGroups } from './retentionSection.js'

/** Counting every time; empty where the endpoint cannot repeat or the records do not tell. */
export function repeatsSection(context: SectionContext): Section {
  const { audit, cite } = context
  const { repeats } = audit
  const frame = { id: 'repeats', title: repeatsLabels.section }
  if (repeats === undefined) return { ...frame, blocks: [] }
  const blocks: Block[] = [paragraph(repeatsSentence(audit, cite), 'lead')]
  if (repeats.overall.events > 0) {
    blocks.push(
      paragraph([repeatsBasis]),
      countsTable(context),
      meansTable(context, 'whileInPlace'),
      meansTable(context, 'terminalCounted'),
      againTable(context),
      ...figuresOnRequest(context, () => [
        captionedFigure('repeats', repeatsLabels.chart, context, (options) =>
          repeatsChart(repeats, { ...options, groups: mainGroups(audit) }),
        ),
      ]),
    )
  }
  return { ...frame, blocks }
}

function countsTable({ audit, cite }: SectionContext): Table {
  const { columns } = labels
  return captionedTable('repeats', repeatsLabels.counts, {
    columns: [
      textColumn(columns.group),
      numberColumn(columns.restorations),
      numberColumn(columns.events),
      numberColumn(repeatsLabels.withOne),
      numberColumn(repeatsLabels.withTwo),
      numberColumn(repeatsLabels.most),
    ],
    rows: groupPaths(audit.repeats!, 'repeats').map(({ group, path }) => [
      foreignCell(groupTitle(group, audit.definition)),
      ...(['restorations', 'events', 'withOne', 'withTwo', 'mostOfOne'] as const).map((field) =>
        numberCell(cite, `${path}.${field}`, 'count'),
      ),
    ]),
  })
}

const meanTables = {
  whileInPlace: { id: 'repeats-in-place', caption: repeatsLabels.means },
  terminalCounted: { id: 'repeats-terminal', caption: repeatsLabels.terminal },
} as const

function meansTable({ audit, cite }: SectionContext, kind: keyof typeof meanTables): Table {
  const repeats = audit.repeats!
  const all = [repeats.overall, ...repeats.byGroup]
  const { id, caption } = meanTables[kind]
  return captionedTable(id, caption, {
    columns: [textColumn(labels.columns.group), ...horizonColumns(repeats.overall.horizons, 'per-hundred')],
    rows: groupPaths(repeats, 'repeats').map(({ group, path }, row) => [
      foreignCell(groupTitle(group, audit.definition)),
      ...all[row]!.horizons.map(({ thin }, index) =>
        estimateCell(cite, `${path}.horizons.${index}.${kind}`, 'per-hundred', thin ? ' †' : ''),
      ),
    ]),
    notes: all.some(({ horizons }) => horizons.some(({ thin }) => thin)) ? [thinMark(cite)] : [],
  })
}

function horizonColumns(
  horizons: readonly { readonly years: number }[],
  format: 'per-hundred' | 'percent',
): readonly Column[] {
  return horizons.map(({ years }) => estimateColumn(yearsInWords(years), format))
}

/** Groups without a first event have nothing that could come again, and no row. */
function againTable({ audit, cite }: SectionContext): Table {
  const repeats = audit.repeats!
  const all = [repeats.overall, ...repeats.byGroup]
  const rows = groupPaths(repeats, 'repeats')
    .map((one, row) => ({ ...one, again: all[row]!.again }))
    .filter(({ again }) => again.length > 0)
  return captionedTable('repeats-again', repeatsLabels.again, {
    columns: [
      textColumn(labels.columns.group),
      numberColumn(repeatsLabels.withOne),
      ...horizonColumns(repeats.overall.again, 'percent'),
    ],
    rows: rows.map(({ group, path, again }) => [
      foreignCell(groupTitle(group, audit.definition)),
      numberCell(cite, `${path}.withOne`, 'count'),
      ...again.map(({ thin }, index) =>
        estimateCell(cite, `${path}.again.${index}.risk`, 'percent', thin ? ' †' : ''),
      ),
    ]),
    notes: rows.some(({ again }) => again.some(({ thin }) => thin)) ? [thinMark(cite)] : [],
  })
}
