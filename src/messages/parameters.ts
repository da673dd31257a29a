// Made by scripts/messageTypes.mjs from the catalogue in en/; run it after a change there.
import type { CountPart, Part } from './phrase.js'

type Nothing = Readonly<Record<never, never>>

/** What every message needs. */
export interface MessageParameters {
  readonly 'document.figure-on-request': Nothing
  readonly 'group.all': Nothing
  readonly 'group.other': Nothing
  readonly 'group.repeated-in-window': { readonly from: Part; readonly to: Part }
  readonly 'group.repeated-outside-window': { readonly from: Part; readonly to: Part }
  readonly 'group.single': Nothing
  readonly 'group.undone': Nothing
  readonly 'group.unknown': Nothing
  readonly 'number.fewer-than': { readonly size: Part }
  readonly 'number.less-than': { readonly size: Part }
  readonly 'number.more-than': { readonly size: Part }
  readonly 'quantity.interval': { readonly lower: Part; readonly upper: Part }
  readonly 'quantity.interval-in-brackets': { readonly interval: Part; readonly level: Part }
  readonly 'quantity.no-interval': Nothing
  readonly 'quantity.no-interval-because': { readonly reason: Part }
  readonly 'quantity.not-estimable': Nothing
  readonly 'quantity.not-reached': Nothing
  readonly 'quantity.p-value': { readonly below: 'yes' | 'other'; readonly number: Part }
  readonly 'quantity.unbounded-above': Nothing
  readonly 'quantity.unbounded-below': Nothing
  readonly 'removal-torque.counted': { readonly measurements: CountPart; readonly restorations: CountPart }
  readonly 'removal-torque.loss': Nothing
  readonly 'removal-torque.measure': Nothing
  readonly 'removal-torque.method': Nothing
  readonly 'removal-torque.nothing-to-compare': Nothing
  readonly 'removal-torque.pair': { readonly against: Part; readonly group: Part }
  readonly 'removal-torque.pairs': Nothing
  readonly 'removal-torque.surrogate': Nothing
  readonly 'removal-torque.tested': { readonly value: Part }
  readonly 'removal-torque.title': Nothing
  readonly 'removal-torque.torque': Nothing
  readonly 'table.difference': Nothing
  readonly 'table.group': Nothing
  readonly 'table.interval': Nothing
  readonly 'table.lower-limit': { readonly title: Part }
  readonly 'table.mean': Nothing
  readonly 'table.p-value': Nothing
  readonly 'table.pair': Nothing
  readonly 'table.restorations': Nothing
  readonly 'table.standard-deviation': Nothing
  readonly 'table.unit': { readonly title: Part; readonly unit: Part }
  readonly 'table.upper-limit': { readonly title: Part }
  readonly 'torque.all-count': Nothing
  readonly 'torque.applications': Nothing
  readonly 'torque.band-title': Nothing
  readonly 'torque.band.half-year': Nothing
  readonly 'torque.band.older': Nothing
  readonly 'torque.band.unknown': Nothing
  readonly 'torque.band.year': Nothing
  readonly 'torque.by-calibration': Nothing
  readonly 'torque.by-device': Nothing
  readonly 'torque.calibration': Nothing
  readonly 'torque.chart': Nothing
  readonly 'torque.chart-above': Nothing
  readonly 'torque.chart-below': Nothing
  readonly 'torque.chart-description': { readonly heading: Part; readonly rows: Part }
  readonly 'torque.chart-reading': { readonly lower: Part; readonly mean: Part; readonly upper: Part }
  readonly 'torque.chart-row': { readonly device: Part; readonly kind: Part }
  readonly 'torque.clustered': { readonly by: 'device' | 'other'; readonly share: Part; readonly strict: Part; readonly tolerance: Part }
  readonly 'torque.deviation': Nothing
  readonly 'torque.deviations': Nothing
  readonly 'torque.device': Nothing
  readonly 'torque.instructions': { readonly instructed: CountPart; readonly off: CountPart }
  readonly 'torque.kind': Nothing
  readonly 'torque.kind-unknown': Nothing
  readonly 'torque.limits': Nothing
  readonly 'torque.main': { readonly applications: CountPart; readonly interval: Part; readonly measured: Part; readonly over: Part; readonly restorations: CountPart; readonly share: Part; readonly tolerance: Part; readonly under: Part }
  readonly 'torque.method-deviation': Nothing
  readonly 'torque.method-share': Nothing
  readonly 'torque.no-target-known': { readonly applications: CountPart; readonly restorations: CountPart }
  readonly 'torque.over': Nothing
  readonly 'torque.shown-by-device': Nothing
  readonly 'torque.title': Nothing
  readonly 'torque.under': Nothing
  readonly 'torque.within': Nothing
  readonly 'unit.days': Nothing
  readonly 'unit.minutes': Nothing
  readonly 'unit.per-hundred': Nothing
  readonly 'unit.percent': Nothing
  readonly 'unit.points': Nothing
  readonly 'unit.torque': Nothing
  readonly 'unit.years': Nothing
  readonly 'warning.measured-repeatedly': { readonly restorations: CountPart }
}
