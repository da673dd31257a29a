// Made by scripts/messageTypes.mjs from the catalogue in en/; run it after a change there.
import type { CountPart, Part } from './phrase.js'

type Nothing = Readonly<Record<never, never>>

/** What every message needs. */
export interface MessageParameters {
  readonly 'comparison.adjusted-for': { readonly names: Part; readonly oneWay: 'none' | 'other'; readonly share: Part }
  readonly 'comparison.against': Nothing
  readonly 'comparison.arms': { readonly against: Part; readonly endpoint: Part; readonly group: Part }
  readonly 'comparison.arms-note': { readonly least: Part }
  readonly 'comparison.at-risk': { readonly against: Part; readonly group: Part }
  readonly 'comparison.by-default': { readonly points: Part; readonly years: Part }
  readonly 'comparison.by-plan': { readonly points: Part; readonly sha256: Part; readonly written: Part; readonly years: Part }
  readonly 'comparison.cannot-be-compared': { readonly against: Part; readonly group: Part; readonly why: Part }
  readonly 'comparison.cannot-be-known': { readonly against: Part; readonly group: Part; readonly why: Part }
  readonly 'comparison.challenge.complete-cases': Nothing
  readonly 'comparison.challenge.doubly-robust': Nothing
  readonly 'comparison.challenge.equal-follow-up': Nothing
  readonly 'comparison.challenge.last-contact': Nothing
  readonly 'comparison.challenge.loss': Nothing
  readonly 'comparison.challenge.measured-only': Nothing
  readonly 'comparison.challenge.misclassification': Nothing
  readonly 'comparison.challenge.negative-control': Nothing
  readonly 'comparison.challenge.operator-trends': Nothing
  readonly 'comparison.challenge.same-years': Nothing
  readonly 'comparison.challenge.ticks-only': Nothing
  readonly 'comparison.challenge.undocumented-as-single': Nothing
  readonly 'comparison.challenges': Nothing
  readonly 'comparison.counts': { readonly against: CountPart; readonly againstEvents: Part; readonly endpoint: Part; readonly group: CountPart; readonly groupEvents: Part; readonly patients: CountPart }
  readonly 'comparison.difference': Nothing
  readonly 'comparison.effect': Nothing
  readonly 'comparison.effect.agrees': Nothing
  readonly 'comparison.effect.context': Nothing
  readonly 'comparison.effect.contradicts': Nothing
  readonly 'comparison.effect.weakens': Nothing
  readonly 'comparison.endpoint': { readonly endpoint: 'screw_loosening' | 'screw_fracture' | 'screw_complication' | 'loss_of_retention' | 'veneer_chipping' | 'implant_loss' | 'removal' | 'other' }
  readonly 'comparison.ends': { readonly after: Part; readonly afterInterval: Part; readonly found: Part; readonly foundInterval: Part }
  readonly 'comparison.exposure-charted': Nothing
  readonly 'comparison.exposure-measured': { readonly charted: CountPart; readonly documented: Part; readonly share: Part }
  readonly 'comparison.figure': { readonly endpoint: Part }
  readonly 'comparison.figure-description': { readonly heading: Part; readonly rows: Part }
  readonly 'comparison.figure-reading': { readonly group: Part; readonly risks: Part }
  readonly 'comparison.figure-risk': { readonly risk: Part; readonly years: Part }
  readonly 'comparison.forest': { readonly years: Part }
  readonly 'comparison.forest-lead': Nothing
  readonly 'comparison.group': Nothing
  readonly 'comparison.group-name': { readonly from: Part; readonly group: 'single' | 'repeatedInWindow' | 'repeatedOutsideWindow' | 'repeatedByChart' | 'singleByChart' | 'undone' | 'other'; readonly to: Part }
  readonly 'comparison.higher': { readonly against: Part; readonly endpoint: Part; readonly group: Part; readonly interval: Part; readonly points: Part; readonly years: Part }
  readonly 'comparison.horizon': Nothing
  readonly 'comparison.imputed': { readonly imputations: Part; readonly names: Part }
  readonly 'comparison.left-out': { readonly names: Part }
  readonly 'comparison.left-out.all-alike': { readonly name: Part }
  readonly 'comparison.left-out.not-recorded': { readonly name: Part }
  readonly 'comparison.left-out.too-few-restorations': { readonly name: Part }
  readonly 'comparison.left-out.what-is-compared': { readonly name: Part }
  readonly 'comparison.lower': { readonly against: Part; readonly endpoint: Part; readonly group: Part; readonly interval: Part; readonly points: Part; readonly years: Part }
  readonly 'comparison.method': Nothing
  readonly 'comparison.name': { readonly key: 'operator' | 'delivery_day' | 'region' | 'bruxism' | 'connection' | 'component_system' | 'implant_diameter_mm' | 'opposing' | 'restoration_type' | 'retention_mode' | 'crown_material' | 'crown_height_mm' | 'screw_coating' | 'occlusal_guard' | 'age_at_delivery_years' | 'sex' | 'other' }
  readonly 'comparison.needed': { readonly horizon: Part; readonly long: 'yes' | 'other'; readonly own: 'yes' | 'other'; readonly points: Part; readonly restorations: CountPart; readonly risk: Part; readonly years: Part }
  readonly 'comparison.number-needed': { readonly direction: 'lower' | 'other'; readonly endpoint: Part; readonly from: Part; readonly number: CountPart; readonly to: Part; readonly years: Part }
  readonly 'comparison.objection.contradicts': { readonly challenge: Part; readonly interval: Part; readonly points: Part }
  readonly 'comparison.objection.contradicts-bare': { readonly challenge: Part }
  readonly 'comparison.objection.negative-control': { readonly endpoint: Part; readonly interval: Part; readonly points: Part }
  readonly 'comparison.objection.weakens': { readonly challenge: Part; readonly interval: Part; readonly points: Part }
  readonly 'comparison.open': { readonly against: Part; readonly endpoint: Part; readonly group: Part; readonly interval: Part; readonly points: Part; readonly years: Part }
  readonly 'comparison.range-leads': { readonly from: Part; readonly to: Part }
  readonly 'comparison.reason.contradicted': Nothing
  readonly 'comparison.reason.ends-disagree': Nothing
  readonly 'comparison.reason.few-at-risk': Nothing
  readonly 'comparison.reason.few-events': Nothing
  readonly 'comparison.reason.immortal-time': Nothing
  readonly 'comparison.reason.interval-excludes-zero': Nothing
  readonly 'comparison.reason.interval-holds-zero': Nothing
  readonly 'comparison.reason.not-documented': Nothing
  readonly 'comparison.reason.overlap': Nothing
  readonly 'comparison.reason.risk-withheld': Nothing
  readonly 'comparison.tried': Nothing
  readonly 'comparison.within': { readonly discordant: Part; readonly endpoint: Part; readonly interval: Part; readonly patients: CountPart; readonly points: Part }
  readonly 'comparison.within-few': { readonly discordant: Part; readonly endpoint: Part; readonly patients: CountPart }
  readonly 'comparison.years': { readonly text: Part; readonly years: CountPart }
  readonly 'document.figure-on-request': Nothing
  readonly 'endpoint.for-patients.implant_loss': Nothing
  readonly 'endpoint.for-patients.loss_of_retention': Nothing
  readonly 'endpoint.for-patients.removal': Nothing
  readonly 'endpoint.for-patients.screw_complication': Nothing
  readonly 'endpoint.for-patients.screw_fracture': Nothing
  readonly 'endpoint.for-patients.screw_loosening': Nothing
  readonly 'endpoint.for-patients.veneer_chipping': Nothing
  readonly 'endpoint.free-of.implant_loss': Nothing
  readonly 'endpoint.free-of.loss_of_retention': Nothing
  readonly 'endpoint.free-of.removal': Nothing
  readonly 'endpoint.free-of.screw_complication': Nothing
  readonly 'endpoint.free-of.screw_fracture': Nothing
  readonly 'endpoint.free-of.screw_loosening': Nothing
  readonly 'endpoint.free-of.veneer_chipping': Nothing
  readonly 'endpoint.many.implant_loss': Nothing
  readonly 'endpoint.many.loss_of_retention': Nothing
  readonly 'endpoint.many.removal': Nothing
  readonly 'endpoint.many.screw_complication': Nothing
  readonly 'endpoint.many.screw_fracture': Nothing
  readonly 'endpoint.many.screw_loosening': Nothing
  readonly 'endpoint.many.veneer_chipping': Nothing
  readonly 'endpoint.meaning.implant_loss': Nothing
  readonly 'endpoint.meaning.loss_of_retention': Nothing
  readonly 'endpoint.meaning.removal': Nothing
  readonly 'endpoint.meaning.screw_complication': Nothing
  readonly 'endpoint.meaning.screw_fracture': Nothing
  readonly 'endpoint.meaning.screw_loosening': Nothing
  readonly 'endpoint.meaning.veneer_chipping': Nothing
  readonly 'endpoint.name.implant_loss': Nothing
  readonly 'endpoint.name.loss_of_retention': Nothing
  readonly 'endpoint.name.removal': Nothing
  readonly 'endpoint.name.screw_complication': Nothing
  readonly 'endpoint.name.screw_fracture': Nothing
  readonly 'endpoint.name.screw_loosening': Nothing
  readonly 'endpoint.name.veneer_chipping': Nothing
  readonly 'endpoint.one.implant_loss': Nothing
  readonly 'endpoint.one.loss_of_retention': Nothing
  readonly 'endpoint.one.removal': Nothing
  readonly 'endpoint.one.screw_complication': Nothing
  readonly 'endpoint.one.screw_fracture': Nothing
  readonly 'endpoint.one.screw_loosening': Nothing
  readonly 'endpoint.one.veneer_chipping': Nothing
  readonly 'field.abutment_origin': Nothing
  readonly 'field.age_at_delivery_years': Nothing
  readonly 'field.arch': Nothing
  readonly 'field.bruxism': Nothing
  readonly 'field.clinic_id': Nothing
  readonly 'field.component_system': Nothing
  readonly 'field.connection': Nothing
  readonly 'field.crown_height_mm': Nothing
  readonly 'field.crown_material': Nothing
  readonly 'field.delivery_day': Nothing
  readonly 'field.delivery_year': Nothing
  readonly 'field.implant_diameter_mm': Nothing
  readonly 'field.implant_length_mm': Nothing
  readonly 'field.occlusal_guard': Nothing
  readonly 'field.operator': Nothing
  readonly 'field.opposing': Nothing
  readonly 'field.region': Nothing
  readonly 'field.restoration_type': Nothing
  readonly 'field.retention_mode': Nothing
  readonly 'field.screw_coating': Nothing
  readonly 'field.screw_material': Nothing
  readonly 'field.sex': Nothing
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
