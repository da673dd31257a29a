import { isNumber, type Quantity } from '../../core/estimate.js'
import { listOf, type Message, message, type Words } from '../../messages/message.js'
import type { FormatName } from '../../messages/numberFormats.js'
import type { SectionSetting } from '../question.js'
import {
  type Block,
  type Column,
  estimateCell,
  estimateColumn,
  fewAtRiskNotes,
  fewMark,
  figure,
  numberCell,
  numberColumn,
  paragraph,
  sentences,
  type Table,
  table,
  textColumn,
  wordCell,
} from '../words/blocks.js'
import { comparedGroups, groupTitle } from '../words/groups.js'
import { count, limits, number, type Path, years } from '../words/place.js'
import type { GroupRepeats, RepeatsResult } from './answer.js'
import { repeatsChart } from './chart.js'

/** Counting every time. */
export function repeatsBlocks(
  result: RepeatsResult,
  at: Path<RepeatsResult>,
  setting: SectionSetting,
): readonly Block[] {
  const main = paragraph(mainSentence(result, at, setting), 'lead')
  if (result.overall.events === 0) return [main]
  const groups = comparedGroups(result.byGroup, setting.settings.plan)
  return [
    main,
    paragraph(message('repeats.basis')),
    countsTable(result, at, setting),
    meansTable(result, at, setting, 'whileInPlace'),
    meansTable(result, at, setting, 'terminalCounted'),
    againTable(result, at, setting),
    figure(
      'repeats',
      message('repeats.chart-caption'),
      (options) => repeatsChart(result, { ...options, groups, window: setting.definition.waitWindowMinutes }),
      { onRequest: true },
    ),
  ]
}

/** The main sentences on repeats. */
export function mainSentence(
  { overall }: RepeatsResult,
  at: Path<RepeatsResult>,
  { definition }: SectionSetting,
): Words {
  const every = message(`endpoint.every.${definition.endpoint}`)
  if (overall.events === 0) return message('repeats.none', { every })
  const counted = message('repeats.counted', {
    every,
    events: count(at.overall.events),
    withOne: count(at.overall.withOne),
    restorations: count(at.overall.restorations),
    withTwo: count(at.overall.withTwo),
    most: count(at.overall.mostOfOne),
  })
  return sentences(counted, meanSentence(overall, at), againSentence(overall, at))
}

function meanSentence({ horizons }: GroupRepeats, at: Path<RepeatsResult>): Message | undefined {
  const index = leadingHorizon(
    horizons.map(({ years: span, whileInPlace, thin }) => ({
      years: span,
      estimate: whileInPlace.estimate,
      thin,
    })),
  )
  if (horizons[index] === undefined || !isNumber(horizons[index].whileInPlace.estimate)) return undefined
  const place = at.overall.horizons[index]!
  return message('repeats.mean', {
    years: years(place.years),
    mean: number(place.whileInPlace.estimate, 'per-hundred'),
    ...limits(place.whileInPlace, at.level, 'per-hundred'),
  })
}

function againSentence({ again }: GroupRepeats, at: Path<RepeatsResult>): Message | undefined {
  const shares = again.flatMap(({ risk }, index) => {
    const place = at.overall.again[index]!
    if (!isNumber(risk.estimate)) return []
    return [
      message('repeats.within', {
        share: number(place.risk.estimate, 'percent'),
        years: years(place.years),
        ...limits(place.risk, at.level, 'percent'),
      }),
    ]
  })
  return shares.length === 0 ? undefined : message('repeats.another', { shares: listOf(shares) })
}

/** Everything together and then each group, with its place. */
function groupsOf(
  { overall, byGroup }: RepeatsResult,
  at: Path<RepeatsResult>,
): readonly { readonly group: GroupRepeats; readonly place: Path<GroupRepeats> }[] {
  return [
    { group: overall, place: at.overall },
    ...byGroup.map((group, index) => ({ group, place: at.byGroup[index]! })),
  ]
}

/** Events, and restorations with one or more, by group. */
export function countsTable(
  result: RepeatsResult,
  at: Path<RepeatsResult>,
  { definition }: SectionSetting,
): Table {
  return table('repeats', message('repeats.counts'), {
    columns: [
      textColumn(message('table.group')),
      numberColumn(message('table.restorations')),
      numberColumn(message('table.events')),
      numberColumn(message('repeats.with-one')),
      numberColumn(message('repeats.with-two')),
      numberColumn(message('repeats.most')),
    ],
    rows: groupsOf(result, at).map(({ group, place }) => [
      wordCell(groupTitle(group.group, definition)),
      numberCell(place.restorations),
      numberCell(place.events),
      numberCell(place.withOne),
      numberCell(place.withTwo),
      numberCell(place.mostOfOne),
    ]),
  })
}

const meanTables = {
  whileInPlace: { id: 'repeats-in-place', caption: message('repeats.means') },
  terminalCounted: { id: 'repeats-terminal', caption: message('repeats.terminal') },
} as const

function meansTable(
  result: RepeatsResult,
  at: Path<RepeatsResult>,
  { definition }: SectionSetting,
  counted: keyof typeof meanTables,
): Table {
  const rows = groupsOf(result, at)
  const { id, caption } = meanTables[counted]
  return table(id, caption, {
    columns: [textColumn(message('table.group')), ...horizonColumns(result.overall.horizons, 'per-hundred')],
    rows: rows.map(({ group, place }) => [
      wordCell(groupTitle(group.group, definition)),
      ...group.horizons.map(({ thin }, index) =>
        estimateCell(place.horizons[index]![counted], 'per-hundred', thin ? fewMark : ''),
      ),
    ]),
    notes: fewAtRiskNotes(
      rows.some(({ group }) => group.horizons.some(({ thin }) => thin)),
      at.leastAtRisk,
    ),
  })
}

function horizonColumns(
  horizons: readonly { readonly years: number }[],
  format: FormatName,
): readonly Column[] {
  return horizons.map((horizon) => estimateColumn(message('label.years', { years: horizon.years }), format))
}

/** Groups without a first event have nothing that could come again, and no row. */
function againTable(result: RepeatsResult, at: Path<RepeatsResult>, { definition }: SectionSetting): Table {
  const rows = groupsOf(result, at).filter(({ group }) => group.again.length > 0)
  return table('repeats-again', message('repeats.again'), {
    columns: [
      textColumn(message('table.group')),
      numberColumn(message('repeats.with-one')),
      ...horizonColumns(result.overall.again, 'percent'),
    ],
    rows: rows.map(({ group, place }) => [
      wordCell(groupTitle(group.group, definition)),
      numberCell(place.withOne),
      ...group.again.map(({ thin }, index) =>
        estimateCell(place.again[index]!.risk, 'percent', thin ? fewMark : ''),
      ),
    ]),
    notes: fewAtRiskNotes(
      rows.some(({ group }) => group.again.some(({ thin }) => thin)),
      at.leastAtRisk,
    ),
  })
}

/** One horizon as far as it matters for which leads. */
export interface HorizonState {
  readonly years: number
  readonly estimate: Quantity
  /** Whether few are at risk then. */
  readonly thin: boolean
}

/**
 * Position of the horizon that leads: 3 years where it can be estimated with enough at risk, else the longest such
 * horizon, else the longest that can be estimated at all, else the last.
 */
function leadingHorizon(horizons: readonly HorizonState[]): number {
  const estimable = horizons
    .map((horizon, index) => ({ ...horizon, index }))
    .filter(({ estimate }) => isNumber(estimate))
  const firm = estimable.filter(({ thin }) => !thin)
  const wished = firm.find(({ years }) => years === 3) ?? firm.at(-1) ?? estimable.at(-1)
  return wished?.index ?? Math.max(0, horizons.length - 1)
}
