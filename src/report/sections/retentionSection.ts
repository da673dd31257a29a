import type { AuditResult } from '../../analysis/audit.js'
import { retentionChart } from '../../charts/retentionChart.js'
import { estimateCell, estimateColumn, foreignCell, numberCell, textColumn } from '../cells.js'
import type { Citations } from '../citation.js'
import { type Block, type Cell, type Column, paragraph, type Section, type Table } from '../document.js'
import { groupTitle, labelsOf, retentionSentence, thinMark, yearsInWords } from '../wording.js'
import { figure, groupPaths, type SectionContext, table } from './context.js'
import { questionBlocks } from './questionSection.js'
import { onlySeenNotes, warningNotes } from './warningNotes.js'

/** How long restorations stay free of the event: curves, shares at the horizons, numbers at risk. */
export function retentionSection(context: SectionContext): Section {
  const { audit, cite } = context
  const others = otherGroups(audit)
  // A curve that never leaves 100 % says what the sentence says.
  const seen = audit.incidence.overall.events > 0
  const blocks: Block[] = [
    paragraph(retentionSentence(audit, cite)),
    ...(seen
      ? [
          figure('retention', context, (options) =>
            retentionChart(audit.retention, { ...options, groups: mainGroups(audit) }),
          ),
        ]
      : []),
    retentionTable(context),
  ]
  if (others.length > 0 && seen) {
    blocks.push(
      figure('retention-other', context, (options) =>
        retentionChart(audit.retention, { ...options, groups: others }),
      ),
    )
  }
  blocks.push(atRiskTable(context), ...questionBlocks(['lifeTable'], context))
  return { id: 'retention', title: labelsOf(cite.by).sections.retention, blocks }
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
  return table(
    'retention',
    { cite },
    {
      columns: [
        textColumn(labelsOf(cite.by).columns.group),
        ...horizons.map(({ years }) => estimateColumn(cite, yearsInWords(years, cite), 'percent')),
      ],
      rows: groupPaths(audit.retention, 'retention').map(({ group, path }, row) => [
        foreignCell(groupTitle(group, audit, cite)),
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
        ...onlySeenNotes({ audit, cite }),
        ...(anyThin ? [thinMark(cite)] : []),
        ...warningNotes(
          { audit, cite },
          all.flatMap((group) =>
            group.horizons.map(({ retention }) => ({ group: group.group, warnings: retention.warnings })),
          ),
        ),
      ],
    },
  )
}

function atRiskTable({ audit, cite }: SectionContext): Table {
  const { tickYears } = audit.retention
  const { columns } = labelsOf(cite.by)
  return table(
    'at-risk',
    { cite },
    {
      columns: [
        textColumn(columns.group),
        ...tickYears.map((years): Column => {
          const title = yearsInWords(years, cite)
          const csvTitles = [columns.atRisk, columns.events].map((column) =>
            cite.text('evidence.at-risk-at', { column, years: title }),
          )
          return { title, longTitle: csvTitles[0]!, align: 'end', csvTitles }
        }),
      ],
      rows: groupPaths(audit.retention, 'retention').map(({ group, path }) => [
        foreignCell(groupTitle(group, audit, cite)),
        ...tickYears.map((_, index) => atRiskCell(cite, path, index)),
      ]),
      notes: [cite.say('evidence.at-risk-note')],
    },
  )
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
