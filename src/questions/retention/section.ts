import { isNumber, type Quantity } from '../../core/estimate.js'
import { message, type Words } from '../../messages/message.js'
import { yearsAt } from '../howOften/section.js'
import { headlineHorizon, intervalInBrackets, onlyThoseSeen, riskNotes } from '../incidence/words.js'
import { lifeTableTable } from '../lifeTable/section.js'
import { type AnsweredBefore, placesIn, type SectionSetting } from '../question.js'
import {
  type Block,
  type Cell,
  type Column,
  estimateCell,
  estimateColumn,
  fewMark,
  figure,
  numberCell,
  paragraph,
  type Table,
  yearsTitle,
} from '../words/blocks.js'
import { groupsTable } from '../words/groups.js'
import { count, number, type Path, type Place } from '../words/place.js'
import type { GroupRetention, RetentionResult } from './answer.js'
import { retentionChart } from './chart.js'

/** How long restorations stay free of the event: curves, shares at the horizons, numbers at risk. */
export function retentionBlocks(
  result: RetentionResult,
  at: Path<RetentionResult>,
  setting: SectionSetting,
): readonly Block[] {
  const { lifeTable } = setting.answers
  const main = mainGroups(setting.answers)
  const rest = result.byGroup.map(({ group }) => group).filter((group) => !main.includes(group))
  const drawn = (id: 'retention' | 'retention-other', groups: readonly string[]) =>
    figure(id, message(`caption.figure.${id}`), (options) =>
      retentionChart(result, { ...options, groups, window: setting.definition.waitWindowMinutes }),
    )
  // A curve that never leaves 100 % says what the sentence says.
  const seen = result.overall.events > 0
  return [
    paragraph(retentionSentence(result, at, setting)),
    ...(seen ? [drawn('retention', main)] : []),
    retentionTable(result, at, setting),
    ...(seen && rest.length > 0 && result.byGroup.length > 1 ? [drawn('retention-other', rest)] : []),
    atRiskTable(result, at, setting),
    ...(lifeTable === undefined
      ? []
      : [lifeTableTable(lifeTable, placesIn({ lifeTable }).lifeTable, setting)]),
  ]
}

/** The two groups that are compared where there are both, else everything together. */
export function mainGroups({ comparison }: AnsweredBefore): readonly string[] {
  return comparison === undefined ? ['all'] : [comparison.against, comparison.group]
}

/** The main sentence on how long: the share free of the event at the leading horizon. */
export function retentionSentence(
  result: RetentionResult,
  at: Path<RetentionResult>,
  setting: SectionSetting,
): Words {
  const { incidence, howOften } = setting.answers
  const withheld = onlyThoseSeen(setting)
  if (withheld !== undefined) return withheld
  const index = incidence === undefined ? -1 : headlineHorizon(incidence, howOften)
  const horizon = result.overall.horizons[index]
  const name = message(`endpoint.name.${setting.definition.endpoint}`)
  if (horizon === undefined) return message('evidence.curve-of-those-free', { name })
  const place = at.overall.horizons[index]!
  const years = yearsAt(place.years)
  if (!isNumber(horizon.retention.estimate)) return message('evidence.free-not-estimable', { name, years })
  return message('evidence.free', {
    share: number(place.retention.estimate as Place<Quantity>, 'percent'),
    name,
    years,
    interval: intervalInBrackets(place.retention, 'percent', setting),
  })
}

function retentionTable(result: RetentionResult, at: Path<RetentionResult>, setting: SectionSetting): Table {
  const { horizons } = result.overall
  return groupsTable<GroupRetention>('retention', result, at, setting, {
    columns: horizons.map(({ years }) => estimateColumn(yearsTitle(years), 'percent')),
    cells: ({ one, place }) =>
      horizons.map((_, index) =>
        estimateCell(place.horizons[index]!.retention, 'percent', one.horizons[index]!.thin ? fewMark : ''),
      ),
    notes: (groups) =>
      riskNotes(
        groups.map(({ one, place }) => ({
          one,
          warnings: one.horizons.map((_, index) => place.horizons[index]!.retention.warnings),
        })),
        setting,
      ),
  })
}

function atRiskTable(result: RetentionResult, at: Path<RetentionResult>, setting: SectionSetting): Table {
  const { tickYears } = result
  const headed = (column: 'atRisk' | 'events', years: number) =>
    message('evidence.at-risk-at', { column: message(`label.column.${column}`), years: yearsTitle(years) })
  return groupsTable<GroupRetention>('at-risk', result, at, setting, {
    columns: tickYears.map(
      (years): Column => ({
        title: yearsTitle(years),
        longTitle: headed('atRisk', years),
        align: 'end',
        csvTitles: [headed('atRisk', years), headed('events', years)],
      }),
    ),
    cells: ({ place }) => tickYears.map((_, index) => atRiskCell(place, index)),
    notes: () => [message('evidence.at-risk-note')],
  })
}

/** Number at risk, with the events so far under it. */
function atRiskCell(place: Path<GroupRetention>, tick: number): Cell {
  const atRisk = numberCell(place.atRiskAtTicks[tick]!)
  const events = numberCell(place.eventsByTicks[tick]!)
  return {
    content: atRisk.content,
    under: ['(', count(place.eventsByTicks[tick]!), ')'],
    csv: [...atRisk.csv, ...events.csv],
  }
}
