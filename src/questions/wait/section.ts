import { isNumber } from '../../core/estimate.js'
import { listOf, type Message, message, type Words } from '../../messages/message.js'
import type { SectionSetting } from '../question.js'
import {
  type Block,
  emptyEstimate,
  estimateCell,
  estimateColumn,
  fewMark,
  figure,
  numberCell,
  numberColumn,
  paragraph,
  sentences,
  type Table,
  table,
  textColumn,
  warningNotes,
  wordCell,
} from '../words/blocks.js'
import { count, limits, number, type Path, quantity } from '../words/place.js'
import type { WaitPlace, WaitResult } from './answer.js'
import { waitChart } from './chart.js'

/** How long to wait before tightening again. */
export function waitBlocks(
  result: WaitResult,
  at: Path<WaitResult>,
  setting: SectionSetting,
): readonly Block[] {
  const { curve, events, leastEvents } = result
  return [
    paragraph(mainSentence(result, at, setting), 'lead'),
    paragraph(basis(result, at)),
    groupsTable(result, at, setting),
    ...(curve === undefined || events < leastEvents
      ? []
      : [
          figure('wait', message('wait.curve'), (options) => waitChart(result, options), {
            onRequest: true,
          }),
        ]),
  ]
}

/** What the data say of the wait, or that they cannot. */
export function mainSentence(
  { events, leastEvents, curve }: WaitResult,
  at: Path<WaitResult>,
  { definition }: SectionSetting,
): Words {
  const one = message(`endpoint.one.${definition.endpoint}`)
  const base = message('wait.base', {
    restorations: count(at.restorations),
    patients: count(at.patients),
  })
  if (events === 0) return message('wait.no-event', { base, one })
  if (events < leastEvents) return message('wait.few-events', { base, one, events: count(at.events) })
  const had = message('wait.had', { base, one, events: count(at.events) })
  if (curve === undefined) return had
  const apart = curve.points.some(
    ({ interval }) =>
      (isNumber(interval.lower) && interval.lower > 1) || (isNumber(interval.upper) && interval.upper < 1),
  )
  return sentences(
    had,
    message('wait.ratios', {
      reference: number(at.curve.referenceMinutes, 'minutes'),
      ratios: listOf([ratioAt(at, 0), ratioAt(at, curve.points.length - 1)]),
    }),
    apart
      ? message('wait.apart')
      : message('wait.open', { many: message(`endpoint.many.${definition.endpoint}`) }),
  )
}

function ratioAt(at: Path<WaitResult>, index: number): Message {
  const point = at.curve.points[index]!
  return message('wait.ratio-at', {
    ratio: quantity(point.hazardRatio, 'ratio'),
    minutes: number(point.minutes, 'minutes'),
    ...limits(point, at.level, 'ratio'),
  })
}

/** What the ratios allow for, and what they leave out. */
export function basis(result: WaitResult, at: Path<WaitResult>): Words {
  const { stratifiedBy, waitUnknown, severalTightenings, curveReason } = result
  return sentences(
    message('wait.basis', {
      strata: stratifiedBy.length === 0 ? 'none' : 'other',
      names: listOf(
        stratifiedBy.map((name) =>
          message(name === 'clinic' ? 'wait.stratum.clinic' : 'wait.stratum.operator'),
        ),
      ),
    }),
    waitUnknown === 0 ? undefined : message('wait.unknown', { restorations: count(at.waitUnknown) }),
    severalTightenings === 0
      ? undefined
      : message('wait.several', { restorations: count(at.severalTightenings) }),
    curveReason === undefined ? undefined : message(`wait.reason.${curveReason}`),
  )
}

function placeTitle(place: WaitPlace, { windowMinutes }: WaitResult): Message {
  const { from, to } = { from: String(windowMinutes.from), to: String(windowMinutes.to) }
  if (place === 'inside') return message('wait.place.inside', { from, to })
  return place === 'before' ? message('wait.place.before', { from }) : message('wait.place.after', { to })
}

/** Rates, risks and hazard ratios before, inside and after the window. */
export function groupsTable(result: WaitResult, at: Path<WaitResult>, { settings }: SectionSetting): Table {
  const { groups } = result
  const horizons = groups[0]!.incidence.horizons
  return table('wait', message('wait.groups'), {
    columns: [
      textColumn(message('wait.minutes')),
      numberColumn(message('table.restorations')),
      numberColumn(message('table.events')),
      estimateColumn(message('table.rate'), 'rate'),
      ...horizons.map(({ years }) => estimateColumn(message('label.years', { years }), 'percent')),
      estimateColumn(message('wait.ratio'), 'ratio'),
    ],
    rows: groups.map(({ place, incidence, hazardRatio }, index) => {
      const own = at.groups[index]!
      return [
        wordCell(placeTitle(place, result)),
        numberCell(own.incidence.restorations),
        numberCell(own.incidence.events),
        estimateCell(own.incidence.ratePer100Years, 'rate'),
        ...incidence.horizons.map(({ thin }, horizon) =>
          estimateCell(own.incidence.horizons[horizon]!.risk, 'percent', thin ? fewMark : ''),
        ),
        hazardRatio === undefined ? emptyEstimate : estimateCell(own.hazardRatio, 'ratio'),
      ]
    }),
    notes: [
      ...(groups.some(({ incidence }) => incidence.horizons.some(({ thin }) => thin))
        ? [message('table.few-at-risk', { least: settings.leastAtRisk })]
        : []),
      ...warningNotes(
        groups.flatMap(({ place, hazardRatio }, index) =>
          hazardRatio === undefined
            ? []
            : [{ group: placeTitle(place, result), warnings: at.groups[index]!.hazardRatio.warnings }],
        ),
      ),
    ],
  })
}
