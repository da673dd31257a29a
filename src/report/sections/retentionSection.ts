import type { AuditResult } from '../../analysis/audit.js'
import { retentionChart } from '../../charts/retentionChart.js'
import { yearsInWords } from '../../charts/words.js'
import { estimateCell, estimateColumn, foreignCell, numberCell, textColumn } from '../cells.js'
import type { Citations } from '../citation.js'
import { type Block, type Cell, type Column, paragraph, type Section, type Table } from '../document.js'
import { atRiskNote, groupTitle, labels, retentionSentence, thinMark } from '../wording.js'
import { figure, groupPaths, type SectionContext, table } from './context.js'
import { questionBlocks } from './questionSection.js'
import { onlySeenNotes, warningNotes } from './warningNotes.js'

/** How long restorations stay free of the event: curves, shares at the horizons, numbers at risk. */
export function retentionSection(context: SectionContext): Section {
  const { audit, cite } = context
  const others = otherGroups(audit)
  const blocks: Block[] = [
    paragraph(retentionSentence(audit, cite)),
    figure('retention', context, (options) =>
      retentionChart(audit.retention, { ...options, groups: mainGroups(audit) }),
    ),
    retentionTable(context),
  ]
  if (others.length > 0) {
    blocks.push(
      figure('retention-other', context, (options) =>
        retentionChart(audit.retention, { ...options, groups: others }),
      ),
    )
  }
  blocks.push(atRiskTable(context), ...questionBlocks(['lifeTable'], audit))
  return { id: 'retention', title: labels.sections.retention, blocks }
}

/** The two groups that are compared where there are both, else everything together. */
export function mainGroups(audit: AuditResult): readonly string[] {
  const { comparison } = audit
  return comparison === undefined ? ['all'] : [comparison.against, comparison.group]
}

function otherGroups(audit: AuditResult): readonly string[] {
  const shown = mainGroups(audit)
  const rest = audit.retention.byGroup.map(({ group }) => group).filter((group) => !shown.includes(group))
  return audit.retention.byGroup.length < 2 ? [] : rest
}

function retentionTable({ audit, cite }: SectionContext): Table {
  const all = [audit.retention.overall, ...audit.retention.byGroup]
  const horizons = audit.retention.overall.horizons
  const anyThin = all.some((group) => group.horizons.some((horizon) => horizon.thin))
  return table('retention', {
    columns: [
      textColumn(labels.columns.group),
      ...horizons.map(({ years }) => estimateColumn(yearsInWords(years), 'percent')),
    ],
    rows: groupPaths(audit.retention, 'retention').map(({ group, path }, row) => [
      foreignCell(groupTitle(group, audit.definition)),
      ...horizons.map((_, index) =>
        estimateCell(
          cite,
          `${path}.horizons.${index}.retention`,
          'percent',
          all[row]!.horizons[index]!.thin ? ' †' : '',
        ),
      ),
    ]),
    notes: [
      ...onlySeenNotes(audit),
      ...(anyThin ? [thinMark(cite)] : []),
      ...warningNotes(
        audit,
        all.flatMap((group) =>
          group.horizons.map(({ retention }) => ({ group: group.group, warnings: retention.warnings })),
        ),
      ),
    ],
  })
}

function atRiskTable({ audit, cite }: SectionContext): Table {
  const { tickYears } = audit.retention
  const { columns } = labels
  return table('at-risk', {
    columns: [
      textColumn(columns.group),
      ...tickYears.map((years): Column => {
        const title = yearsInWords(years)
        const csvTitles = [`${columns.atRisk}, ${title}`, `${columns.events}, ${title}`]
        return { title, longTitle: csvTitles[0]!, align: 'end', csvTitles }
      }),
    ],
    rows: groupPaths(audit.retention, 'retention').map(({ group, path }) => [
      foreignCell(groupTitle(group, audit.definition)),
      ...tickYears.map((_, index) => atRiskCell(cite, path, index)),
    ]),
    notes: [[atRiskNote]],
  })
}

/** Number at risk, with the events so far under it. */
function atRiskCell(cite: Citations, path: string, tick: number): Cell {
  const atRisk = numberCell(cite, `${path}.atRiskAtTicks.${tick}`, 'count')
  const events = numberCell(cite, `${path}.eventsByTicks.${tick}`, 'count')
  return {
    content: atRisk.content,
    under: ['(', ...events.content, ')'],
    csv: [...atRisk.csv, ...events.csv],
  }
}
