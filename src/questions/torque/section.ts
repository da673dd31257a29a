import type { Estimate } from '../../core/estimate.js'
import { type Message, message, type Words } from '../../messages/message.js'
import { foreign } from '../../messages/phrase.js'
import {
  type Block,
  type Cell,
  emptyCell,
  emptyEstimate,
  estimateCell,
  estimateColumn,
  figure,
  foreignCell,
  numberCell,
  numberColumn,
  paragraph,
  sentences,
  type Table,
  table,
  textColumn,
  wordCell,
} from '../words/blocks.js'
import { count, intervalInBrackets, number, type Path, quantity } from '../words/place.js'
import type { DeviceTorque, TorqueResult, WithinTolerance } from './answer.js'
import { torqueChart } from './chart.js'

/** What is said of the torque reached: a sentence, what it rests on, tables by device and by age of calibration. */
export function torqueBlocks(result: TorqueResult, at: Path<TorqueResult>): readonly Block[] {
  const { byDevice, byCalibration } = result
  const drawn = byDevice.some(({ deviation }) => deviation !== undefined)
  return [
    paragraph(mainSentence(result, at), 'lead'),
    paragraph(basis(result, at)),
    ...(byDevice.length === 0 ? [] : [deviceTable(result, at)]),
    ...(byCalibration.length === 0 ? [] : [calibrationTable(result, at)]),
    ...(drawn
      ? [
          figure('torque', message('torque.deviations'), (options) => torqueChart(result, options), {
            onRequest: true,
          }),
        ]
      : []),
  ]
}

/** How many tightenings reached their target, and the device that most of the others came from. */
export function mainSentence(result: TorqueResult, at: Path<TorqueResult>): Words {
  const { overall } = result
  const counted = { applications: count(at.applications), restorations: count(at.restorations) }
  if (overall === undefined) return message('torque.no-target-known', counted)
  const main = message('torque.main', {
    ...counted,
    measured: count(at.overall.applications),
    share: number(at.overall.shareWithin.estimate, 'percent'),
    tolerance: number(at.tolerance, 'percent'),
    interval: intervalInBrackets(at.overall.shareWithin, 'percent'),
    over: count(at.overall.over),
    under: count(at.overall.under),
  })
  return sentences(main, oneDevice(result, at))
}

/** Fewest tightenings beside their target that a device is named for. */
const leastBeside = 5

/** The device that more than half of the tightenings beside their target came from, where it is one of several. */
function oneDevice({ overall, byDevice }: TorqueResult, at: Path<TorqueResult>): Message | undefined {
  const beside = (one: Pick<WithinTolerance, 'over' | 'under'>): number => one.over + one.under
  const index = byDevice.findIndex((one) => beside(one) >= leastBeside && 2 * beside(one) > beside(overall!))
  if (index < 0 || byDevice.length === 1) return undefined
  const days = byDevice[index]!.longestSinceCalibrationDays
  const place = at.byDevice[index]!
  return message('torque.one-device', {
    device: foreign(byDevice[index]!.device),
    over: count(place.over),
    under: count(place.under),
    applications: count(place.applications),
    dated: days === undefined ? 'other' : 'yes',
    days: days === undefined ? '' : count(place.longestSinceCalibrationDays),
  })
}

/** What the shares rest on, and what is not said. */
function basis({ overall, clusteredBy, withInstruction }: TorqueResult, at: Path<TorqueResult>): Words {
  const clustered = message('torque.clustered', {
    by: clusteredBy === 'device' ? 'device' : 'other',
    strict: number(at.strictTolerance, 'percent'),
    share: overall === undefined ? '' : quantity(at.strict.shareWithin.estimate, 'percent'),
    tolerance: number(at.tolerance, 'percent'),
  })
  const instructed = message('torque.instructions', {
    instructed: count(at.withInstruction),
    off: count(at.offInstruction),
  })
  return sentences(
    message('torque.all-count'),
    overall === undefined ? undefined : clustered,
    withInstruction === 0 ? undefined : instructed,
    message('torque.shown-by-device'),
  )
}

/** Torque reached by device. */
export function deviceTable({ byDevice }: TorqueResult, at: Path<TorqueResult>): Table {
  return table('torque', message('torque.by-device'), {
    columns: [
      textColumn(message('torque.device')),
      textColumn(message('torque.kind')),
      ...withinColumns,
      estimateColumn(message('torque.deviation'), 'torque', true),
      textColumn(message('torque.limits')),
      numberColumn(message('torque.calibration')),
    ],
    rows: byDevice.map((one, index) => {
      const device = at.byDevice[index]!
      return [
        foreignCell(one.device),
        wordCell(one.type === 'unknown' ? message('torque.kind-unknown') : foreign(one.type)),
        ...withinCells(device),
        one.deviation === undefined ? emptyEstimate : estimateCell(device.deviation.mean, 'torque'),
        one.deviation === undefined ? emptyCell : limitsCell(device),
        one.longestSinceCalibrationDays === undefined
          ? emptyCell
          : numberCell(device.longestSinceCalibrationDays),
      ]
    }),
  })
}

function limitsCell({ deviation }: Path<DeviceTorque>): Cell {
  const [lower, upper] = [deviation.lowerLimit, deviation.upperLimit].map((limit: Path<Estimate>) =>
    quantity(limit.estimate, 'torque'),
  )
  return wordCell(message('quantity.interval', { lower: lower!, upper: upper! }))
}

function calibrationTable({ byCalibration }: TorqueResult, at: Path<TorqueResult>): Table {
  return table('torque-calibration', message('torque.by-calibration'), {
    columns: [textColumn(message('torque.band-title')), ...withinColumns],
    rows: byCalibration.map(({ band }, index) => [
      wordCell(message(`torque.band.${band}`)),
      ...withinCells(at.byCalibration[index]!),
    ]),
  })
}

const withinColumns = [
  numberColumn(message('torque.applications')),
  estimateColumn(message('torque.within'), 'percent'),
  numberColumn(message('torque.over')),
  numberColumn(message('torque.under')),
]

function withinCells(at: Path<WithinTolerance>): readonly Cell[] {
  return [
    numberCell(at.applications),
    estimateCell(at.shareWithin, 'percent'),
    numberCell(at.over),
    numberCell(at.under),
  ]
}
