import { incidenceChart } from '../../charts/incidenceChart.js'
import {
  estimateCell,
  estimateColumn,
  foreignCell,
  numberCell,
  numberColumn,
  textColumn,
  wordCell,
} from '../cells.js'
import type { Citations } from '../citation.js'
import { type Column, type Figure, paragraph, type Section, type Table } from '../document.js'
import {
  endpointOf,
  groupTitle,
  horizonsSentence,
  labelsOf,
  rateSentence,
  thinMark,
  yearsInWords,
} from '../wording.js'
import { figure, groupPaths, type SectionContext, table } from './context.js'
import { questionBlocks } from './questionSection.js'
import { mainGroups } from './retentionSection.js'
import { onlySeenNotes, warningNotes } from './warningNotes.js'

/** How often: events, rate and cumulative incidence by group, with the figure. */
export function incidenceSection(context: SectionContext): Section {
  const { audit, cite } = context
  return {
    id: 'incidence',
    title: labelsOf(cite.by).sections.incidence,
    blocks: [
      paragraph([...horizonsSentence(audit, cite), ' ', ...rateSentence(audit, cite)]),
      ...(audit.incidence.overall.events === 0 ? [] : [incidenceFigure(context)]),
      risksTable(context),
      placementTable(context),
      ...questionBlocks(['betweenLooks'], context),
      eventsTable(context),
      followedTable(context),
    ],
  }
}

/** Curves of the two groups compared; a curve that never leaves zero is not drawn. */
function incidenceFigure(context: SectionContext): Figure {
  const { audit, cite } = context
  return figure('incidence', context, (options) =>
    incidenceChart(audit.retention, {
      ...options,
      groups: mainGroups(audit),
      endpoint: endpointOf(audit, cite.by).name,
    }),
  )
}

/** The risk with each event placed in every way between its last clean look and its finding. */
function placementTable({ audit, cite }: SectionContext): Table {
  const { columns } = labelsOf(cite.by)
  const { horizons } = audit.incidence.overall
  return table(
    'placement',
    { cite },
    {
      columns: [
        textColumn(columns.years),
        estimateColumn(cite, columns.afterLastLook, 'percent'),
        estimateColumn(cite, columns.midpoint, 'percent'),
        estimateColumn(cite, columns.found, 'percent'),
      ],
      rows: horizons.map(({ years }, index) => {
        const at = `incidence.overall.horizons.${index}`
        return [
          wordCell(yearsInWords(years, cite)),
          estimateCell(cite, `${at}.betweenLooks.afterLastLook`, 'percent'),
          estimateCell(cite, `${at}.risk`, 'percent'),
          estimateCell(cite, `${at}.betweenLooks.found`, 'percent'),
        ]
      }),
    },
  )
}

/** Who was followed, and for how long. */
function followedTable({ audit, cite }: SectionContext): Table {
  const { columns } = labelsOf(cite.by)
  const groups = groupPaths(audit.incidence, 'incidence')
  return table(
    'followed',
    { cite },
    {
      columns: [
        textColumn(columns.group),
        numberColumn(columns.restorations),
        numberColumn(columns.patients),
        numberColumn(columns.restorationYears),
        estimateColumn(cite, columns.followUp, 'years'),
      ],
      rows: groups.map(({ group, path }) => [
        foreignCell(groupTitle(group, audit, cite)),
        numberCell(cite, `${path}.restorations`, 'count'),
        numberCell(cite, `${path}.patients`, 'count'),
        numberCell(cite, `${path}.restorationYears`, 'restoration-years'),
        estimateCell(cite, `${path}.medianFollowUpYears`, 'years'),
      ]),
      notes: warningNotes({ audit, cite }, warningsOf(cite, groups, ['medianFollowUpYears'])),
    },
  )
}

/** What happened, as a share and as a rate. */
function eventsTable({ audit, cite }: SectionContext): Table {
  const { columns } = labelsOf(cite.by)
  const groups = groupPaths(audit.incidence, 'incidence')
  return table(
    'events',
    { cite },
    {
      columns: [
        textColumn(columns.group),
        numberColumn(columns.events),
        numberColumn(columns.competing),
        estimateColumn(cite, columns.share, 'percent'),
        estimateColumn(cite, columns.rate, 'rate'),
      ],
      rows: groups.map(({ group, path }) => [
        foreignCell(groupTitle(group, audit, cite)),
        numberCell(cite, `${path}.events`, 'count'),
        numberCell(cite, `${path}.competingEvents`, 'count'),
        estimateCell(cite, `${path}.proportion`, 'percent'),
        estimateCell(cite, `${path}.ratePer100Years`, 'rate'),
      ]),
      notes: warningNotes({ audit, cite }, warningsOf(cite, groups, ['proportion', 'ratePer100Years'])),
    },
  )
}

function atRiskColumn(years: number, cite: Citations): Column {
  const title = labelsOf(cite.by).columns.atRisk
  const longTitle = cite.text('evidence.at-risk-at', { column: title, years: yearsInWords(years, cite) })
  return { title, longTitle, align: 'end', csvTitles: [longTitle] }
}

function warningsOf(cite: Citations, groups: ReturnType<typeof groupPaths>, quantities: readonly string[]) {
  return groups.flatMap(({ group, path }) =>
    quantities.map((quantity) => ({ group, warnings: cite.estimate(`${path}.${quantity}`).warnings })),
  )
}

function risksTable({ audit, cite }: SectionContext): Table {
  const { columns } = labelsOf(cite.by)
  const groups = groupPaths(audit.incidence, 'incidence')
  const horizons = audit.incidence.overall.horizons
  const all = [audit.incidence.overall, ...audit.incidence.byGroup]
  const anyThin = all.some((group) => group.horizons.some((horizon) => horizon.thin))
  const sources = all.flatMap((group) =>
    group.horizons.map((horizon) => ({ group: group.group, warnings: horizon.risk.warnings })),
  )
  return table(
    'risks',
    { cite },
    {
      columns: [
        textColumn(columns.group),
        ...horizons.flatMap(({ years }) => [
          estimateColumn(cite, yearsInWords(years, cite), 'percent'),
          atRiskColumn(years, cite),
        ]),
      ],
      rows: groups.map(({ group, path }, row) => [
        foreignCell(groupTitle(group, audit, cite)),
        ...horizons.flatMap((_, index) => {
          const at = `${path}.horizons.${index}`
          const mark = all[row]!.horizons[index]!.thin ? ' †' : ''
          return [
            estimateCell(cite, `${at}.risk`, 'percent', mark),
            numberCell(cite, `${at}.atRisk`, 'count'),
          ]
        }),
      ]),
      notes: [
        ...onlySeenNotes({ audit, cite }),
        ...(anyThin ? [thinMark(cite)] : []),
        ...warningNotes({ audit, cite }, sources),
      ],
    },
  )
}
