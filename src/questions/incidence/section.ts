import { message, type Words } from '../../messages/message.js'
import { betweenLooksTable } from '../betweenLooks/section.js'
import { placesIn, type SectionSetting } from '../question.js'
import { mainGroups } from '../retention/section.js'
import {
  type Block,
  type Column,
  estimateCell,
  estimateColumn,
  fewMark,
  figure,
  numberCell,
  numberColumn,
  paragraph,
  type Table,
  table,
  textColumn,
  warningNotes,
  wordCell,
  yearsTitle,
} from '../words/blocks.js'
import { groupsTable, groupTitle, type PlacedGroup } from '../words/groups.js'
import type { Path } from '../words/place.js'
import type { GroupIncidence, IncidenceResult } from './answer.js'
import { incidenceChart } from './chart.js'
import { horizonsSentence, rateSentence, riskNotes } from './words.js'

/** How often: events, rate and cumulative incidence by group, with the figure. */
export function incidenceBlocks(
  result: IncidenceResult,
  at: Path<IncidenceResult>,
  setting: SectionSetting,
): readonly Block[] {
  const { retention, betweenLooks } = setting.answers
  return [
    paragraph([...horizonsSentence(result, at, setting), ' ', rateSentence(result, at, setting)]),
    // A curve that never leaves zero is not drawn.
    ...(retention === undefined || result.overall.events === 0
      ? []
      : [
          figure('incidence', message('caption.figure.incidence'), (options) =>
            incidenceChart(retention, {
              ...options,
              groups: mainGroups(setting.answers),
              window: setting.definition.waitWindowMinutes,
            }),
          ),
        ]),
    risksTable(result, at, setting),
    placementTable(result, at),
    ...(betweenLooks === undefined
      ? []
      : [betweenLooksTable(betweenLooks, placesIn({ betweenLooks }).betweenLooks)]),
    eventsTable(result, at, setting),
    followedTable(result, at, setting),
  ]
}

/** The risk with each event placed in every way between its last clean look and its finding. */
function placementTable({ overall }: IncidenceResult, at: Path<IncidenceResult>): Table {
  return table('placement', message('caption.table.placement'), {
    columns: [
      textColumn(message('label.column.years')),
      estimateColumn(message('label.column.afterLastLook'), 'percent'),
      estimateColumn(message('label.column.midpoint'), 'percent'),
      estimateColumn(message('label.column.found'), 'percent'),
    ],
    rows: overall.horizons.map(({ years }, index) => {
      const { risk, betweenLooks } = at.overall.horizons[index]!
      return [
        wordCell(yearsTitle(years)),
        estimateCell(betweenLooks.afterLastLook, 'percent'),
        estimateCell(risk, 'percent'),
        estimateCell(betweenLooks.found, 'percent'),
      ]
    }),
  })
}

/** Who was followed, and for how long. */
function followedTable(result: IncidenceResult, at: Path<IncidenceResult>, setting: SectionSetting): Table {
  return groupsTable<GroupIncidence>('followed', result, at, setting, {
    columns: [
      numberColumn(message('label.column.restorations')),
      numberColumn(message('label.column.patients')),
      numberColumn(message('label.column.restorationYears')),
      estimateColumn(message('label.column.followUp'), 'years', true),
    ],
    cells: ({ place }) => [
      numberCell(place.restorations),
      numberCell(place.patients),
      numberCell(place.restorationYears, 'restoration-years'),
      estimateCell(place.medianFollowUpYears, 'years'),
    ],
    notes: (groups) => warningsOf(groups, ['medianFollowUpYears'], setting),
  })
}

/** What happened, as a share and as a rate. */
function eventsTable(result: IncidenceResult, at: Path<IncidenceResult>, setting: SectionSetting): Table {
  return groupsTable<GroupIncidence>('events', result, at, setting, {
    columns: [
      numberColumn(message('label.column.events')),
      numberColumn(message('label.column.competing')),
      estimateColumn(message('label.column.share'), 'percent'),
      estimateColumn(message('label.column.rate'), 'rate'),
    ],
    cells: ({ place }) => [
      numberCell(place.events),
      numberCell(place.competingEvents),
      estimateCell(place.proportion, 'percent'),
      estimateCell(place.ratePer100Years, 'rate'),
    ],
    notes: (groups) => warningsOf(groups, ['proportion', 'ratePer100Years'], setting),
  })
}

function warningsOf(
  groups: readonly PlacedGroup<GroupIncidence>[],
  quantities: readonly ('medianFollowUpYears' | 'proportion' | 'ratePer100Years')[],
  { definition }: SectionSetting,
): readonly Words[] {
  return warningNotes(
    groups.flatMap(({ one, place }) =>
      quantities.map((quantity) => ({
        group: groupTitle(one.group, definition),
        warnings: place[quantity].warnings,
      })),
    ),
  )
}

function atRiskColumn(years: number): Column {
  const column = message('label.column.atRisk')
  const longTitle = message('evidence.at-risk-at', { column, years: yearsTitle(years) })
  return { title: column, longTitle, align: 'end', csvTitles: [longTitle] }
}

function risksTable(result: IncidenceResult, at: Path<IncidenceResult>, setting: SectionSetting): Table {
  const { horizons } = result.overall
  return groupsTable<GroupIncidence>('risks', result, at, setting, {
    columns: horizons.flatMap(({ years }) => [
      estimateColumn(yearsTitle(years), 'percent'),
      atRiskColumn(years),
    ]),
    cells: ({ one, place }) =>
      horizons.flatMap((_, index) => {
        const { risk, atRisk } = place.horizons[index]!
        return [estimateCell(risk, 'percent', one.horizons[index]!.thin ? fewMark : ''), numberCell(atRisk)]
      }),
    notes: (groups) =>
      riskNotes(
        groups.map(({ one, place }) => ({
          one,
          warnings: one.horizons.map((_, index) => place.horizons[index]!.risk.warnings),
        })),
        setting,
      ),
  })
}
