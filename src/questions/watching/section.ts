import { isoFromDay } from '../../core/calendar.js'
import { isNumber } from '../../core/estimate.js'
import { listOf, message, type Words } from '../../messages/message.js'
import { fieldName } from '../../messages/names.js'
import { foreign } from '../../messages/phrase.js'
import { warningOf } from '../../messages/speaker.js'
import { type ClinicFunnel, leastClinicsForFunnel } from '../clinicFunnel/answer.js'
import { unitRow } from '../clinicFunnel/section.js'
import type { PartOfPage } from '../question.js'
import {
  type Block,
  emptyCell,
  estimateCell,
  estimateColumn,
  figure,
  foreignCell,
  numberCell,
  numberColumn,
  paragraph,
  type Table,
  table,
  textColumn,
  wordCell,
} from '../words/blocks.js'
import { count, intervalInBrackets, number, type Path } from '../words/place.js'
import type { WatchResult } from './answer.js'
import { cumulativeFigure, driftFigure } from './chart.js'
import type { DeviceState } from './devices.js'
import type { NowBefore } from './nowBefore.js'

/** Cautions beside the answer. */
const cautions: readonly Words[] = [
  message('watch.caution-cause'),
  message('watch.caution-device'),
  message('watch.caution-people'),
]

/** Everything that is said of a practice watched, in the parts of its page. */
export function watchParts(result: WatchResult, at: Path<WatchResult>): readonly PartOfPage[] {
  return [
    {
      id: 'answer',
      title: message('watch.section-now'),
      blocks: nowBlocks(result, at),
      cautions,
      inTerminal: true,
    },
    {
      id: 'devices',
      title: message('watch.section-devices'),
      blocks: deviceBlocks(result, at),
      inTerminal: true,
    },
    { id: 'people', title: message('watch.section-people'), blocks: peopleBlocks(result, at) },
    {
      id: 'not-looked',
      title: message('watch.section-not-looked'),
      blocks: notLookedBlocks(result, at),
      inTerminal: true,
    },
  ]
}

function nowBlocks(result: WatchResult, at: Path<WatchResult>): readonly Block[] {
  const { nowBefore } = result
  if (nowBefore === undefined) return [paragraph(message('watch.no-dates'), 'lead')]
  const place = at.nowBefore
  const { watched, sideBySide, sinceLast } = nowBefore
  return [
    paragraph(mainWords(nowBefore, place), 'lead'),
    ...(watched?.signalDay === undefined
      ? []
      : [paragraph(message('watch.next-signal', { day: day(watched.signalDay) }))]),
    ...lastYearWords(nowBefore, place).map((one) => paragraph(one)),
    ...(watched === undefined ? [] : [paragraph(adjustedWords(watched.adjustedFor), 'note')]),
    ...(watched === undefined
      ? []
      : [figure('watch', message('watch.chart-caption'), (options) => cumulativeFigure(result, options))]),
    ...(sideBySide === undefined ? [] : [sideTable(nowBefore, place)]),
    ...(sinceLast === undefined
      ? []
      : [
          paragraph(
            message('watch.since-last', {
              days: count(place.sinceLast.days),
              usual: count(place.sinceLast.usual),
            }),
            'note',
          ),
        ]),
  ]
}

function day(value: number): string {
  return isoFromDay(Math.round(value))
}

function mainWords({ watched, startDay, lastDay }: NowBefore, at: Path<NowBefore>): Words {
  if (watched === undefined) {
    return message('watch.too-few', {
      events: count(at.baseline.events),
      years: number(at.baseline.years, 'years'),
      start: day(startDay),
    })
  }
  const counted = {
    start: day(startDay),
    end: day(lastDay),
    events: count(at.watched.events),
    expected: number(at.watched.expected, 'years'),
  }
  if (watched.signalDay !== undefined) {
    return message('watch.signal', { ...counted, day: day(watched.signalDay) })
  }
  return message('watch.no-signal', {
    ...counted,
    seen: watched.yearsToSee === undefined ? 'other' : 'some',
    years: watched.yearsToSee === undefined ? '' : number(at.watched.yearsToSee, 'years'),
  })
}

function adjustedWords(keys: readonly string[]): Words {
  return message('watch.adjusted', {
    some: keys.length > 0 ? 'yes' : 'other',
    fields: keys.length > 0 ? listOf(keys.map(fieldName)) : '',
  })
}

function lastYearWords({ lastYear, reading }: NowBefore, at: Path<NowBefore>): readonly Words[] {
  if (lastYear === undefined) return []
  const { ratio, looks } = at.lastYear
  const limits = (of: typeof ratio) => ({
    ratio: number(of.estimate, 'ratio'),
    lower: number(of.lower, 'ratio'),
    upper: number(of.upper, 'ratio'),
  })
  return [
    message('watch.last-year', {
      year: number(at.lastYear.year, 'calendar-year'),
      events: count(at.lastYear.events),
      expected: number(at.lastYear.expected, 'years'),
      level: number(at.level, 'level'),
      ...limits(ratio),
    }),
    reading === 'looks-changed'
      ? message('watch.looks-changed', limits(looks))
      : message('watch.looks-same', limits(looks)),
    ...(reading === 'better' ? [message('watch.better')] : []),
  ]
}

function sideTable({ sideBySide }: NowBefore, at: Path<NowBefore>): Table {
  const { estimate } = sideBySide!.difference
  return table('watch-sides', message('watch.side-table'), {
    columns: [
      textColumn(message('watch.side')),
      numberColumn(message('watch.restorations')),
      numberColumn(message('watch.events-found')),
      estimateColumn(message('watch.found-by'), 'percent'),
    ],
    rows: (['recent', 'earlier'] as const).map((side) => [
      wordCell(message(`watch.side-${side}`)),
      numberCell(at.sideBySide[side].restorations),
      numberCell(at.sideBySide[side].events),
      estimateCell(at.sideBySide[side].share, 'percent'),
    ]),
    notes: isNumber(estimate)
      ? [
          message('watch.side-table-note', {
            difference: number(at.sideBySide.difference.estimate, 'points'),
            limits: intervalInBrackets(at.sideBySide.difference, 'points'),
          }),
        ]
      : [],
  })
}

function deviceBlocks(result: WatchResult, at: Path<WatchResult>): readonly Block[] {
  const { devices } = result
  if (devices.length === 0) return [paragraph(message('watch.devices-none'))]
  const drifting = devices.flatMap((one, i) => (one.state === 'drifting' ? [i] : []))
  const read = devices.some(({ readings }) => readings > 0)
  return [
    ...drifting.map((i) => paragraph(driftWords(result, at, i), 'lead')),
    ...(drifting.length > 0
      ? []
      : [paragraph(read ? message('watch.devices-quiet') : message('watch.devices-unread'))]),
    ...unknownDevices(result).map((one) => paragraph(one)),
    ...(devices.some(({ state }) => state === 'drifting' || state === 'steady')
      ? [devicesTable(result, at)]
      : []),
    ...(devices.some(({ quarters }) => quarters.length > 0)
      ? [
          figure('watch-devices', message('watch.drift-chart-caption'), (options) =>
            driftFigure(result, options),
          ),
        ]
      : []),
  ]
}

function driftWords({ devices }: WatchResult, at: Path<WatchResult>, i: number): Words {
  const { device, change, beyondDay, onsetDay } = devices[i]!
  const place = at.devices[i]!
  return message('watch.device-drifts', {
    device: foreign(device),
    sizeKnown: change === undefined ? 'other' : 'yes',
    change: change === undefined ? '' : number(place.change, 'points'),
    beyond: beyondDay === undefined ? 'other' : 'yes',
    day: beyondDay === undefined ? '' : day(beyondDay),
    restorations: count(place.restorationsBeyond),
    onset: onsetDay === undefined ? '' : day(onsetDay),
  })
}

/** Torque devices that another instrument read: what is known of each. */
export function devicesTable({ devices }: WatchResult, at: Path<WatchResult>): Table {
  return table('watch-devices', message('watch.devices'), {
    columns: [
      textColumn(message('watch.device')),
      textColumn(message('watch.device-state')),
      numberColumn(message('watch.readings')),
      numberColumn(message('watch.copies')),
      numberColumn(message('watch.periods')),
      numberColumn(message('watch.change')),
      numberColumn(message('watch.since-calibration')),
    ],
    rows: devices.flatMap(({ device, state, change, lastCalibrationDays }, i) => {
      if (state !== 'drifting' && state !== 'steady') return []
      const place = at.devices[i]!
      return [
        [
          foreignCell(device),
          wordCell(message(`watch.device-state.${state}`)),
          numberCell(place.readings),
          numberCell(place.copies, 'percent'),
          numberCell(place.periods),
          change === undefined ? emptyCell : numberCell(place.change, 'points'),
          lastCalibrationDays === undefined ? emptyCell : numberCell(place.lastCalibrationDays),
        ],
      ]
    }),
    notes: [message('watch.devices-note')],
  })
}

/** Devices of which nothing can be said of drift, by the reason, in one sentence each. */
function unknownDevices({ devices }: WatchResult): readonly Words[] {
  const named = (state: DeviceState) =>
    devices.filter((one) => one.state === state).map(({ device }) => foreign(device))
  const [own, few, setting] = [named('own-reading'), named('too-few'), named('setting-only')]
  return [
    ...(own.length === 0 ? [] : [message('watch.devices-own', { count: own.length, devices: listOf(own) })]),
    ...(few.length === 0 ? [] : [message('watch.devices-few', { devices: listOf(few) })]),
    ...(setting.length === 0 ? [] : [message('watch.devices-setting', { devices: listOf(setting) })]),
  ]
}

function peopleBlocks(result: WatchResult, at: Path<WatchResult>): readonly Block[] {
  return (['clinics', 'operators'] as const).flatMap((what): readonly Block[] => {
    const funnel = result[what]
    if (funnel === undefined) {
      const key = what === 'clinics' ? 'clinicCount' : 'operatorCount'
      const of = what === 'clinics' ? 'clinics' : 'other'
      return [
        paragraph(
          result[key] < leastClinicsForFunnel
            ? message('watch.funnel-few', { what: of, units: count(at[key]) })
            : message('watch.funnel-none', { what: of }),
        ),
      ]
    }
    return funnelOf(funnel, at[what], what)
  })
}

/** Clinics or operators of which every one is listed. */
const mostUnitsListed = 8

function funnelOf(
  { clinics: units, warnings }: ClinicFunnel,
  at: Path<ClinicFunnel>,
  what: 'clinics' | 'operators',
): readonly Block[] {
  const outside = units.filter(({ position }) => position !== 'within')
  const of = what === 'clinics' ? 'clinics' : 'other'
  // Many would fill sheets; those within the limits stand in the results, one by one.
  const short = units.length > mostUnitsListed
  return [
    paragraph(
      outside.length === 0
        ? message('watch.funnel-within', { what: of })
        : message('watch.funnel-outside', {
            count: outside.length,
            names: listOf(outside.map(({ clinic }) => foreign(clinic))),
            units: count(at.clinics.length),
          }),
    ),
    table(`watch-${what}`, message('watch.funnel-table', { what: of }), {
      columns: [
        textColumn(message(`watch.unit.${what}`)),
        numberColumn(message('watch.restorations')),
        numberColumn(message('watch.events-found')),
        numberColumn(message('watch.expected')),
        numberColumn(message('watch.funnel-ratio')),
        textColumn(message('clinics.position')),
      ],
      rows: [
        ...units.flatMap((unit, i) =>
          short && unit.position === 'within' ? [] : [unitRow(unit, at.clinics[i]!)],
        ),
        ...(short
          ? [
              [
                wordCell(message('watch.funnel-rest', { units: units.length - outside.length })),
                emptyCell,
                emptyCell,
                emptyCell,
                emptyCell,
                wordCell(message('clinics.position.within')),
              ],
            ]
          : []),
      ],
      notes: warnings.map(warningOf),
    }),
  ]
}

function notLookedBlocks({ notLooked }: WatchResult, at: Path<WatchResult>): readonly Block[] {
  const { fell, years } = notLooked
  const place = at.notLooked
  return [
    paragraph(
      message('watch.not-looked-checks', {
        overdue: count(place.overdue),
        inPlace: count(place.inPlace),
        days: count(place.recallIntervalDays),
        never: count(place.neverChecked),
      }),
    ),
    ...(years > 0
      ? [paragraph(message('watch.not-looked-presumed', { share: number(place.presumedShare, 'percent') }))]
      : []),
    ...(fell.length === 0
      ? []
      : [
          paragraph(
            message('watch.fields-fell', {
              fields: listOf(
                fell.map(({ field }, i) =>
                  message('watch.fields-one', {
                    field: foreign(field),
                    before: number(place.fell[i]!.before, 'percent'),
                    now: number(place.fell[i]!.now, 'percent'),
                  }),
                ),
              ),
            }),
          ),
        ]),
  ]
}
