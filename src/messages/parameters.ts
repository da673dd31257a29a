// Made by scripts/messageTypes.mjs from the catalogue in en/; run it after a change there.
import type { CountPart, Part } from './phrase.js'
import type { WordedMethods, WordedReasons, WordedWarnings } from './wordedCodes.js'

type Nothing = Readonly<Record<never, never>>

/** What every message needs. */
export interface MessageParameters extends WordedMethods, WordedReasons, WordedWarnings {
  readonly 'asked.cautions': Nothing
  readonly 'asked.channel': { readonly channel: Part; readonly field: Part }
  readonly 'asked.columns': { readonly columns: Part; readonly shown: Part }
  readonly 'asked.compared': { readonly against: Part; readonly group: Part }
  readonly 'asked.kicker': Nothing
  readonly 'asked.made': { readonly version: Part }
  readonly 'asked.mark': { readonly channels: Part; readonly mark: Part; readonly rows: CountPart }
  readonly 'asked.rate': { readonly name: Part }
  readonly 'asked.rate-axis': Nothing
  readonly 'asked.results': Nothing
  readonly 'asked.row': Nothing
  readonly 'asked.test': { readonly test: Part }
  readonly 'asked.value': Nothing
  readonly 'asked.values': Nothing
  readonly 'asked.what': Nothing
  readonly 'between-looks.at-risk': Nothing
  readonly 'between-looks.caption': Nothing
  readonly 'between-looks.horizon': Nothing
  readonly 'between-looks.lower': Nothing
  readonly 'between-looks.method': Nothing
  readonly 'between-looks.note': { readonly level: Part }
  readonly 'between-looks.on-request': { readonly most: Part }
  readonly 'between-looks.onset': { readonly told: CountPart }
  readonly 'between-looks.upper': Nothing
  readonly 'between-looks.weibull': Nothing
  readonly 'caption.figure.attrition': Nothing
  readonly 'caption.figure.completeness': Nothing
  readonly 'caption.figure.differences': Nothing
  readonly 'caption.figure.hazard-ratios': Nothing
  readonly 'caption.figure.incidence': Nothing
  readonly 'caption.figure.retention': Nothing
  readonly 'caption.figure.retention-other': Nothing
  readonly 'caption.table.at-risk': Nothing
  readonly 'caption.table.attrition': Nothing
  readonly 'caption.table.characteristics': Nothing
  readonly 'caption.table.completeness': Nothing
  readonly 'caption.table.curve-test': Nothing
  readonly 'caption.table.differences': Nothing
  readonly 'caption.table.events': Nothing
  readonly 'caption.table.files': Nothing
  readonly 'caption.table.followed': Nothing
  readonly 'caption.table.hazard-ratios': Nothing
  readonly 'caption.table.methods': Nothing
  readonly 'caption.table.model': Nothing
  readonly 'caption.table.placement': Nothing
  readonly 'caption.table.problems': Nothing
  readonly 'caption.table.reasons': Nothing
  readonly 'caption.table.retention': Nothing
  readonly 'caption.table.risks': Nothing
  readonly 'caption.table.rows': Nothing
  readonly 'caption.table.set-aside': Nothing
  readonly 'caption.table.settings': Nothing
  readonly 'caption.table.unknown-by-clinic': Nothing
  readonly 'caption.table.unknown-by-tightening': Nothing
  readonly 'caution.generated': Nothing
  readonly 'caution.literature': Nothing
  readonly 'caution.never': Nothing
  readonly 'caution.no-advice': Nothing
  readonly 'caution.observations': Nothing
  readonly 'caution.privacy': Nothing
  readonly 'caution.prompt-care': Nothing
  readonly 'caution.removal-torque': Nothing
  readonly 'caution.signal': Nothing
  readonly 'caution.torque': Nothing
  readonly 'cells.await-forgotten': Nothing
  readonly 'cells.import-missing': { readonly from: Part; readonly name: Part }
  readonly 'cells.interrupted': Nothing
  readonly 'cells.package-missing': { readonly name: Part }
  readonly 'cells.run-above': { readonly name: Part }
  readonly 'changes.after': Nothing
  readonly 'changes.before': Nothing
  readonly 'changes.caption-comparison': Nothing
  readonly 'changes.caption-counts': Nothing
  readonly 'changes.caption-fields': Nothing
  readonly 'changes.caption-problems': Nothing
  readonly 'changes.caption-rates': Nothing
  readonly 'changes.caption-risks': Nothing
  readonly 'changes.caption-sources': Nothing
  readonly 'changes.caution-dependent': Nothing
  readonly 'changes.caution-moves': Nothing
  readonly 'changes.caution-two-points': Nothing
  readonly 'changes.change': Nothing
  readonly 'changes.chart': Nothing
  readonly 'changes.chart-caption': Nothing
  readonly 'changes.chart-few': Nothing
  readonly 'changes.chart-row': { readonly side: 'before' | 'other'; readonly years: Part }
  readonly 'changes.checksum': Nothing
  readonly 'changes.count.competing': Nothing
  readonly 'changes.count.events': Nothing
  readonly 'changes.count.never-checked': Nothing
  readonly 'changes.count.operators': Nothing
  readonly 'changes.count.patients': Nothing
  readonly 'changes.count.restoration-years': Nothing
  readonly 'changes.count.restorations': Nothing
  readonly 'changes.count.rows-read': Nothing
  readonly 'changes.count.rows-set-aside': Nothing
  readonly 'changes.events': Nothing
  readonly 'changes.field': Nothing
  readonly 'changes.field-of-table': { readonly field: Part; readonly table: Part }
  readonly 'changes.fields-left': Nothing
  readonly 'changes.follow-up': Nothing
  readonly 'changes.intervals.apart': Nothing
  readonly 'changes.intervals.hold-each-other': Nothing
  readonly 'changes.intervals.overlap': Nothing
  readonly 'changes.kicker': Nothing
  readonly 'changes.moved': { readonly events: CountPart; readonly eventsMoved: 'same' | 'more' | 'other'; readonly restorations: CountPart; readonly restorationsMoved: 'same' | 'more' | 'other'; readonly years: Part; readonly yearsMoved: 'same' | 'more' | 'other' }
  readonly 'changes.no-clinic-in-common': Nothing
  readonly 'changes.none-seen': { readonly side: 'both' | 'before' | 'other' }
  readonly 'changes.nothing': Nothing
  readonly 'changes.points': Nothing
  readonly 'changes.problem': Nothing
  readonly 'changes.problems-left': Nothing
  readonly 'changes.quantity': Nothing
  readonly 'changes.rate': Nothing
  readonly 'changes.read-with-care': Nothing
  readonly 'changes.reading-changed': Nothing
  readonly 'changes.reading-none': Nothing
  readonly 'changes.reading-one': { readonly side: 'before' | 'other' }
  readonly 'changes.reading-same': Nothing
  readonly 'changes.records': Nothing
  readonly 'changes.report': Nothing
  readonly 'changes.restorations': Nothing
  readonly 'changes.risk': { readonly after: Part; readonly afterInterval: Part; readonly afterLimits: 'none' | 'other'; readonly before: Part; readonly beforeInterval: Part; readonly beforeLimits: 'none' | 'other'; readonly change: Part; readonly endpoint: Part; readonly level: Part; readonly moved: 'same' | 'lower' | 'other'; readonly years: CountPart }
  readonly 'changes.risk-unknown': Nothing
  readonly 'changes.risk-withheld': { readonly endpoint: Part; readonly side: 'both' | 'before' | 'other' }
  readonly 'changes.section-answer': Nothing
  readonly 'changes.section-provenance': Nothing
  readonly 'changes.section-records': Nothing
  readonly 'changes.section-results': Nothing
  readonly 'changes.share': Nothing
  readonly 'changes.summary': { readonly after: Part; readonly before: CountPart }
  readonly 'changes.title': { readonly endpoint: Part; readonly records: Part }
  readonly 'changes.verdict.cannot-be-compared': Nothing
  readonly 'changes.verdict.cannot-be-known': Nothing
  readonly 'changes.verdict.higher': Nothing
  readonly 'changes.verdict.lower': Nothing
  readonly 'changes.verdict.open': Nothing
  readonly 'changes.version': Nothing
  readonly 'changes.what': Nothing
  readonly 'changes.years': Nothing
  readonly 'chart.all-differing': Nothing
  readonly 'chart.all-practices': Nothing
  readonly 'chart.array-description': { readonly heading: Part; readonly rows: Part }
  readonly 'chart.array-description-empty': { readonly heading: Part; readonly note: Part }
  readonly 'chart.array-event': { readonly marks: Part }
  readonly 'chart.array-free': { readonly marks: Part }
  readonly 'chart.array-heading': { readonly endpoint: Part; readonly things: 'crowns' | 'other'; readonly years: Part }
  readonly 'chart.array-heading-followed': { readonly endpoint: Part; readonly things: 'crowns' | 'other' }
  readonly 'chart.array-not-drawn': Nothing
  readonly 'chart.array-possible': { readonly marks: Part }
  readonly 'chart.arrow': Nothing
  readonly 'chart.at-risk': Nothing
  readonly 'chart.at-risk-count': { readonly count: Part }
  readonly 'chart.attrition': { readonly included: CountPart; readonly patients: CountPart; readonly read: Part; readonly steps: Part }
  readonly 'chart.attrition-none': Nothing
  readonly 'chart.attrition-step': { readonly reason: Part; readonly restorations: Part }
  readonly 'chart.attrition-steps': { readonly steps: Part }
  readonly 'chart.axis-start': { readonly start: Part }
  readonly 'chart.band': { readonly level: Part }
  readonly 'chart.bands-cut': Nothing
  readonly 'chart.by-handling': Nothing
  readonly 'chart.competing': Nothing
  readonly 'chart.curves-end': { readonly least: Part }
  readonly 'chart.cut': { readonly least: Part }
  readonly 'chart.description': { readonly heading: Part; readonly level: Part; readonly rows: Part }
  readonly 'chart.direction': { readonly group: Part; readonly side: 'lower' | 'other' }
  readonly 'chart.error-axis': Nothing
  readonly 'chart.factors': { readonly endpoint: Part }
  readonly 'chart.field-share': { readonly rows: Part; readonly share: Part }
  readonly 'chart.fields-complete': { readonly fields: Part }
  readonly 'chart.fields-incomplete': { readonly complete: Part; readonly fields: Part }
  readonly 'chart.free-at': { readonly share: Part; readonly years: Part }
  readonly 'chart.free-description': { readonly level: Part; readonly rows: Part; readonly state: Part }
  readonly 'chart.generated': Nothing
  readonly 'chart.group-size': { readonly name: Part; readonly restorations: CountPart }
  readonly 'chart.hazard-ratio': { readonly against: Part; readonly group: Part }
  readonly 'chart.in-patients': { readonly patients: CountPart }
  readonly 'chart.incidence': { readonly endpoint: Part }
  readonly 'chart.incidence-at': { readonly name: Part; readonly risk: Part; readonly years: Part }
  readonly 'chart.incidence-description': { readonly endpoint: Part; readonly level: Part; readonly rows: Part }
  readonly 'chart.included': { readonly restorations: Part }
  readonly 'chart.left-out': { readonly restorations: Part }
  readonly 'chart.less-often': Nothing
  readonly 'chart.logarithmic': Nothing
  readonly 'chart.more-often': Nothing
  readonly 'chart.no-curve': Nothing
  readonly 'chart.not-drawn': { readonly groups: Part; readonly least: Part }
  readonly 'chart.nothing-drawn': Nothing
  readonly 'chart.place': { readonly name: Part; readonly years: Part }
  readonly 'chart.points-axis': Nothing
  readonly 'chart.ratio-axis': Nothing
  readonly 'chart.ratio-by-practice': { readonly against: Part; readonly group: Part }
  readonly 'chart.risk': Nothing
  readonly 'chart.risk-by-year': Nothing
  readonly 'chart.row': { readonly name: Part; readonly shown: Part }
  readonly 'chart.rows': { readonly heading: Part; readonly rows: Part }
  readonly 'chart.rows-read': { readonly rows: Part }
  readonly 'chart.share-known': Nothing
  readonly 'chart.site': { readonly error: Part; readonly name: Part; readonly ratio: Part }
  readonly 'chart.sites': { readonly against: Part; readonly group: Part }
  readonly 'chart.sites-lines': { readonly level: Part }
  readonly 'chart.too-few': Nothing
  readonly 'chart.variant': { readonly allows: Part; readonly also: 'yes' | 'other'; readonly name: Part }
  readonly 'chart.years-since-delivery': Nothing
  readonly 'clinics.all-within': { readonly clinics: Part }
  readonly 'clinics.basis': Nothing
  readonly 'clinics.chart': Nothing
  readonly 'clinics.chart-axis': Nothing
  readonly 'clinics.chart-caption': Nothing
  readonly 'clinics.chart-description': { readonly heading: Part; readonly rows: Part }
  readonly 'clinics.chart-events': { readonly events: CountPart; readonly expected: Part }
  readonly 'clinics.chart-note': Nothing
  readonly 'clinics.chart-ratio': { readonly ratio: Part }
  readonly 'clinics.chart-row': { readonly clinic: Part; readonly events: CountPart; readonly expected: Part; readonly ratio: Part }
  readonly 'clinics.expected': Nothing
  readonly 'clinics.left-out': { readonly restorations: CountPart }
  readonly 'clinics.method': Nothing
  readonly 'clinics.outside': { readonly clinics: Part; readonly count: CountPart }
  readonly 'clinics.position': Nothing
  readonly 'clinics.position.above-inner': Nothing
  readonly 'clinics.position.above-outer': Nothing
  readonly 'clinics.position.below-inner': Nothing
  readonly 'clinics.position.below-outer': Nothing
  readonly 'clinics.position.within': Nothing
  readonly 'clinics.ratio': Nothing
  readonly 'clinics.table': Nothing
  readonly 'clinics.title': Nothing
  readonly 'clinics.unit': { readonly clinic: Part; readonly events: CountPart; readonly expected: Part }
  readonly 'clinics.widened': Nothing
  readonly 'cohort.beyond-recall': { readonly days: Part; readonly events: Part }
  readonly 'cohort.cannot-answer': { readonly gap: Part }
  readonly 'cohort.chart-disagrees': { readonly restorations: CountPart }
  readonly 'cohort.chart-only': { readonly restorations: CountPart }
  readonly 'cohort.clinics': { readonly clinics: CountPart; readonly names: Part }
  readonly 'cohort.completeness': { readonly complete: CountPart; readonly fields: CountPart }
  readonly 'cohort.day-zero': { readonly events: CountPart; readonly many: Part; readonly name: Part }
  readonly 'cohort.gap.dated-repeats': Nothing
  readonly 'cohort.gap.every-visit': Nothing
  readonly 'cohort.gap.other-complications': Nothing
  readonly 'cohort.gap.undoing-between-tightenings': Nothing
  readonly 'cohort.never-checked': { readonly restorations: CountPart }
  readonly 'cohort.quality': { readonly kinds: CountPart; readonly read: Part; readonly setAside: Part }
  readonly 'cohort.unnamed-practice': Nothing
  readonly 'cohort.who': { readonly clinics: Part; readonly included: Part; readonly operators: CountPart; readonly patients: CountPart; readonly read: Part }
  readonly 'command.needed': Nothing
  readonly 'command.needed-difference': Nothing
  readonly 'command.needed-power': Nothing
  readonly 'command.needed-practices': Nothing
  readonly 'command.needed-within': Nothing
  readonly 'command.plan-of-comparison': Nothing
  readonly 'command.plan-of-endpoint': Nothing
  readonly 'command.watch': Nothing
  readonly 'command.watch-since': Nothing
  readonly 'comparison.adjusted-for': { readonly names: Part; readonly oneWay: 'none' | 'other'; readonly share: Part }
  readonly 'comparison.arms': { readonly against: Part; readonly endpoint: Part; readonly group: Part }
  readonly 'comparison.arms-note': { readonly least: Part }
  readonly 'comparison.at-risk': Nothing
  readonly 'comparison.balance': Nothing
  readonly 'comparison.balance-after': Nothing
  readonly 'comparison.balance-axis': Nothing
  readonly 'comparison.balance-before': Nothing
  readonly 'comparison.balance-note': Nothing
  readonly 'comparison.balance-row': { readonly after: Part; readonly before: Part; readonly name: Part }
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
  readonly 'comparison.challenge.unmeasured-confounding': Nothing
  readonly 'comparison.challenge.visits-by-group': Nothing
  readonly 'comparison.challenges': Nothing
  readonly 'comparison.confounding': { readonly eValue: Part; readonly endpoint: Part; readonly holds: 'yes' | 'other'; readonly limit: Part }
  readonly 'comparison.confounding-strongest': { readonly endpoint: Part; readonly name: Part; readonly withChoice: Part; readonly withOutcome: Part }
  readonly 'comparison.counts': { readonly against: CountPart; readonly againstEvents: Part; readonly endpoint: Part; readonly group: CountPart; readonly groupEvents: Part; readonly patients: CountPart }
  readonly 'comparison.difference': Nothing
  readonly 'comparison.effect': Nothing
  readonly 'comparison.effect.agrees': Nothing
  readonly 'comparison.effect.context': Nothing
  readonly 'comparison.effect.contradicts': Nothing
  readonly 'comparison.effect.weakens': Nothing
  readonly 'comparison.ends': { readonly after: Part; readonly afterInterval: Part; readonly found: Part; readonly foundInterval: Part }
  readonly 'comparison.estimate': Nothing
  readonly 'comparison.estimate-column': Nothing
  readonly 'comparison.estimate-degrees': { readonly endpoint: Part }
  readonly 'comparison.estimate-error': Nothing
  readonly 'comparison.estimate-lost': { readonly group: Part }
  readonly 'comparison.estimate-p': { readonly years: Part }
  readonly 'comparison.estimate-patients': { readonly endpoint: Part; readonly years: Part }
  readonly 'comparison.estimate-value': Nothing
  readonly 'comparison.exposure-charted': Nothing
  readonly 'comparison.exposure-measured': { readonly charted: CountPart; readonly documented: Part; readonly share: Part }
  readonly 'comparison.figure': { readonly endpoint: Part }
  readonly 'comparison.figure-bars': { readonly level: Part }
  readonly 'comparison.figure-description': { readonly heading: Part; readonly rows: Part }
  readonly 'comparison.figure-reading': { readonly group: Part; readonly risks: Part }
  readonly 'comparison.figure-risk': { readonly risk: Part; readonly years: Part }
  readonly 'comparison.forest': { readonly years: Part }
  readonly 'comparison.forest-lead': Nothing
  readonly 'comparison.form': Nothing
  readonly 'comparison.form.levels': { readonly count: CountPart }
  readonly 'comparison.form.line': Nothing
  readonly 'comparison.form.spline': { readonly count: CountPart }
  readonly 'comparison.higher': { readonly against: Part; readonly endpoint: Part; readonly group: Part; readonly interval: Part; readonly points: Part; readonly years: Part }
  readonly 'comparison.horizon': Nothing
  readonly 'comparison.horizon-used': { readonly points: Part; readonly years: Part }
  readonly 'comparison.imputed': { readonly imputations: Part; readonly names: Part }
  readonly 'comparison.left-out': { readonly names: Part }
  readonly 'comparison.left-out.all-alike': { readonly name: Part }
  readonly 'comparison.left-out.not-recorded': { readonly name: Part }
  readonly 'comparison.left-out.too-few-restorations': { readonly name: Part }
  readonly 'comparison.left-out.what-is-compared': { readonly name: Part }
  readonly 'comparison.lower': { readonly against: Part; readonly endpoint: Part; readonly group: Part; readonly interval: Part; readonly points: Part; readonly years: Part }
  readonly 'comparison.method': Nothing
  readonly 'comparison.model': Nothing
  readonly 'comparison.model-allowed': Nothing
  readonly 'comparison.model-missing': Nothing
  readonly 'comparison.model-note': { readonly imputations: CountPart }
  readonly 'comparison.no-weight': { readonly share: Part }
  readonly 'comparison.nothing-to-compare': { readonly recorded: 'no' | 'other' }
  readonly 'comparison.number-needed': { readonly against: Part; readonly direction: 'lower' | 'other'; readonly endpoint: Part; readonly from: Part; readonly group: Part; readonly number: CountPart; readonly to: Part; readonly years: Part }
  readonly 'comparison.objection.contradicts': { readonly challenge: Part; readonly interval: Part; readonly points: Part }
  readonly 'comparison.objection.contradicts-bare': { readonly challenge: Part }
  readonly 'comparison.objection.negative-control': { readonly endpoint: Part; readonly interval: Part; readonly points: Part }
  readonly 'comparison.objection.weakens': { readonly challenge: Part; readonly holds: 'yes' | 'other'; readonly interval: Part; readonly points: Part }
  readonly 'comparison.open': { readonly against: Part; readonly endpoint: Part; readonly group: Part; readonly interval: Part; readonly points: Part; readonly years: Part }
  readonly 'comparison.other-horizon': { readonly horizon: Part; readonly years: Part }
  readonly 'comparison.overlap': { readonly group: Part }
  readonly 'comparison.overlap-axis': { readonly group: Part }
  readonly 'comparison.overlap-note': { readonly against: Part; readonly againstCount: Part; readonly group: Part; readonly groupCount: Part }
  readonly 'comparison.range-leads': { readonly from: Part; readonly to: Part }
  readonly 'comparison.reason.contradicted': Nothing
  readonly 'comparison.reason.ends-disagree': Nothing
  readonly 'comparison.reason.few-at-risk': Nothing
  readonly 'comparison.reason.few-events': { readonly years: Part }
  readonly 'comparison.reason.immortal-time': Nothing
  readonly 'comparison.reason.interval-excludes-zero': Nothing
  readonly 'comparison.reason.interval-holds-zero': Nothing
  readonly 'comparison.reason.not-documented': Nothing
  readonly 'comparison.reason.overlap': Nothing
  readonly 'comparison.reason.risk-withheld': Nothing
  readonly 'comparison.title': Nothing
  readonly 'comparison.tried': Nothing
  readonly 'comparison.visits': { readonly against: Part; readonly againstRate: Part; readonly difference: Part; readonly group: Part; readonly groupRate: Part; readonly interval: Part }
  readonly 'comparison.within': { readonly discordant: Part; readonly endpoint: Part; readonly interval: Part; readonly patients: Part; readonly points: Part }
  readonly 'comparison.within-few': { readonly discordant: Part; readonly endpoint: Part; readonly patients: CountPart }
  readonly 'comparison.years': { readonly text: Part; readonly years: CountPart }
  readonly 'contrast.higher': { readonly against: Part; readonly from: Part; readonly group: Part; readonly interval: Part; readonly size: Part; readonly to: Part; readonly years: Part }
  readonly 'contrast.key-difference': { readonly against: Part; readonly group: Part; readonly years: Part }
  readonly 'contrast.lower': { readonly against: Part; readonly from: Part; readonly group: Part; readonly interval: Part; readonly size: Part; readonly to: Part; readonly years: Part }
  readonly 'contrast.no-horizon': Nothing
  readonly 'contrast.not-compared': Nothing
  readonly 'contrast.not-estimable': { readonly against: Part; readonly group: Part; readonly years: Part }
  readonly 'contrast.not-estimable-because': { readonly against: Part; readonly group: Part; readonly reason: Part; readonly years: Part }
  readonly 'contrast.not-the-answer': { readonly planned: 'yes' | 'other'; readonly years: Part }
  readonly 'contrast.not-the-answer-open': Nothing
  readonly 'contrast.open': { readonly against: Part; readonly equal: 'yes' | 'other'; readonly from: Part; readonly group: Part; readonly interval: Part; readonly side: Part; readonly to: Part; readonly years: Part }
  readonly 'contrast.primary': Nothing
  readonly 'contrast.secondary': Nothing
  readonly 'contrast.side': { readonly side: 'lower' | 'higher' | 'other'; readonly size: Part }
  readonly 'contrast.size': { readonly events: CountPart; readonly group: Part; readonly patients: CountPart; readonly restorations: CountPart }
  readonly 'contrast.sizes': { readonly against: Part; readonly group: Part }
  readonly 'contrast.unsettled': Nothing
  readonly 'contrast.without-interval': { readonly against: Part; readonly group: Part; readonly side: Part; readonly years: Part }
  readonly 'definition.competing-event': { readonly days: Part }
  readonly 'definition.cumulative-incidence': Nothing
  readonly 'definition.event': { readonly endpoint: Part; readonly meaning: Part }
  readonly 'definition.free': Nothing
  readonly 'definition.hazard-ratio': Nothing
  readonly 'definition.interval': { readonly intervals: Part }
  readonly 'definition.look': Nothing
  readonly 'definition.rate': Nothing
  readonly 'definition.repeated-tightening': { readonly window: Part }
  readonly 'definition.restoration': { readonly types: Part }
  readonly 'definition.share': Nothing
  readonly 'definition.time-at-risk': Nothing
  readonly 'described.difference': { readonly against: Part; readonly group: Part }
  readonly 'described.in-patients': { readonly patients: CountPart }
  readonly 'described.level': { readonly level: Part; readonly trait: Part }
  readonly 'described.model': { readonly events: Part; readonly incomplete: Part; readonly restorations: Part }
  readonly 'described.opening': { readonly apart: 'none' | 'some' | 'other'; readonly patients: CountPart; readonly restorations: CountPart }
  readonly 'described.others-in-all': Nothing
  readonly 'described.quartiles': { readonly lower: Part; readonly upper: Part }
  readonly 'described.restorations': Nothing
  readonly 'described.strata': { readonly strata: Part }
  readonly 'described.unit': Nothing
  readonly 'described.with-unit': { readonly trait: Part; readonly unit: Part }
  readonly 'document.contents': Nothing
  readonly 'document.figure': Nothing
  readonly 'document.figure-on-request': Nothing
  readonly 'document.footer': Nothing
  readonly 'document.generated': Nothing
  readonly 'document.generated-name': Nothing
  readonly 'document.generated-short': Nothing
  readonly 'document.made': { readonly date: Part }
  readonly 'document.plan-written-beforehand': Nothing
  readonly 'document.read-values': { readonly figure: Part }
  readonly 'document.table': Nothing
  readonly 'document.to-answer': Nothing
  readonly 'document.translated': Nothing
  readonly 'documents.about-report': Nothing
  readonly 'documents.about-summary': Nothing
  readonly 'documents.about-supplement': Nothing
  readonly 'documents.in-english': { readonly name: Part }
  readonly 'documents.report': Nothing
  readonly 'documents.start': Nothing
  readonly 'documents.summary': Nothing
  readonly 'documents.supplement': Nothing
  readonly 'documents.where': Nothing
  readonly 'endpoint.every.implant_loss': Nothing
  readonly 'endpoint.every.loss_of_retention': Nothing
  readonly 'endpoint.every.removal': Nothing
  readonly 'endpoint.every.screw_complication': Nothing
  readonly 'endpoint.every.screw_fracture': Nothing
  readonly 'endpoint.every.screw_loosening': Nothing
  readonly 'endpoint.every.veneer_chipping': Nothing
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
  readonly 'endpoint.plain.implant_loss': Nothing
  readonly 'endpoint.plain.loss_of_retention': Nothing
  readonly 'endpoint.plain.removal': Nothing
  readonly 'endpoint.plain.screw_complication': Nothing
  readonly 'endpoint.plain.screw_fracture': Nothing
  readonly 'endpoint.plain.screw_loosening': Nothing
  readonly 'endpoint.plain.veneer_chipping': Nothing
  readonly 'endpoint.title-one.implant_loss': Nothing
  readonly 'endpoint.title-one.loss_of_retention': Nothing
  readonly 'endpoint.title-one.removal': Nothing
  readonly 'endpoint.title-one.screw_complication': Nothing
  readonly 'endpoint.title-one.screw_fracture': Nothing
  readonly 'endpoint.title-one.screw_loosening': Nothing
  readonly 'endpoint.title-one.veneer_chipping': Nothing
  readonly 'endpoint.title.implant_loss': Nothing
  readonly 'endpoint.title.loss_of_retention': Nothing
  readonly 'endpoint.title.removal': Nothing
  readonly 'endpoint.title.screw_complication': Nothing
  readonly 'endpoint.title.screw_fracture': Nothing
  readonly 'endpoint.title.screw_loosening': Nothing
  readonly 'endpoint.title.veneer_chipping': Nothing
  readonly 'evidence.at-risk-at': { readonly column: Part; readonly years: Part }
  readonly 'evidence.at-risk-note': Nothing
  readonly 'evidence.base': { readonly competing: CountPart; readonly delivered: Part; readonly events: CountPart; readonly followed: 'yes' | 'other'; readonly median: Part; readonly one: Part; readonly patients: CountPart; readonly restorations: CountPart }
  readonly 'evidence.curve-of-those-free': { readonly name: Part }
  readonly 'evidence.delivered': { readonly first: Part; readonly last: Part }
  readonly 'evidence.delivered-in': { readonly year: Part }
  readonly 'evidence.few-events': { readonly events: CountPart; readonly many: Part; readonly one: Part }
  readonly 'evidence.free': { readonly interval: Part; readonly name: Part; readonly share: Part; readonly years: Part }
  readonly 'evidence.free-not-estimable': { readonly name: Part; readonly years: Part }
  readonly 'evidence.interval-line': { readonly interval: Part; readonly level: Part }
  readonly 'evidence.interval-name': { readonly level: Part }
  readonly 'evidence.key-rate': Nothing
  readonly 'evidence.key-risk': { readonly name: Part; readonly years: Part }
  readonly 'evidence.key-seen': { readonly name: Part }
  readonly 'evidence.more-rows': { readonly rows: Part }
  readonly 'evidence.no-interval': Nothing
  readonly 'evidence.no-interval-here': Nothing
  readonly 'evidence.no-rate': { readonly years: Part }
  readonly 'evidence.no-risk-by': { readonly years: Part }
  readonly 'evidence.of': { readonly part: Part; readonly whole: Part }
  readonly 'evidence.rate': { readonly interval: Part; readonly rate: Part; readonly years: Part }
  readonly 'evidence.risk-by': { readonly limits: Part; readonly risk: Part; readonly years: Part }
  readonly 'evidence.risks': { readonly intervals: Part; readonly one: Part; readonly risks: Part }
  readonly 'evidence.source-rows': Nothing
  readonly 'factor.levels': { readonly baseline: Part; readonly level: Part }
  readonly 'factor.step': { readonly of: 'delivery_year' | 'millimetres' | 'years' | 'other'; readonly step: CountPart }
  readonly 'field.abutment_origin': Nothing
  readonly 'field.achieved_torque_ncm': Nothing
  readonly 'field.age_at_delivery_years': Nothing
  readonly 'field.age_band': Nothing
  readonly 'field.arch': Nothing
  readonly 'field.bruxism': Nothing
  readonly 'field.cantilever_mm': Nothing
  readonly 'field.clinic_id': Nothing
  readonly 'field.component_system': Nothing
  readonly 'field.connection': Nothing
  readonly 'field.crown_height_mm': Nothing
  readonly 'field.crown_material': Nothing
  readonly 'field.delivery_day': Nothing
  readonly 'field.delivery_period': Nothing
  readonly 'field.delivery_year': Nothing
  readonly 'field.implant_diameter_mm': Nothing
  readonly 'field.implant_id': Nothing
  readonly 'field.implant_length_mm': Nothing
  readonly 'field.implant_lot': Nothing
  readonly 'field.occlusal_guard': Nothing
  readonly 'field.occlusal_scheme': Nothing
  readonly 'field.operator': Nothing
  readonly 'field.opposing': Nothing
  readonly 'field.patient_id': Nothing
  readonly 'field.region': Nothing
  readonly 'field.restoration_id': Nothing
  readonly 'field.restoration_type': Nothing
  readonly 'field.retention_mode': Nothing
  readonly 'field.screw_channel_angle_deg': Nothing
  readonly 'field.screw_coating': Nothing
  readonly 'field.screw_lot': Nothing
  readonly 'field.screw_material': Nothing
  readonly 'field.seating_jig': Nothing
  readonly 'field.seating_radiograph': Nothing
  readonly 'field.sex': Nothing
  readonly 'field.target_torque_ncm': Nothing
  readonly 'field.tightening': Nothing
  readonly 'field.tightening_group': Nothing
  readonly 'field.tightening_reason': Nothing
  readonly 'field.tooth_position': Nothing
  readonly 'field.wait_minutes': Nothing
  readonly 'group.all': Nothing
  readonly 'group.brief.repeated': Nothing
  readonly 'group.brief.single': Nothing
  readonly 'group.column': Nothing
  readonly 'group.in-sentence.other': Nothing
  readonly 'group.in-sentence.repeated-in-window': { readonly from: Part; readonly to: Part }
  readonly 'group.in-sentence.repeated-outside-window': Nothing
  readonly 'group.in-sentence.single': Nothing
  readonly 'group.in-sentence.single-by-chart': Nothing
  readonly 'group.in-sentence.undone': Nothing
  readonly 'group.in-sentence.unknown': Nothing
  readonly 'group.in-sentence.wait-not-recorded': Nothing
  readonly 'group.other': Nothing
  readonly 'group.repeated-in-window': { readonly from: Part; readonly to: Part }
  readonly 'group.repeated-outside-window': { readonly from: Part; readonly to: Part }
  readonly 'group.short.all': Nothing
  readonly 'group.short.other': Nothing
  readonly 'group.short.repeated-in-window': Nothing
  readonly 'group.short.repeated-outside-window': Nothing
  readonly 'group.short.single': Nothing
  readonly 'group.short.single-by-chart': Nothing
  readonly 'group.short.undone': Nothing
  readonly 'group.short.unknown': Nothing
  readonly 'group.short.wait-not-recorded': Nothing
  readonly 'group.single': Nothing
  readonly 'group.single-by-chart': Nothing
  readonly 'group.undone': Nothing
  readonly 'group.unknown': Nothing
  readonly 'group.wait-not-recorded': Nothing
  readonly 'group.window': { readonly from: Part; readonly to: Part }
  readonly 'hazard.chart': Nothing
  readonly 'hazard.chart-caption': Nothing
  readonly 'hazard.chart-rates': { readonly group: Part; readonly rates: Part }
  readonly 'hazard.chart-span': { readonly from: Part; readonly rate: Part; readonly to: Part }
  readonly 'hazard.chart-span-open': { readonly from: Part; readonly rate: Part }
  readonly 'hazard.first-and-last': { readonly first: Part; readonly from: Part; readonly last: Part; readonly many: Part }
  readonly 'hazard.first-only': { readonly first: Part; readonly many: Part }
  readonly 'hazard.found-when-looked': Nothing
  readonly 'hazard.method': Nothing
  readonly 'hazard.none': { readonly many: Part }
  readonly 'hazard.rate': { readonly estimate: Part; readonly events: CountPart; readonly interval: Part; readonly level: Part }
  readonly 'hazard.span': Nothing
  readonly 'hazard.span-between': { readonly from: Part; readonly to: Part }
  readonly 'hazard.span-open': { readonly from: Part }
  readonly 'hazard.spans': Nothing
  readonly 'hazard.title': Nothing
  readonly 'how-often.at-limit': { readonly patients: CountPart; readonly restorations: CountPart; readonly upper: Part; readonly years: Part }
  readonly 'how-often.between-looks': { readonly lower: Part; readonly upper: Part }
  readonly 'how-often.bounds': { readonly all: Part; readonly asSeen: Part; readonly none: Part; readonly one: Part; readonly years: Part }
  readonly 'how-often.estimate': { readonly interval: Part; readonly one: Part; readonly risk: Part; readonly years: Part }
  readonly 'how-often.followed': { readonly followed: CountPart; readonly recall: Part; readonly unseen: CountPart }
  readonly 'how-often.further-year': { readonly further: CountPart; readonly lower: Part; readonly none: 'yes' | 'other'; readonly restorationYears: Part; readonly upper: Part }
  readonly 'how-often.left-out': { readonly eligible: Part; readonly left: CountPart; readonly share: Part }
  readonly 'how-often.left-out-label': Nothing
  readonly 'how-often.loss-contradicts': Nothing
  readonly 'how-often.next-look': { readonly risk: Part; readonly share: Part; readonly years: Part }
  readonly 'how-often.next-look-not-counted': { readonly findings: CountPart }
  readonly 'how-often.no-tick': Nothing
  readonly 'how-often.no-time-at-risk': { readonly restorations: CountPart }
  readonly 'how-often.none-seen': { readonly level: Part; readonly name: Part; readonly oneEvent: Part; readonly restorationYears: Part; readonly restorations: CountPart; readonly upper: Part }
  readonly 'how-often.none-seen-beyond': { readonly years: Part }
  readonly 'how-often.none-seen-by': { readonly limits: Part; readonly restorationYears: Part }
  readonly 'how-often.none-seen-no-horizon': { readonly least: Part }
  readonly 'how-often.none-seen-no-limit': { readonly name: Part; readonly oneEvent: Part; readonly restorationYears: Part; readonly restorations: CountPart }
  readonly 'how-often.none-seen-yet': Nothing
  readonly 'how-often.shorter-horizon': { readonly least: Part; readonly wished: Part; readonly years: Part }
  readonly 'how-often.ticks-not-counted': { readonly findings: CountPart }
  readonly 'how-often.ticks-only': { readonly risk: Part; readonly years: Part }
  readonly 'how-often.visits-not-recorded': Nothing
  readonly 'how-often.withheld-few-at-risk': { readonly events: CountPart; readonly least: Part; readonly one: Part; readonly restorationYears: Part; readonly restorations: Part }
  readonly 'how-often.withheld-left-out': { readonly eligible: Part; readonly left: Part; readonly share: Part }
  readonly 'how-often.years': { readonly half: 'yes' | 'other'; readonly years: CountPart }
  readonly 'identifier.a-bank-account-number': Nothing
  readonly 'identifier.a-code-that-is-different-on-nearly-every-row': Nothing
  readonly 'identifier.a-date-of-birth': Nothing
  readonly 'identifier.a-device-identifier': Nothing
  readonly 'identifier.a-licence-plate': Nothing
  readonly 'identifier.a-name': Nothing
  readonly 'identifier.a-name-in-the-header-itself': Nothing
  readonly 'identifier.a-national-insurance-number': Nothing
  readonly 'identifier.a-national-insurance-or-account-number': Nothing
  readonly 'identifier.a-national-insurance-or-licence-number': Nothing
  readonly 'identifier.a-network-card-address': Nothing
  readonly 'identifier.a-number-as-long-as-that-of-a-person-a-telephone-or-an-account': Nothing
  readonly 'identifier.a-number-of-a-person-a-record-or-a-contract': Nothing
  readonly 'identifier.a-payment-card-number': Nothing
  readonly 'identifier.a-picture-or-scan': Nothing
  readonly 'identifier.a-place-or-person-that-narrows-down-who-it-is': Nothing
  readonly 'identifier.a-place-where-somebody-lives': Nothing
  readonly 'identifier.a-postcode': Nothing
  readonly 'identifier.a-record-or-chart-number': Nothing
  readonly 'identifier.a-serial-number-of-a-device': Nothing
  readonly 'identifier.a-social-security-number': Nothing
  readonly 'identifier.a-street-address': Nothing
  readonly 'identifier.a-tax-or-identity-number': Nothing
  readonly 'identifier.a-telephone-number': Nothing
  readonly 'identifier.a-telephone-or-fax-number': Nothing
  readonly 'identifier.a-vehicle-identification-number': Nothing
  readonly 'identifier.a-vehicle-or-device-serial': Nothing
  readonly 'identifier.a-web-address': Nothing
  readonly 'identifier.a-year-of-birth': Nothing
  readonly 'identifier.an-account-number': Nothing
  readonly 'identifier.an-address-or-small-area': Nothing
  readonly 'identifier.an-e-mail-address': Nothing
  readonly 'identifier.an-electronic-address': Nothing
  readonly 'identifier.an-ip-address': Nothing
  readonly 'identifier.an-nhs-number': Nothing
  readonly 'identifier.biometrics-or-an-image': Nothing
  readonly 'identifier.dates-in-a-column-that-is-none-of-the-date-columns-of-the-records': Nothing
  readonly 'identifier.dates-of-birth': Nothing
  readonly 'identifier.free-text': Nothing
  readonly 'identifier.initials': Nothing
  readonly 'identifier.surnames-or-given-names': Nothing
  readonly 'identifier.text-in-letters-that-are-not-searched': Nothing
  readonly 'identifier.the-lot-of-a-device': Nothing
  readonly 'label.adjusted': Nothing
  readonly 'label.allFiles': Nothing
  readonly 'label.allows-also': { readonly names: Part }
  readonly 'label.allows-crude': Nothing
  readonly 'label.allows-nothing': Nothing
  readonly 'label.column.afterLastLook': Nothing
  readonly 'label.column.allowsFor': Nothing
  readonly 'label.column.atRisk': Nothing
  readonly 'label.column.baseline': Nothing
  readonly 'label.column.checksum': Nothing
  readonly 'label.column.comparison': Nothing
  readonly 'label.column.competing': Nothing
  readonly 'label.column.count': Nothing
  readonly 'label.column.countOrMedian': Nothing
  readonly 'label.column.degrees': Nothing
  readonly 'label.column.difference': Nothing
  readonly 'label.column.events': Nothing
  readonly 'label.column.expected': Nothing
  readonly 'label.column.expectedAndMend': Nothing
  readonly 'label.column.field': Nothing
  readonly 'label.column.file': Nothing
  readonly 'label.column.followUp': Nothing
  readonly 'label.column.found': Nothing
  readonly 'label.column.group': Nothing
  readonly 'label.column.known': Nothing
  readonly 'label.column.leftOut': Nothing
  readonly 'label.column.mend': Nothing
  readonly 'label.column.method': Nothing
  readonly 'label.column.midpoint': Nothing
  readonly 'label.column.pValue': Nothing
  readonly 'label.column.page': Nothing
  readonly 'label.column.patients': Nothing
  readonly 'label.column.place': Nothing
  readonly 'label.column.problem': Nothing
  readonly 'label.column.quantity': Nothing
  readonly 'label.column.rate': Nothing
  readonly 'label.column.ratio': Nothing
  readonly 'label.column.read': Nothing
  readonly 'label.column.reason': Nothing
  readonly 'label.column.remaining': Nothing
  readonly 'label.column.restorationYears': Nothing
  readonly 'label.column.restorations': Nothing
  readonly 'label.column.rows': Nothing
  readonly 'label.column.setAside': Nothing
  readonly 'label.column.setting': Nothing
  readonly 'label.column.share': Nothing
  readonly 'label.column.shareOrQuartiles': Nothing
  readonly 'label.column.standardisedDifference': Nothing
  readonly 'label.column.statistic': Nothing
  readonly 'label.column.step': Nothing
  readonly 'label.column.table': Nothing
  readonly 'label.column.term': Nothing
  readonly 'label.column.test': Nothing
  readonly 'label.column.trait': Nothing
  readonly 'label.column.unknown': Nothing
  readonly 'label.column.value': Nothing
  readonly 'label.column.what': Nothing
  readonly 'label.column.years': Nothing
  readonly 'label.crude': Nothing
  readonly 'label.kicker': Nothing
  readonly 'label.noRows': Nothing
  readonly 'label.notKnown': Nothing
  readonly 'label.perMillimetre': Nothing
  readonly 'label.perYear': Nothing
  readonly 'label.quantity.difference': Nothing
  readonly 'label.quantity.followUp': Nothing
  readonly 'label.quantity.proportion': Nothing
  readonly 'label.quantity.rate': Nothing
  readonly 'label.quantity.ratio': Nothing
  readonly 'label.quantity.retention': Nothing
  readonly 'label.quantity.risk': Nothing
  readonly 'label.quantity.test': Nothing
  readonly 'label.readWithCare': Nothing
  readonly 'label.section.answer': Nothing
  readonly 'label.section.cautions': Nothing
  readonly 'label.section.cohort': Nothing
  readonly 'label.section.comparison': Nothing
  readonly 'label.section.definitions': Nothing
  readonly 'label.section.described': Nothing
  readonly 'label.section.incidence': Nothing
  readonly 'label.section.limitations': Nothing
  readonly 'label.section.methods': Nothing
  readonly 'label.section.provenance': Nothing
  readonly 'label.section.quality': Nothing
  readonly 'label.section.retention': Nothing
  readonly 'label.wholeFile': Nothing
  readonly 'label.years': { readonly years: CountPart }
  readonly 'leaflet.advice-call': Nothing
  readonly 'leaflet.advice-checks': Nothing
  readonly 'leaflet.advice-screw': Nothing
  readonly 'leaflet.array': { readonly things: 'crowns' | 'other' }
  readonly 'leaflet.compared': Nothing
  readonly 'leaflet.compared-cannot-be-compared': Nothing
  readonly 'leaflet.compared-cannot-be-known': { readonly event: Part }
  readonly 'leaflet.compared-open': Nothing
  readonly 'leaflet.compared-shares': { readonly against: Part; readonly againstBound: 'yes' | 'other'; readonly event: Part; readonly group: Part; readonly groupBound: 'yes' | 'other'; readonly years: Part }
  readonly 'leaflet.contact': Nothing
  readonly 'leaflet.contact-nights': Nothing
  readonly 'leaflet.contact-practice': Nothing
  readonly 'leaflet.for-paper': Nothing
  readonly 'leaflet.for-patient': Nothing
  readonly 'leaflet.kicker': Nothing
  readonly 'leaflet.limits': Nothing
  readonly 'leaflet.limits-generated': Nothing
  readonly 'leaflet.limits-many': Nothing
  readonly 'leaflet.limits-never-checked': Nothing
  readonly 'leaflet.limits-no-advice': Nothing
  readonly 'leaflet.means': Nothing
  readonly 'leaflet.not-never': Nothing
  readonly 'leaflet.often': Nothing
  readonly 'leaflet.one-way': Nothing
  readonly 'leaflet.risk': { readonly bound: 'yes' | 'other'; readonly event: Part; readonly share: Part; readonly things: 'crowns' | 'other'; readonly years: Part }
  readonly 'leaflet.risk-from-to': { readonly lower: Part; readonly upper: Part }
  readonly 'leaflet.risk-none': { readonly event: Part; readonly restorations: CountPart; readonly things: 'crowns' | 'other' }
  readonly 'leaflet.risk-none-followed': { readonly months: Part; readonly restorations: CountPart }
  readonly 'leaflet.risk-none-up-to': { readonly bound: 'yes' | 'other'; readonly upper: Part }
  readonly 'leaflet.risk-not-reached': { readonly event: Part; readonly events: Part; readonly restorations: CountPart; readonly things: 'crowns' | 'other' }
  readonly 'leaflet.risk-withheld': { readonly eligible: CountPart; readonly left: Part; readonly things: 'crowns' | 'other' }
  readonly 'leaflet.risk-without-interval': Nothing
  readonly 'leaflet.summary': { readonly part: 'yes' | 'other'; readonly patients: CountPart; readonly restorations: CountPart; readonly things: 'crowns' | 'other' }
  readonly 'leaflet.title': { readonly things: 'crowns' | 'other' }
  readonly 'leaflet.ways': { readonly from: Part; readonly to: Part }
  readonly 'leaflet.ways-other': Nothing
  readonly 'leaflet.words-title': Nothing
  readonly 'left-out.event-before-recording': Nothing
  readonly 'left-out.identical-rows': Nothing
  readonly 'left-out.never-checked': Nothing
  readonly 'left-out.no-time-at-risk': Nothing
  readonly 'left-out.not-asked-for': Nothing
  readonly 'left-out.other-type': Nothing
  readonly 'left-out.outcome-unreadable': Nothing
  readonly 'left-out.screwless': Nothing
  readonly 'left-out.set-aside': Nothing
  readonly 'left-out.type-unknown': Nothing
  readonly 'level.abutment_origin.cast_gold': Nothing
  readonly 'level.abutment_origin.milled_titanium': Nothing
  readonly 'level.abutment_origin.other': Nothing
  readonly 'level.abutment_origin.stock_titanium': Nothing
  readonly 'level.abutment_origin.titanium_base': Nothing
  readonly 'level.abutment_origin.zirconia': Nothing
  readonly 'level.action_taken.implant_removed': Nothing
  readonly 'level.action_taken.recemented': Nothing
  readonly 'level.action_taken.remade': Nothing
  readonly 'level.action_taken.repaired': Nothing
  readonly 'level.action_taken.screw_replaced': Nothing
  readonly 'level.action_taken.tightened': Nothing
  readonly 'level.action_taken.watched': Nothing
  readonly 'level.all-others': Nothing
  readonly 'level.arch.lower': Nothing
  readonly 'level.arch.upper': Nothing
  readonly 'level.below': { readonly below: Part }
  readonly 'level.bruxism.definite': Nothing
  readonly 'level.bruxism.none': Nothing
  readonly 'level.bruxism.possible': Nothing
  readonly 'level.bruxism.probable': Nothing
  readonly 'level.connection.conical': Nothing
  readonly 'level.connection.external_hex': Nothing
  readonly 'level.connection.external_other': Nothing
  readonly 'level.connection.internal_hex': Nothing
  readonly 'level.connection.internal_other': Nothing
  readonly 'level.connection.screwless': Nothing
  readonly 'level.crown_material.acrylic': Nothing
  readonly 'level.crown_material.lithium_disilicate': Nothing
  readonly 'level.crown_material.metal': Nothing
  readonly 'level.crown_material.metal_ceramic': Nothing
  readonly 'level.crown_material.monolithic_zirconia': Nothing
  readonly 'level.crown_material.other': Nothing
  readonly 'level.crown_material.resin_composite': Nothing
  readonly 'level.crown_material.veneered_zirconia': Nothing
  readonly 'level.finding.abutment_fracture': Nothing
  readonly 'level.finding.access_filling_loss': Nothing
  readonly 'level.finding.framework_fracture': Nothing
  readonly 'level.finding.implant_loss': Nothing
  readonly 'level.finding.loss_of_retention': Nothing
  readonly 'level.finding.none': Nothing
  readonly 'level.finding.other': Nothing
  readonly 'level.finding.screw_fracture': Nothing
  readonly 'level.finding.screw_loosening': Nothing
  readonly 'level.finding.veneer_chipping': Nothing
  readonly 'level.from': { readonly from: Part }
  readonly 'level.occlusal_guard.no': Nothing
  readonly 'level.occlusal_guard.yes': Nothing
  readonly 'level.occlusal_scheme.canine': Nothing
  readonly 'level.occlusal_scheme.group': Nothing
  readonly 'level.occlusal_scheme.lingualised': Nothing
  readonly 'level.occlusal_scheme.mutually_protected': Nothing
  readonly 'level.occlusal_scheme.other': Nothing
  readonly 'level.opposing.implant_fixed': Nothing
  readonly 'level.opposing.natural': Nothing
  readonly 'level.opposing.none': Nothing
  readonly 'level.opposing.removable': Nothing
  readonly 'level.opposing.tooth_restoration': Nothing
  readonly 'level.range': { readonly below: Part; readonly from: Part }
  readonly 'level.rare-levels': Nothing
  readonly 'level.region.anterior': Nothing
  readonly 'level.region.molar': Nothing
  readonly 'level.region.premolar': Nothing
  readonly 'level.restoration_status.in_place': Nothing
  readonly 'level.restoration_status.in_place_modified': Nothing
  readonly 'level.restoration_status.lost': Nothing
  readonly 'level.restoration_status.removed': Nothing
  readonly 'level.restoration_type.fixed_partial': Nothing
  readonly 'level.restoration_type.fixed_partial_cantilever': Nothing
  readonly 'level.restoration_type.full_arch': Nothing
  readonly 'level.restoration_type.single_crown': Nothing
  readonly 'level.restoration_type.splinted_crowns': Nothing
  readonly 'level.retention_mode.cement': Nothing
  readonly 'level.retention_mode.screw': Nothing
  readonly 'level.retention_mode.screw_and_cement': Nothing
  readonly 'level.screw_coating.carbon': Nothing
  readonly 'level.screw_coating.gold': Nothing
  readonly 'level.screw_coating.none': Nothing
  readonly 'level.screw_coating.other': Nothing
  readonly 'level.screw_coating.polymer': Nothing
  readonly 'level.screw_material.gold_alloy': Nothing
  readonly 'level.screw_material.other': Nothing
  readonly 'level.screw_material.titanium_alloy': Nothing
  readonly 'level.seating_jig.no': Nothing
  readonly 'level.seating_jig.yes': Nothing
  readonly 'level.seating_radiograph.no': Nothing
  readonly 'level.seating_radiograph.yes': Nothing
  readonly 'level.sex.female': Nothing
  readonly 'level.sex.male': Nothing
  readonly 'level.sex.other': Nothing
  readonly 'level.tightening.all': Nothing
  readonly 'level.tightening.other': Nothing
  readonly 'level.tightening.repeated-in-window': Nothing
  readonly 'level.tightening.repeated-outside-window': Nothing
  readonly 'level.tightening.single': Nothing
  readonly 'level.tightening.single-by-chart': Nothing
  readonly 'level.tightening.undone': Nothing
  readonly 'level.tightening.unknown': Nothing
  readonly 'level.tightening.wait-not-recorded': Nothing
  readonly 'level.tightening_group.other': Nothing
  readonly 'level.tightening_group.repeated': Nothing
  readonly 'level.tightening_group.single': Nothing
  readonly 'level.tightening_reason.manufacturer_instruction': Nothing
  readonly 'level.tightening_reason.operator_choice': Nothing
  readonly 'level.tightening_reason.other': Nothing
  readonly 'level.tightening_reason.period_policy': Nothing
  readonly 'level.tightening_reason.random': Nothing
  readonly 'level.tightening_reason.unknown': Nothing
  readonly 'level.unknown': Nothing
  readonly 'life-table.at-start': Nothing
  readonly 'life-table.caption': Nothing
  readonly 'life-table.competing': Nothing
  readonly 'life-table.effective': Nothing
  readonly 'life-table.events': Nothing
  readonly 'life-table.free': Nothing
  readonly 'life-table.late-entry': { readonly restorations: CountPart }
  readonly 'life-table.note': Nothing
  readonly 'life-table.probability': Nothing
  readonly 'life-table.span': { readonly from: Part; readonly to: Part }
  readonly 'life-table.withdrawn': Nothing
  readonly 'life-table.year': Nothing
  readonly 'limitation.clustering': { readonly patients: Part; readonly restorations: Part }
  readonly 'limitation.competing': { readonly many: CountPart }
  readonly 'limitation.competing-beyond-recall': { readonly many: CountPart }
  readonly 'limitation.endings-without-column': { readonly what: 'deaths' | 'removals' | 'other' }
  readonly 'limitation.exposure-disagrees': { readonly many: CountPart }
  readonly 'limitation.few-events': { readonly events: CountPart; readonly many: Part; readonly name: Part }
  readonly 'limitation.few-events-compared': { readonly against: Part; readonly group: Part }
  readonly 'limitation.few-events-in-model': { readonly many: CountPart }
  readonly 'limitation.few-operators': { readonly many: CountPart }
  readonly 'limitation.few-patients': { readonly many: Part }
  readonly 'limitation.form-of-records': { readonly gaps: Part }
  readonly 'limitation.found-at-visits': Nothing
  readonly 'limitation.generated': Nothing
  readonly 'limitation.incomplete': { readonly names: Part }
  readonly 'limitation.late-entry': { readonly many: CountPart }
  readonly 'limitation.little-overlap': { readonly share: Part }
  readonly 'limitation.lost': { readonly against: Part; readonly againstName: Part; readonly group: Part; readonly groupName: Part; readonly tried: 'yes' | 'other' }
  readonly 'limitation.never-checked': { readonly many: CountPart }
  readonly 'limitation.no-events': { readonly name: Part; readonly restorations: CountPart }
  readonly 'limitation.no-plan': Nothing
  readonly 'limitation.none': Nothing
  readonly 'limitation.not-assigned-by-chance': Nothing
  readonly 'limitation.not-recorded': { readonly names: Part }
  readonly 'limitation.one-clinic': Nothing
  readonly 'limitation.one-patient': Nothing
  readonly 'limitation.opening': Nothing
  readonly 'limitation.reported-exposure': { readonly many: CountPart }
  readonly 'limitation.rows-set-aside': { readonly restorations: Part; readonly tightenings: Part; readonly visits: Part }
  readonly 'limitation.short-follow-up': { readonly atRisk: Part; readonly median: Part; readonly years: Part }
  readonly 'limitation.unequal-follow-up': { readonly against: Part; readonly againstYears: Part; readonly group: Part; readonly groupYears: Part }
  readonly 'limitation.unknown-exposure': { readonly many: CountPart }
  readonly 'literature.about': Nothing
  readonly 'literature.about.cemented-73': Nothing
  readonly 'literature.about.crowns-26': Nothing
  readonly 'literature.about.crowns-46': Nothing
  readonly 'literature.about.external': Nothing
  readonly 'literature.about.implants-18': Nothing
  readonly 'literature.about.implants-1928': Nothing
  readonly 'literature.about.implants-imputed-18': Nothing
  readonly 'literature.about.internal': Nothing
  readonly 'literature.about.lost-26': Nothing
  readonly 'literature.about.lost-46': Nothing
  readonly 'literature.about.metal-ceramic-35': Nothing
  readonly 'literature.about.posterior-391': Nothing
  readonly 'literature.about.prostheses-177': Nothing
  readonly 'literature.about.retention-46': Nothing
  readonly 'literature.about.screw-or-abutment-26': Nothing
  readonly 'literature.about.screw-retained-222': Nothing
  readonly 'literature.about.screw-retained-73': Nothing
  readonly 'literature.about.split-mouth-cemented': Nothing
  readonly 'literature.about.split-mouth-screw-retained': Nothing
  readonly 'literature.about.veneer-26': Nothing
  readonly 'literature.about.veneer-46': Nothing
  readonly 'literature.basis': { readonly meaning: Part }
  readonly 'literature.chart': Nothing
  readonly 'literature.chart-caption': Nothing
  readonly 'literature.chart-no-line': Nothing
  readonly 'literature.chart-own': { readonly years: Part }
  readonly 'literature.chart-published': { readonly detail: Part; readonly source: Part; readonly years: Part }
  readonly 'literature.follow-up.2-to-5-years': Nothing
  readonly 'literature.follow-up.5-to-10-years': Nothing
  readonly 'literature.follow-up.about-5-years': Nothing
  readonly 'literature.follow-up.loosening-10-months': Nothing
  readonly 'literature.follow-up.mean-31-months': Nothing
  readonly 'literature.follow-up.not-stated': Nothing
  readonly 'literature.matched': Nothing
  readonly 'literature.memory': Nothing
  readonly 'literature.no-interval': Nothing
  readonly 'literature.own': Nothing
  readonly 'literature.own-about': Nothing
  readonly 'literature.part.cemented-73': Nothing
  readonly 'literature.part.crowns-26': Nothing
  readonly 'literature.part.crowns-46': Nothing
  readonly 'literature.part.external': Nothing
  readonly 'literature.part.implants-18': Nothing
  readonly 'literature.part.implants-imputed-18': Nothing
  readonly 'literature.part.internal': Nothing
  readonly 'literature.part.lost-26': Nothing
  readonly 'literature.part.lost-46': Nothing
  readonly 'literature.part.metal-ceramic-35': Nothing
  readonly 'literature.part.retention-46': Nothing
  readonly 'literature.part.screw-or-abutment-26': Nothing
  readonly 'literature.part.screw-retained-73': Nothing
  readonly 'literature.part.veneer-26': Nothing
  readonly 'literature.part.veneer-46': Nothing
  readonly 'literature.published': { readonly ranges: Part }
  readonly 'literature.published-by': { readonly least: Part; readonly most: Part; readonly same: 'yes' | 'other'; readonly years: Part }
  readonly 'literature.risk-by': { readonly interval: Part; readonly level: Part; readonly risk: Part; readonly years: Part }
  readonly 'literature.risks': { readonly name: Part; readonly risks: Part }
  readonly 'literature.span': { readonly years: Part }
  readonly 'literature.title': Nothing
  readonly 'literature.too-short': { readonly name: Part }
  readonly 'literature.unmatched': Nothing
  readonly 'manuscript.abstract-background': Nothing
  readonly 'manuscript.abstract-compared': Nothing
  readonly 'manuscript.abstract-conclusions': Nothing
  readonly 'manuscript.abstract-followed': { readonly median: Part; readonly patients: CountPart; readonly restorations: CountPart }
  readonly 'manuscript.abstract-keywords': Nothing
  readonly 'manuscript.abstract-methods': { readonly clinics: CountPart; readonly delivered: 'none' | 'same' | 'other'; readonly endpoint: Part; readonly first: Part; readonly last: Part; readonly types: Part }
  readonly 'manuscript.asks.10': Nothing
  readonly 'manuscript.asks.11': Nothing
  readonly 'manuscript.asks.12a': Nothing
  readonly 'manuscript.asks.12b': Nothing
  readonly 'manuscript.asks.12c': Nothing
  readonly 'manuscript.asks.12d': Nothing
  readonly 'manuscript.asks.12e': Nothing
  readonly 'manuscript.asks.13a': Nothing
  readonly 'manuscript.asks.13b': Nothing
  readonly 'manuscript.asks.13c': Nothing
  readonly 'manuscript.asks.14a': Nothing
  readonly 'manuscript.asks.14b': Nothing
  readonly 'manuscript.asks.14c': Nothing
  readonly 'manuscript.asks.15': Nothing
  readonly 'manuscript.asks.16a': Nothing
  readonly 'manuscript.asks.16b': Nothing
  readonly 'manuscript.asks.16c': Nothing
  readonly 'manuscript.asks.17': Nothing
  readonly 'manuscript.asks.18': Nothing
  readonly 'manuscript.asks.19': Nothing
  readonly 'manuscript.asks.1a': Nothing
  readonly 'manuscript.asks.1b': Nothing
  readonly 'manuscript.asks.2': Nothing
  readonly 'manuscript.asks.20': Nothing
  readonly 'manuscript.asks.21': Nothing
  readonly 'manuscript.asks.22': Nothing
  readonly 'manuscript.asks.3': Nothing
  readonly 'manuscript.asks.4': Nothing
  readonly 'manuscript.asks.5': Nothing
  readonly 'manuscript.asks.6': Nothing
  readonly 'manuscript.asks.7': Nothing
  readonly 'manuscript.asks.8': Nothing
  readonly 'manuscript.asks.9': Nothing
  readonly 'manuscript.before-submitting': Nothing
  readonly 'manuscript.blanks-left': Nothing
  readonly 'manuscript.by-method': { readonly cited: Part; readonly method: Part }
  readonly 'manuscript.by-methods': { readonly cited: Part; readonly method: Part; readonly others: Part; readonly othersCited: Part }
  readonly 'manuscript.challenges': Nothing
  readonly 'manuscript.checklist-caption': Nothing
  readonly 'manuscript.checklist-intro': Nothing
  readonly 'manuscript.column.asks': Nothing
  readonly 'manuscript.column.item': Nothing
  readonly 'manuscript.column.place': Nothing
  readonly 'manuscript.column.state': Nothing
  readonly 'manuscript.conclusion': { readonly endpoint: Part; readonly interval: Part; readonly restorationYears: Part; readonly risk: Part; readonly years: Part }
  readonly 'manuscript.conclusion-limits': Nothing
  readonly 'manuscript.day-not-stated': Nothing
  readonly 'manuscript.declaration.conflicts': Nothing
  readonly 'manuscript.declaration.contributions': Nothing
  readonly 'manuscript.declaration.data': Nothing
  readonly 'manuscript.declaration.funding': Nothing
  readonly 'manuscript.declaration.thanks': Nothing
  readonly 'manuscript.declared.conflicts': Nothing
  readonly 'manuscript.declared.contributions': Nothing
  readonly 'manuscript.declared.data': Nothing
  readonly 'manuscript.declared.funding': Nothing
  readonly 'manuscript.declared.thanks': Nothing
  readonly 'manuscript.discussion-interpretation': Nothing
  readonly 'manuscript.discussion-limitations': Nothing
  readonly 'manuscript.discussion-reach': Nothing
  readonly 'manuscript.either': { readonly left: Part; readonly right: Part }
  readonly 'manuscript.estimate': { readonly allowed: Part; readonly cited: Part; readonly endpoint: Part; readonly years: Part }
  readonly 'manuscript.estimate-interval': Nothing
  readonly 'manuscript.ethics': Nothing
  readonly 'manuscript.follow-up': { readonly days: Part }
  readonly 'manuscript.handling': { readonly from: Part; readonly to: Part }
  readonly 'manuscript.heading.comparison': Nothing
  readonly 'manuscript.heading.ethics': Nothing
  readonly 'manuscript.heading.follow-up': Nothing
  readonly 'manuscript.heading.handling': Nothing
  readonly 'manuscript.heading.interpretation': Nothing
  readonly 'manuscript.heading.key-results': Nothing
  readonly 'manuscript.heading.limitations': Nothing
  readonly 'manuscript.heading.often': Nothing
  readonly 'manuscript.heading.outcome': Nothing
  readonly 'manuscript.heading.participants': Nothing
  readonly 'manuscript.heading.reach': Nothing
  readonly 'manuscript.heading.sensitivity': Nothing
  readonly 'manuscript.heading.setting': Nothing
  readonly 'manuscript.heading.single': Nothing
  readonly 'manuscript.heading.size': Nothing
  readonly 'manuscript.heading.statistics': Nothing
  readonly 'manuscript.heading.who': Nothing
  readonly 'manuscript.imputed': { readonly cited: Part; readonly imputations: Part }
  readonly 'manuscript.introduction-known': Nothing
  readonly 'manuscript.introduction-objective': Nothing
  readonly 'manuscript.introduction-unknown': Nothing
  readonly 'manuscript.key-results-author': Nothing
  readonly 'manuscript.kicker': Nothing
  readonly 'manuscript.no-estimate': Nothing
  readonly 'manuscript.outcome': { readonly meaning: Part; readonly name: Part }
  readonly 'manuscript.paper-found': { readonly events: Part; readonly one: Part; readonly patients: CountPart; readonly restorations: CountPart }
  readonly 'manuscript.paper-none': { readonly events: CountPart; readonly level: Part; readonly limit: 'none' | 'other'; readonly median: Part; readonly method: Part; readonly name: Part; readonly patients: CountPart; readonly restorations: CountPart; readonly upper: Part }
  readonly 'manuscript.paper-risk': { readonly detail: 'full' | 'other'; readonly events: CountPart; readonly interval: Part; readonly level: Part; readonly limits: 'none' | 'other'; readonly method: Part; readonly name: Part; readonly patients: CountPart; readonly restorations: CountPart; readonly risk: Part; readonly years: Part }
  readonly 'manuscript.part.background': Nothing
  readonly 'manuscript.part.conclusions': Nothing
  readonly 'manuscript.part.keywords': Nothing
  readonly 'manuscript.part.methods': Nothing
  readonly 'manuscript.part.results': Nothing
  readonly 'manuscript.participants': { readonly part: 'yes' | 'other'; readonly types: Part }
  readonly 'manuscript.plan-default': { readonly margin: Part }
  readonly 'manuscript.plan-written': { readonly day: Part; readonly hash: Part; readonly margin: Part }
  readonly 'manuscript.read-it': Nothing
  readonly 'manuscript.records-came': { readonly form: 'tables' | 'other'; readonly read: Part; readonly setAside: Part }
  readonly 'manuscript.section.abstract': Nothing
  readonly 'manuscript.section.checklist': Nothing
  readonly 'manuscript.section.declarations': Nothing
  readonly 'manuscript.section.discussion': Nothing
  readonly 'manuscript.section.introduction': Nothing
  readonly 'manuscript.section.methods': Nothing
  readonly 'manuscript.section.references': Nothing
  readonly 'manuscript.section.results': Nothing
  readonly 'manuscript.section.supplement': Nothing
  readonly 'manuscript.setting': { readonly cited: Part; readonly clinics: CountPart; readonly delivered: 'none' | 'same' | 'other'; readonly first: Part; readonly last: Part; readonly operators: CountPart }
  readonly 'manuscript.size-all': Nothing
  readonly 'manuscript.size-needed': { readonly cited: Part; readonly margin: Part; readonly restorations: Part }
  readonly 'manuscript.size-set': Nothing
  readonly 'manuscript.software': { readonly hash: Part; readonly level: Part; readonly seed: Part; readonly version: Part }
  readonly 'manuscript.state.author': Nothing
  readonly 'manuscript.state.here': Nothing
  readonly 'manuscript.state.part': Nothing
  readonly 'manuscript.statistics-clustered': { readonly correlation: Part; readonly effect: Part }
  readonly 'manuscript.statistics-compared': { readonly against: Part; readonly curves: Part; readonly differences: Part; readonly group: Part; readonly ratios: Part }
  readonly 'manuscript.statistics-curve': { readonly methods: Part }
  readonly 'manuscript.statistics-differences': { readonly cited: Part }
  readonly 'manuscript.statistics-ends': { readonly least: Part }
  readonly 'manuscript.statistics-follow-up': { readonly methods: Part }
  readonly 'manuscript.statistics-independent': Nothing
  readonly 'manuscript.statistics-life-table': { readonly cited: Part }
  readonly 'manuscript.statistics-rates': { readonly methods: Part }
  readonly 'manuscript.statistics-risk': { readonly endpoint: Part; readonly horizons: Part; readonly last: CountPart; readonly methods: Part }
  readonly 'manuscript.statistics-shares': { readonly methods: Part }
  readonly 'manuscript.statistics-summaries': Nothing
  readonly 'manuscript.summary': Nothing
  readonly 'manuscript.title': { readonly endpoint: Part; readonly types: Part }
  readonly 'manuscript.unknown-followed': Nothing
  readonly 'manuscript.unknown-model': { readonly restorations: CountPart }
  readonly 'manuscript.unknown-values': Nothing
  readonly 'manuscript.works-checked': Nothing
  readonly 'methods.clustered': { readonly correlation: Part; readonly designEffect: Part; readonly patients: Part; readonly restorations: Part }
  readonly 'methods.computed': { readonly horizons: Part; readonly least: Part; readonly seed: Part; readonly version: Part }
  readonly 'methods.handling': { readonly window: Part }
  readonly 'methods.independent': Nothing
  readonly 'methods.records': { readonly days: Part; readonly meaning: Part; readonly name: Part; readonly source: Part; readonly types: Part }
  readonly 'needed.assumption-column': Nothing
  readonly 'needed.assumption.followed': { readonly horizon: Part }
  readonly 'needed.assumption.gap': Nothing
  readonly 'needed.assumption.group': Nothing
  readonly 'needed.assumption.pace': Nothing
  readonly 'needed.assumption.per-patient': Nothing
  readonly 'needed.assumption.ratio': { readonly own: 'yes' | 'other' }
  readonly 'needed.assumption.seen': Nothing
  readonly 'needed.assumptions': Nothing
  readonly 'needed.assumptions-note': Nothing
  readonly 'needed.axis': Nothing
  readonly 'needed.caution-extrapolation': Nothing
  readonly 'needed.caution-looks': Nothing
  readonly 'needed.caution-stop': Nothing
  readonly 'needed.chart': Nothing
  readonly 'needed.chart-caption': Nothing
  readonly 'needed.chart-note': Nothing
  readonly 'needed.chart-of-risk': { readonly risk: 'own' | 'other'; readonly size: Part }
  readonly 'needed.chart-reading': { readonly name: Part; readonly size: Part; readonly years: CountPart }
  readonly 'needed.few': { readonly events: CountPart; readonly horizon: Part; readonly risks: Part }
  readonly 'needed.group-note': Nothing
  readonly 'needed.kicker': Nothing
  readonly 'needed.line-comparison': Nothing
  readonly 'needed.line-risk': Nothing
  readonly 'needed.method': Nothing
  readonly 'needed.next-look': { readonly years: CountPart }
  readonly 'needed.next-look-never': Nothing
  readonly 'needed.now': Nothing
  readonly 'needed.now-comparison': { readonly against: Part; readonly group: Part; readonly half: Part; readonly horizon: Part }
  readonly 'needed.now-risk': { readonly half: Part; readonly horizon: Part; readonly patients: CountPart; readonly restorations: CountPart; readonly risk: Part }
  readonly 'needed.now-risk-not-reached': { readonly horizon: Part; readonly risk: Part }
  readonly 'needed.now-risk-withheld': { readonly horizon: Part; readonly risk: Part }
  readonly 'needed.range': { readonly from: Part; readonly to: Part }
  readonly 'needed.range-above': Nothing
  readonly 'needed.reached-in': { readonly restorations: CountPart; readonly what: Part; readonly years: CountPart }
  readonly 'needed.reached-never': { readonly what: Part }
  readonly 'needed.reached-now': { readonly what: Part }
  readonly 'needed.restorations': Nothing
  readonly 'needed.risk-column': Nothing
  readonly 'needed.section-answer': Nothing
  readonly 'needed.section-group': Nothing
  readonly 'needed.section-picture': Nothing
  readonly 'needed.section-rests': Nothing
  readonly 'needed.summary': { readonly events: CountPart; readonly horizon: Part; readonly restorations: CountPart }
  readonly 'needed.table': Nothing
  readonly 'needed.table-group': { readonly points: Part }
  readonly 'needed.table-note': Nothing
  readonly 'needed.title': { readonly records: Part }
  readonly 'needed.to-reach': Nothing
  readonly 'needed.value': Nothing
  readonly 'needed.what-comparison': { readonly horizon: Part; readonly points: Part }
  readonly 'needed.what-power': { readonly horizon: Part; readonly points: Part; readonly power: Part }
  readonly 'needed.what-risk': { readonly horizon: Part; readonly points: Part }
  readonly 'needed.withheld': { readonly reason: 'alone' | 'overlap' | 'afterwards' | 'other' }
  readonly 'needed.years': Nothing
  readonly 'not-allowed-for.all-alike': Nothing
  readonly 'not-allowed-for.not-recorded': Nothing
  readonly 'not-allowed-for.told-by-the-others': Nothing
  readonly 'not-allowed-for.too-few-events': Nothing
  readonly 'not-allowed-for.too-incomplete': Nothing
  readonly 'number.fewer-than': { readonly size: Part }
  readonly 'number.less-than': { readonly size: Part }
  readonly 'number.more-than': { readonly size: Part }
  readonly 'outside.about': { readonly least: Part; readonly part: 'yes' | 'other' }
  readonly 'outside.about-size': { readonly patients: Part; readonly restorations: Part }
  readonly 'outside.chart-row': { readonly group: Part; readonly years: Part }
  readonly 'outside.figure': { readonly endpoint: Part; readonly level: Part; readonly years: Part }
  readonly 'outside.figure-description': { readonly heading: Part; readonly rows: Part }
  readonly 'outside.groups-withheld': { readonly least: Part }
  readonly 'outside.kicker': Nothing
  readonly 'outside.objection.contradicts': { readonly challenge: Part }
  readonly 'outside.objection.weakens': { readonly challenge: Part }
  readonly 'outside.risk-for-patient-withheld': Nothing
  readonly 'outside.risk-withheld': { readonly least: Part }
  readonly 'outside.series-kicker': Nothing
  readonly 'outside.series-left-out': { readonly least: Part }
  readonly 'outside.series-methods': { readonly endpoint: Part; readonly types: Part }
  readonly 'outside.series-setting': { readonly cited: Part }
  readonly 'outside.series-size': { readonly patients: Part; readonly restorations: Part }
  readonly 'outside.title': { readonly endpoint: Part }
  readonly 'outside.too-few': { readonly least: Part }
  readonly 'outside.verdict.cannot-be-compared': Nothing
  readonly 'outside.verdict.cannot-be-known': Nothing
  readonly 'outside.verdict.open': Nothing
  readonly 'pooled.after-years': { readonly years: CountPart }
  readonly 'pooled.answer': Nothing
  readonly 'pooled.between': Nothing
  readonly 'pooled.betweenRatio': Nothing
  readonly 'pooled.by-horizons': Nothing
  readonly 'pooled.by-year': Nothing
  readonly 'pooled.by-year-ends': Nothing
  readonly 'pooled.caution': Nothing
  readonly 'pooled.challenges': Nothing
  readonly 'pooled.clearRatio': Nothing
  readonly 'pooled.closed': Nothing
  readonly 'pooled.columns.after': Nothing
  readonly 'pooled.columns.atRisk': Nothing
  readonly 'pooled.columns.challenge': Nothing
  readonly 'pooled.columns.competing': Nothing
  readonly 'pooled.columns.effect': Nothing
  readonly 'pooled.columns.estimate': Nothing
  readonly 'pooled.columns.events': Nothing
  readonly 'pooled.columns.group': Nothing
  readonly 'pooled.columns.measure': Nothing
  readonly 'pooled.columns.patients': Nothing
  readonly 'pooled.columns.practices': Nothing
  readonly 'pooled.columns.rate': Nothing
  readonly 'pooled.columns.ratio': Nothing
  readonly 'pooled.columns.restorationYears': Nothing
  readonly 'pooled.columns.restorations': Nothing
  readonly 'pooled.columns.risk': Nothing
  readonly 'pooled.columns.shown': Nothing
  readonly 'pooled.columns.site': Nothing
  readonly 'pooled.columns.year': Nothing
  readonly 'pooled.comparison': Nothing
  readonly 'pooled.contrast': Nothing
  readonly 'pooled.counts': { readonly events: Part; readonly patients: Part; readonly restorations: Part }
  readonly 'pooled.counts-of-groups': { readonly against: Part; readonly group: Part; readonly ofAgainst: Part; readonly ofGroup: Part }
  readonly 'pooled.effects.agrees': Nothing
  readonly 'pooled.effects.context': Nothing
  readonly 'pooled.effects.contradicts': Nothing
  readonly 'pooled.effects.weakens': Nothing
  readonly 'pooled.fewBetween': { readonly reason: Part }
  readonly 'pooled.forest': Nothing
  readonly 'pooled.forestNote': Nothing
  readonly 'pooled.foundRatio': Nothing
  readonly 'pooled.funnel': Nothing
  readonly 'pooled.gridNote': Nothing
  readonly 'pooled.hazardRatio': Nothing
  readonly 'pooled.kicker': Nothing
  readonly 'pooled.kickerRows': Nothing
  readonly 'pooled.lead': { readonly against: Part; readonly endpoint: Part; readonly group: Part; readonly ratio: Part; readonly reason: Part; readonly verdict: Part }
  readonly 'pooled.lead-ratio': { readonly interval: Part; readonly ratio: Part }
  readonly 'pooled.log-rank': { readonly robust: Part; readonly stratified: Part }
  readonly 'pooled.methods': Nothing
  readonly 'pooled.methodsOfRows-1': Nothing
  readonly 'pooled.methodsOfRows-2': Nothing
  readonly 'pooled.methodsOfRows-3': Nothing
  readonly 'pooled.methodsText-1': Nothing
  readonly 'pooled.methodsText-2': Nothing
  readonly 'pooled.methodsText-3': Nothing
  readonly 'pooled.model': Nothing
  readonly 'pooled.modelNone': { readonly reason: Part }
  readonly 'pooled.modelStopped': Nothing
  readonly 'pooled.objections.after-last-look': Nothing
  readonly 'pooled.objections.few-practices': Nothing
  readonly 'pooled.objections.found': Nothing
  readonly 'pooled.objections.from-charts': Nothing
  readonly 'pooled.objections.hazard-and-rate': Nothing
  readonly 'pooled.objections.practices-differ': Nothing
  readonly 'pooled.open': Nothing
  readonly 'pooled.practices-of-group': Nothing
  readonly 'pooled.protocol.covariates': Nothing
  readonly 'pooled.protocol.days': { readonly begin: 'delivery' | 'other'; readonly cutoff: Part; readonly day: Part }
  readonly 'pooled.protocol.endpoints': Nothing
  readonly 'pooled.protocol.groups': Nothing
  readonly 'pooled.protocol.hash': Nothing
  readonly 'pooled.protocol.list': Nothing
  readonly 'pooled.protocol.name': Nothing
  readonly 'pooled.protocol.name-version': { readonly name: Part; readonly version: Part }
  readonly 'pooled.protocol.none': Nothing
  readonly 'pooled.protocol.release': Nothing
  readonly 'pooled.protocol.threshold': Nothing
  readonly 'pooled.protocol.window': Nothing
  readonly 'pooled.rateRatio': Nothing
  readonly 'pooled.reasons.few-at-risk': Nothing
  readonly 'pooled.reasons.few-events': Nothing
  readonly 'pooled.reasons.interval': Nothing
  readonly 'pooled.reasons.no-ratio': Nothing
  readonly 'pooled.reasons.objection': Nothing
  readonly 'pooled.reasons.withheld': Nothing
  readonly 'pooled.risks': Nothing
  readonly 'pooled.risks-after': { readonly against: Part; readonly group: Part; readonly years: Part }
  readonly 'pooled.seen': Nothing
  readonly 'pooled.site.beside': Nothing
  readonly 'pooled.site.checked': Nothing
  readonly 'pooled.site.columns.others': Nothing
  readonly 'pooled.site.columns.own': Nothing
  readonly 'pooled.site.columns.quantity': Nothing
  readonly 'pooled.site.events': Nothing
  readonly 'pooled.site.fewOthers': Nothing
  readonly 'pooled.site.kicker': Nothing
  readonly 'pooled.site.note': Nothing
  readonly 'pooled.site.objects': Nothing
  readonly 'pooled.site.patients': Nothing
  readonly 'pooled.site.rate': Nothing
  readonly 'pooled.site.restorations': Nothing
  readonly 'pooled.site.title': Nothing
  readonly 'pooled.site.years': Nothing
  readonly 'pooled.sites': Nothing
  readonly 'pooled.spread': { readonly degrees: Part; readonly interval: Part; readonly tau: Part }
  readonly 'pooled.stratumNote': Nothing
  readonly 'pooled.summary': { readonly practices: Part; readonly version: Part }
  readonly 'pooled.verdicts.cannot-be-compared': Nothing
  readonly 'pooled.verdicts.cannot-be-known': Nothing
  readonly 'pooled.verdicts.higher': Nothing
  readonly 'pooled.verdicts.lower': Nothing
  readonly 'pooled.verdicts.open': Nothing
  readonly 'pooled.withheld': Nothing
  readonly 'pooled.years': Nothing
  readonly 'pooled.yearsNote': Nothing
  readonly 'problem.expected.action-without-finding': Nothing
  readonly 'problem.expected.after-death': Nothing
  readonly 'problem.expected.after-removal': Nothing
  readonly 'problem.expected.age-90-or-above': Nothing
  readonly 'problem.expected.age-above-89': Nothing
  readonly 'problem.expected.age-below-16': Nothing
  readonly 'problem.expected.calibration-after-use': Nothing
  readonly 'problem.expected.calibration-old': Nothing
  readonly 'problem.expected.cell-comments': Nothing
  readonly 'problem.expected.check-before-nothing': Nothing
  readonly 'problem.expected.check-not-before-loosening': Nothing
  readonly 'problem.expected.check-without-finding': Nothing
  readonly 'problem.expected.check-without-visit': Nothing
  readonly 'problem.expected.column-map-used': Nothing
  readonly 'problem.expected.column-of-another': Nothing
  readonly 'problem.expected.columns-not-used': Nothing
  readonly 'problem.expected.corrected': Nothing
  readonly 'problem.expected.course-after-death': Nothing
  readonly 'problem.expected.course-after-removal': Nothing
  readonly 'problem.expected.course-before-delivery': Nothing
  readonly 'problem.expected.course-in-future': Nothing
  readonly 'problem.expected.date-and-day-differ': Nothing
  readonly 'problem.expected.date-cut-short': Nothing
  readonly 'problem.expected.date-in-future': Nothing
  readonly 'problem.expected.deciduous-position': Nothing
  readonly 'problem.expected.delivery-after-death': Nothing
  readonly 'problem.expected.delivery-before-implants': Nothing
  readonly 'problem.expected.delivery-date-and-year-differ': Nothing
  readonly 'problem.expected.delivery-in-future': Nothing
  readonly 'problem.expected.delivery-on-another-day': Nothing
  readonly 'problem.expected.document-properties': Nothing
  readonly 'problem.expected.duplicate-restoration': Nothing
  readonly 'problem.expected.duplicate-site': Nothing
  readonly 'problem.expected.duplicate-tightening': Nothing
  readonly 'problem.expected.event-after-death': Nothing
  readonly 'problem.expected.event-after-removal': Nothing
  readonly 'problem.expected.event-before-delivery': Nothing
  readonly 'problem.expected.event-in-future': Nothing
  readonly 'problem.expected.example-row': Nothing
  readonly 'problem.expected.field-mostly-unreadable': Nothing
  readonly 'problem.expected.files-not-read': Nothing
  readonly 'problem.expected.first-tightening-missing': Nothing
  readonly 'problem.expected.foot-row': Nothing
  readonly 'problem.expected.formula-without-value': Nothing
  readonly 'problem.expected.header-below-top': Nothing
  readonly 'problem.expected.hidden-sheet': Nothing
  readonly 'problem.expected.identical-row': Nothing
  readonly 'problem.expected.identifier-is-placeholder': Nothing
  readonly 'problem.expected.implant-lost-in-place': Nothing
  readonly 'problem.expected.long-text': Nothing
  readonly 'problem.expected.loosening-not-counted': Nothing
  readonly 'problem.expected.loosening-not-in-visits': Nothing
  readonly 'problem.expected.loosening-without-check': Nothing
  readonly 'problem.expected.loosening-without-date': Nothing
  readonly 'problem.expected.missing-value': { readonly form: 'visit' | 'other' }
  readonly 'problem.expected.month-in-words': Nothing
  readonly 'problem.expected.negative-day': Nothing
  readonly 'problem.expected.no-delivery-date': Nothing
  readonly 'problem.expected.no-rows': Nothing
  readonly 'problem.expected.no-such-restoration': { readonly form: 'visit' | 'other' }
  readonly 'problem.expected.no-tightening-at-delivery': Nothing
  readonly 'problem.expected.no-tightening-column': Nothing
  readonly 'problem.expected.no-tooth-position': Nothing
  readonly 'problem.expected.not-a-date': { readonly form: 'doubt' | 'empty' | 'other' }
  readonly 'problem.expected.not-a-number': { readonly unit: 'none' | 'other'; readonly whole: 'yes' | 'other' }
  readonly 'problem.expected.number-like-pseudonym': Nothing
  readonly 'problem.expected.observation-start-impossible': Nothing
  readonly 'problem.expected.onset-outside-interval': Nothing
  readonly 'problem.expected.onset-without-finding': Nothing
  readonly 'problem.expected.other-unit': { readonly unit: 'none' | 'other' }
  readonly 'problem.expected.out-of-range': { readonly max: CountPart; readonly min: CountPart; readonly unit: 'none' | 'other' }
  readonly 'problem.expected.partial-date': Nothing
  readonly 'problem.expected.patient-in-two-clinics': Nothing
  readonly 'problem.expected.patient-of-two-sexes': Nothing
  readonly 'problem.expected.placement-gap': Nothing
  readonly 'problem.expected.possible-identifier-above-table': Nothing
  readonly 'problem.expected.possible-identifier-column': Nothing
  readonly 'problem.expected.possible-identifier-value': Nothing
  readonly 'problem.expected.read-as-windows-1252': Nothing
  readonly 'problem.expected.removal-not-in-status': Nothing
  readonly 'problem.expected.removal-without-date': Nothing
  readonly 'problem.expected.repeated-header': Nothing
  readonly 'problem.expected.repeated-not-in-events': Nothing
  readonly 'problem.expected.replaced-in-place': Nothing
  readonly 'problem.expected.restoration-ids-made': Nothing
  readonly 'problem.expected.restoration-set-aside': Nothing
  readonly 'problem.expected.row-too-long': { readonly values: Part }
  readonly 'problem.expected.row-too-short': { readonly values: Part }
  readonly 'problem.expected.rows-contradict': Nothing
  readonly 'problem.expected.rows-not-told-apart': Nothing
  readonly 'problem.expected.same-but-for-spelling': Nothing
  readonly 'problem.expected.screw-partly-named': Nothing
  readonly 'problem.expected.sequence-against-time': Nothing
  readonly 'problem.expected.sequence-not-consecutive': Nothing
  readonly 'problem.expected.several-crowns': Nothing
  readonly 'problem.expected.sheet-beside': Nothing
  readonly 'problem.expected.sheet-not-read': Nothing
  readonly 'problem.expected.single-not-in-events': Nothing
  readonly 'problem.expected.table-in-versions': Nothing
  readonly 'problem.expected.tightening-after-end': Nothing
  readonly 'problem.expected.tightening-before-delivery': Nothing
  readonly 'problem.expected.tightening-without-day': Nothing
  readonly 'problem.expected.too-many-set-aside': Nothing
  readonly 'problem.expected.torque-off-target': Nothing
  readonly 'problem.expected.torque-unit-in-doubt': { readonly from: CountPart; readonly to: CountPart }
  readonly 'problem.expected.torque-without-tightening': Nothing
  readonly 'problem.expected.total-row': Nothing
  readonly 'problem.expected.two-digit-year': Nothing
  readonly 'problem.expected.two-restorations-on-one-site': Nothing
  readonly 'problem.expected.unknown-word': { readonly codes: Part }
  readonly 'problem.expected.visit-before-delivery': Nothing
  readonly 'problem.expected.visit-rows-disagree': Nothing
  readonly 'problem.expected.visit-without-date': Nothing
  readonly 'problem.expected.wait-unit-in-doubt': Nothing
  readonly 'problem.expected.wait-without-second-tightening': Nothing
  readonly 'problem.found.action-without-finding': Nothing
  readonly 'problem.found.after-death': Nothing
  readonly 'problem.found.after-removal': Nothing
  readonly 'problem.found.age-90-or-above': Nothing
  readonly 'problem.found.age-above-89': Nothing
  readonly 'problem.found.age-below-16': Nothing
  readonly 'problem.found.calibration-after-use': Nothing
  readonly 'problem.found.calibration-old': Nothing
  readonly 'problem.found.cell-comments': Nothing
  readonly 'problem.found.check-before-nothing': Nothing
  readonly 'problem.found.check-not-before-loosening': Nothing
  readonly 'problem.found.check-without-finding': Nothing
  readonly 'problem.found.check-without-visit': Nothing
  readonly 'problem.found.column-map-used': Nothing
  readonly 'problem.found.column-of-another': Nothing
  readonly 'problem.found.columns-not-used': { readonly columns: CountPart }
  readonly 'problem.found.corrected': { readonly told: 'yes' | 'other'; readonly why: Part }
  readonly 'problem.found.course-after-death': Nothing
  readonly 'problem.found.course-after-removal': Nothing
  readonly 'problem.found.course-before-delivery': Nothing
  readonly 'problem.found.course-in-future': Nothing
  readonly 'problem.found.date-and-day-differ': Nothing
  readonly 'problem.found.date-cut-short': Nothing
  readonly 'problem.found.date-in-future': Nothing
  readonly 'problem.found.deciduous-position': Nothing
  readonly 'problem.found.delivery-after-death': Nothing
  readonly 'problem.found.delivery-before-implants': Nothing
  readonly 'problem.found.delivery-date-and-year-differ': Nothing
  readonly 'problem.found.delivery-in-future': Nothing
  readonly 'problem.found.delivery-on-another-day': Nothing
  readonly 'problem.found.document-properties': Nothing
  readonly 'problem.found.duplicate-restoration': Nothing
  readonly 'problem.found.duplicate-site': Nothing
  readonly 'problem.found.duplicate-tightening': Nothing
  readonly 'problem.found.event-after-death': Nothing
  readonly 'problem.found.event-after-removal': Nothing
  readonly 'problem.found.event-before-delivery': Nothing
  readonly 'problem.found.event-in-future': Nothing
  readonly 'problem.found.example-row': Nothing
  readonly 'problem.found.field-mostly-unreadable': { readonly filled: Part; readonly unreadable: Part }
  readonly 'problem.found.files-not-read': { readonly files: CountPart }
  readonly 'problem.found.first-tightening-missing': Nothing
  readonly 'problem.found.foot-row': Nothing
  readonly 'problem.found.formula-without-value': Nothing
  readonly 'problem.found.header-below-top': Nothing
  readonly 'problem.found.hidden-sheet': Nothing
  readonly 'problem.found.identical-row': Nothing
  readonly 'problem.found.identifier-is-placeholder': Nothing
  readonly 'problem.found.implant-lost-in-place': Nothing
  readonly 'problem.found.long-text': Nothing
  readonly 'problem.found.loosening-not-counted': Nothing
  readonly 'problem.found.loosening-not-in-visits': Nothing
  readonly 'problem.found.loosening-without-check': Nothing
  readonly 'problem.found.loosening-without-date': Nothing
  readonly 'problem.found.missing-value': { readonly form: 'visit' | 'other' }
  readonly 'problem.found.month-in-words': Nothing
  readonly 'problem.found.negative-day': Nothing
  readonly 'problem.found.no-delivery-date': Nothing
  readonly 'problem.found.no-rows': Nothing
  readonly 'problem.found.no-such-restoration': { readonly form: 'visit' | 'other' }
  readonly 'problem.found.no-tightening-at-delivery': Nothing
  readonly 'problem.found.no-tightening-column': Nothing
  readonly 'problem.found.no-tooth-position': Nothing
  readonly 'problem.found.not-a-date': { readonly form: 'doubt' | 'empty' | 'unknown' | 'other' }
  readonly 'problem.found.not-a-number': { readonly unknown: 'yes' | 'other'; readonly whole: 'yes' | 'other' }
  readonly 'problem.found.number-like-pseudonym': Nothing
  readonly 'problem.found.observation-start-impossible': Nothing
  readonly 'problem.found.onset-outside-interval': Nothing
  readonly 'problem.found.onset-without-finding': Nothing
  readonly 'problem.found.other-unit': Nothing
  readonly 'problem.found.out-of-range': { readonly fate: 'kept' | 'unknown' | 'other' }
  readonly 'problem.found.partial-date': Nothing
  readonly 'problem.found.patient-in-two-clinics': Nothing
  readonly 'problem.found.patient-of-two-sexes': Nothing
  readonly 'problem.found.placement-gap': Nothing
  readonly 'problem.found.possible-identifier-above-table': { readonly kind: Part }
  readonly 'problem.found.possible-identifier-column': { readonly kind: Part }
  readonly 'problem.found.possible-identifier-value': { readonly kind: Part }
  readonly 'problem.found.read-as-windows-1252': Nothing
  readonly 'problem.found.removal-not-in-status': Nothing
  readonly 'problem.found.removal-without-date': Nothing
  readonly 'problem.found.repeated-header': Nothing
  readonly 'problem.found.repeated-not-in-events': { readonly from: Part; readonly to: Part }
  readonly 'problem.found.replaced-in-place': Nothing
  readonly 'problem.found.restoration-ids-made': Nothing
  readonly 'problem.found.restoration-set-aside': Nothing
  readonly 'problem.found.row-too-long': Nothing
  readonly 'problem.found.row-too-short': Nothing
  readonly 'problem.found.rows-contradict': Nothing
  readonly 'problem.found.rows-not-told-apart': Nothing
  readonly 'problem.found.same-but-for-spelling': Nothing
  readonly 'problem.found.screw-partly-named': Nothing
  readonly 'problem.found.sequence-against-time': Nothing
  readonly 'problem.found.sequence-not-consecutive': Nothing
  readonly 'problem.found.several-crowns': Nothing
  readonly 'problem.found.sheet-beside': Nothing
  readonly 'problem.found.sheet-not-read': Nothing
  readonly 'problem.found.single-not-in-events': Nothing
  readonly 'problem.found.table-in-versions': Nothing
  readonly 'problem.found.tightening-after-end': Nothing
  readonly 'problem.found.tightening-before-delivery': Nothing
  readonly 'problem.found.tightening-without-day': Nothing
  readonly 'problem.found.too-many-set-aside': { readonly limit: CountPart; readonly read: Part; readonly setAside: Part; readonly table: Part }
  readonly 'problem.found.torque-off-target': Nothing
  readonly 'problem.found.torque-unit-in-doubt': { readonly max: CountPart; readonly min: CountPart }
  readonly 'problem.found.torque-without-tightening': Nothing
  readonly 'problem.found.total-row': Nothing
  readonly 'problem.found.two-digit-year': Nothing
  readonly 'problem.found.two-restorations-on-one-site': Nothing
  readonly 'problem.found.unknown-word': { readonly column: Part }
  readonly 'problem.found.visit-before-delivery': Nothing
  readonly 'problem.found.visit-rows-disagree': Nothing
  readonly 'problem.found.visit-without-date': Nothing
  readonly 'problem.found.wait-unit-in-doubt': Nothing
  readonly 'problem.found.wait-without-second-tightening': Nothing
  readonly 'problem.left-out': { readonly code: Part; readonly found: Part; readonly what: 'restoration' | 'row' | 'other' }
  readonly 'problem.mend.action-without-finding': Nothing
  readonly 'problem.mend.after-death': Nothing
  readonly 'problem.mend.after-removal': Nothing
  readonly 'problem.mend.age-90-or-above': Nothing
  readonly 'problem.mend.age-above-89': Nothing
  readonly 'problem.mend.age-below-16': Nothing
  readonly 'problem.mend.calibration-after-use': Nothing
  readonly 'problem.mend.calibration-old': Nothing
  readonly 'problem.mend.cell-comments': Nothing
  readonly 'problem.mend.check-before-nothing': Nothing
  readonly 'problem.mend.check-not-before-loosening': Nothing
  readonly 'problem.mend.check-without-finding': Nothing
  readonly 'problem.mend.check-without-visit': Nothing
  readonly 'problem.mend.column-map-used': Nothing
  readonly 'problem.mend.column-of-another': Nothing
  readonly 'problem.mend.columns-not-used': Nothing
  readonly 'problem.mend.corrected': Nothing
  readonly 'problem.mend.course-after-death': Nothing
  readonly 'problem.mend.course-after-removal': Nothing
  readonly 'problem.mend.course-before-delivery': Nothing
  readonly 'problem.mend.course-in-future': Nothing
  readonly 'problem.mend.date-and-day-differ': Nothing
  readonly 'problem.mend.date-cut-short': Nothing
  readonly 'problem.mend.date-in-future': Nothing
  readonly 'problem.mend.deciduous-position': Nothing
  readonly 'problem.mend.delivery-after-death': Nothing
  readonly 'problem.mend.delivery-before-implants': Nothing
  readonly 'problem.mend.delivery-date-and-year-differ': Nothing
  readonly 'problem.mend.delivery-in-future': Nothing
  readonly 'problem.mend.delivery-on-another-day': Nothing
  readonly 'problem.mend.document-properties': Nothing
  readonly 'problem.mend.duplicate-restoration': Nothing
  readonly 'problem.mend.duplicate-site': Nothing
  readonly 'problem.mend.duplicate-tightening': Nothing
  readonly 'problem.mend.event-after-death': Nothing
  readonly 'problem.mend.event-after-removal': Nothing
  readonly 'problem.mend.event-before-delivery': Nothing
  readonly 'problem.mend.event-in-future': Nothing
  readonly 'problem.mend.example-row': Nothing
  readonly 'problem.mend.field-mostly-unreadable': Nothing
  readonly 'problem.mend.files-not-read': Nothing
  readonly 'problem.mend.first-tightening-missing': Nothing
  readonly 'problem.mend.foot-row': Nothing
  readonly 'problem.mend.formula-without-value': Nothing
  readonly 'problem.mend.header-below-top': Nothing
  readonly 'problem.mend.hidden-sheet': Nothing
  readonly 'problem.mend.identical-row': Nothing
  readonly 'problem.mend.identifier-is-placeholder': Nothing
  readonly 'problem.mend.implant-lost-in-place': Nothing
  readonly 'problem.mend.long-text': Nothing
  readonly 'problem.mend.loosening-not-counted': Nothing
  readonly 'problem.mend.loosening-not-in-visits': Nothing
  readonly 'problem.mend.loosening-without-check': Nothing
  readonly 'problem.mend.loosening-without-date': Nothing
  readonly 'problem.mend.missing-value': Nothing
  readonly 'problem.mend.month-in-words': Nothing
  readonly 'problem.mend.negative-day': Nothing
  readonly 'problem.mend.no-delivery-date': Nothing
  readonly 'problem.mend.no-rows': Nothing
  readonly 'problem.mend.no-such-restoration': { readonly form: 'visit' | 'other' }
  readonly 'problem.mend.no-tightening-at-delivery': Nothing
  readonly 'problem.mend.no-tightening-column': Nothing
  readonly 'problem.mend.no-tooth-position': Nothing
  readonly 'problem.mend.not-a-date': { readonly form: 'doubt' | 'empty' | 'other' }
  readonly 'problem.mend.not-a-number': Nothing
  readonly 'problem.mend.number-like-pseudonym': Nothing
  readonly 'problem.mend.observation-start-impossible': Nothing
  readonly 'problem.mend.onset-outside-interval': Nothing
  readonly 'problem.mend.onset-without-finding': Nothing
  readonly 'problem.mend.other-unit': Nothing
  readonly 'problem.mend.out-of-range': Nothing
  readonly 'problem.mend.partial-date': Nothing
  readonly 'problem.mend.patient-in-two-clinics': Nothing
  readonly 'problem.mend.patient-of-two-sexes': Nothing
  readonly 'problem.mend.placement-gap': Nothing
  readonly 'problem.mend.possible-identifier-above-table': Nothing
  readonly 'problem.mend.possible-identifier-column': Nothing
  readonly 'problem.mend.possible-identifier-value': Nothing
  readonly 'problem.mend.read-as-windows-1252': Nothing
  readonly 'problem.mend.removal-not-in-status': Nothing
  readonly 'problem.mend.removal-without-date': Nothing
  readonly 'problem.mend.repeated-header': Nothing
  readonly 'problem.mend.repeated-not-in-events': Nothing
  readonly 'problem.mend.replaced-in-place': Nothing
  readonly 'problem.mend.restoration-ids-made': Nothing
  readonly 'problem.mend.restoration-set-aside': Nothing
  readonly 'problem.mend.row-too-long': Nothing
  readonly 'problem.mend.row-too-short': Nothing
  readonly 'problem.mend.rows-contradict': Nothing
  readonly 'problem.mend.rows-not-told-apart': Nothing
  readonly 'problem.mend.same-but-for-spelling': Nothing
  readonly 'problem.mend.screw-partly-named': Nothing
  readonly 'problem.mend.sequence-against-time': Nothing
  readonly 'problem.mend.sequence-not-consecutive': Nothing
  readonly 'problem.mend.several-crowns': Nothing
  readonly 'problem.mend.sheet-beside': Nothing
  readonly 'problem.mend.sheet-not-read': Nothing
  readonly 'problem.mend.single-not-in-events': Nothing
  readonly 'problem.mend.table-in-versions': Nothing
  readonly 'problem.mend.tightening-after-end': Nothing
  readonly 'problem.mend.tightening-before-delivery': Nothing
  readonly 'problem.mend.tightening-without-day': Nothing
  readonly 'problem.mend.too-many-set-aside': Nothing
  readonly 'problem.mend.torque-off-target': Nothing
  readonly 'problem.mend.torque-unit-in-doubt': Nothing
  readonly 'problem.mend.torque-without-tightening': Nothing
  readonly 'problem.mend.total-row': Nothing
  readonly 'problem.mend.two-digit-year': Nothing
  readonly 'problem.mend.two-restorations-on-one-site': Nothing
  readonly 'problem.mend.unknown-word': Nothing
  readonly 'problem.mend.visit-before-delivery': Nothing
  readonly 'problem.mend.visit-rows-disagree': Nothing
  readonly 'problem.mend.visit-without-date': Nothing
  readonly 'problem.mend.wait-unit-in-doubt': Nothing
  readonly 'problem.mend.wait-without-second-tightening': Nothing
  readonly 'proposal.answer.design': Nothing
  readonly 'proposal.answer.margin': { readonly margin: Part }
  readonly 'proposal.answer.outcome': { readonly meaning: Part; readonly name: Part }
  readonly 'proposal.answer.question': { readonly against: Part; readonly group: Part; readonly types: Part }
  readonly 'proposal.answer.restorations': { readonly types: Part }
  readonly 'proposal.answer.size': { readonly first: Part; readonly firstRisk: Part; readonly last: Part; readonly lastRisk: Part }
  readonly 'proposal.answer.size-events': { readonly events: Part }
  readonly 'proposal.answer.size-unknown': Nothing
  readonly 'proposal.answer.time': Nothing
  readonly 'proposal.answer.who': Nothing
  readonly 'proposal.assumed': { readonly correlation: Part; readonly effect: Part; readonly level: Part; readonly lost: Part; readonly power: Part; readonly restorations: Part }
  readonly 'proposal.background-otherwise': Nothing
  readonly 'proposal.background-unsettled': Nothing
  readonly 'proposal.before-sending': Nothing
  readonly 'proposal.board-answer.care': Nothing
  readonly 'proposal.board-answer.change': Nothing
  readonly 'proposal.board-answer.consent': Nothing
  readonly 'proposal.board-answer.good': Nothing
  readonly 'proposal.board-answer.happens': Nothing
  readonly 'proposal.board-answer.harm': Nothing
  readonly 'proposal.board-answer.kept': Nothing
  readonly 'proposal.board-answer.leaves': Nothing
  readonly 'proposal.board-answer.legal': Nothing
  readonly 'proposal.board-answer.pays': Nothing
  readonly 'proposal.board-answer.published': Nothing
  readonly 'proposal.board-answer.say': Nothing
  readonly 'proposal.board-answer.see': Nothing
  readonly 'proposal.board-answer.studied': Nothing
  readonly 'proposal.board-answer.withdraw': Nothing
  readonly 'proposal.board.care': Nothing
  readonly 'proposal.board.change': Nothing
  readonly 'proposal.board.consent': Nothing
  readonly 'proposal.board.good': Nothing
  readonly 'proposal.board.happens': Nothing
  readonly 'proposal.board.harm': Nothing
  readonly 'proposal.board.kept': Nothing
  readonly 'proposal.board.leaves': Nothing
  readonly 'proposal.board.legal': Nothing
  readonly 'proposal.board.pays': Nothing
  readonly 'proposal.board.published': Nothing
  readonly 'proposal.board.say': Nothing
  readonly 'proposal.board.see': Nothing
  readonly 'proposal.board.studied': Nothing
  readonly 'proposal.board.withdraw': Nothing
  readonly 'proposal.caption-ethics': Nothing
  readonly 'proposal.caption-fields': Nothing
  readonly 'proposal.caption-plan': Nothing
  readonly 'proposal.caption-shareable': Nothing
  readonly 'proposal.caption-sizes': Nothing
  readonly 'proposal.caption-synopsis': Nothing
  readonly 'proposal.caution-blanks': Nothing
  readonly 'proposal.caution-no-advice': Nothing
  readonly 'proposal.caution-plan': Nothing
  readonly 'proposal.column-answer': Nothing
  readonly 'proposal.column-detail': Nothing
  readonly 'proposal.column-events': Nothing
  readonly 'proposal.column-field': Nothing
  readonly 'proposal.column-independent': Nothing
  readonly 'proposal.column-meaning': Nothing
  readonly 'proposal.column-part': Nothing
  readonly 'proposal.column-per-group': Nothing
  readonly 'proposal.column-plan-field': Nothing
  readonly 'proposal.column-question': Nothing
  readonly 'proposal.column-risk': Nothing
  readonly 'proposal.column-risk-of-group': Nothing
  readonly 'proposal.column-shared': Nothing
  readonly 'proposal.column-table': Nothing
  readonly 'proposal.column-together': Nothing
  readonly 'proposal.column-value': Nothing
  readonly 'proposal.contrast.hazard-ratio': { readonly years: Part }
  readonly 'proposal.contrast.restricted-mean-difference': { readonly years: Part }
  readonly 'proposal.contrast.risk-difference': { readonly years: Part }
  readonly 'proposal.data-checks': Nothing
  readonly 'proposal.data-keeping': Nothing
  readonly 'proposal.data-records': Nothing
  readonly 'proposal.day-not-stated': Nothing
  readonly 'proposal.detail.age': Nothing
  readonly 'proposal.detail.dates': Nothing
  readonly 'proposal.detail.left-out': Nothing
  readonly 'proposal.detail.names': Nothing
  readonly 'proposal.detail.order': Nothing
  readonly 'proposal.detail.position': Nothing
  readonly 'proposal.detail.pseudonyms': Nothing
  readonly 'proposal.heading-checks': Nothing
  readonly 'proposal.heading-follow-up': Nothing
  readonly 'proposal.heading-handling': Nothing
  readonly 'proposal.heading-keeping': Nothing
  readonly 'proposal.heading-leaves': Nothing
  readonly 'proposal.heading-missing': Nothing
  readonly 'proposal.heading-outcome': Nothing
  readonly 'proposal.heading-primary': Nothing
  readonly 'proposal.heading-records': Nothing
  readonly 'proposal.heading-restorations': Nothing
  readonly 'proposal.heading-secondary': Nothing
  readonly 'proposal.heading-stays': Nothing
  readonly 'proposal.kicker': Nothing
  readonly 'proposal.margin.hazard-ratio': { readonly size: Part }
  readonly 'proposal.margin.restricted-mean-difference': { readonly size: Part }
  readonly 'proposal.margin.risk-difference': { readonly size: Part }
  readonly 'proposal.methods-follow-up': { readonly days: Part }
  readonly 'proposal.methods-handling': { readonly from: Part; readonly to: Part }
  readonly 'proposal.methods-outcome': { readonly meaning: Part; readonly name: Part }
  readonly 'proposal.methods-restorations': { readonly types: Part }
  readonly 'proposal.missing': Nothing
  readonly 'proposal.part.contrast': Nothing
  readonly 'proposal.part.design': Nothing
  readonly 'proposal.part.margin': Nothing
  readonly 'proposal.part.outcome': Nothing
  readonly 'proposal.part.question': Nothing
  readonly 'proposal.part.restorations': Nothing
  readonly 'proposal.part.size': Nothing
  readonly 'proposal.part.time': Nothing
  readonly 'proposal.part.who': Nothing
  readonly 'proposal.plan-default': { readonly hash: Part }
  readonly 'proposal.plan-written': { readonly day: Part; readonly hash: Part }
  readonly 'proposal.primary-never': Nothing
  readonly 'proposal.primary-rules': Nothing
  readonly 'proposal.primary-strata': { readonly names: Part }
  readonly 'proposal.primary-weighted': { readonly competing: Part; readonly names: Part; readonly robust: Part; readonly weights: Part }
  readonly 'proposal.protection-leaves': Nothing
  readonly 'proposal.protection-stays': Nothing
  readonly 'proposal.question-compares': { readonly against: Part; readonly contrast: Part; readonly group: Part; readonly margin: Part }
  readonly 'proposal.question-hypothesis': Nothing
  readonly 'proposal.secondary': { readonly analyses: Part; readonly horizons: Part; readonly last: CountPart; readonly ratios: Part }
  readonly 'proposal.secondary-control': { readonly endpoint: Part }
  readonly 'proposal.secondary-else': Nothing
  readonly 'proposal.section-analysis': Nothing
  readonly 'proposal.section-background': Nothing
  readonly 'proposal.section-data': Nothing
  readonly 'proposal.section-deidentification': Nothing
  readonly 'proposal.section-ethics': Nothing
  readonly 'proposal.section-methods': Nothing
  readonly 'proposal.section-provenance': Nothing
  readonly 'proposal.section-question': Nothing
  readonly 'proposal.section-size': Nothing
  readonly 'proposal.section-synopsis': Nothing
  readonly 'proposal.shared.age': Nothing
  readonly 'proposal.shared.dates': Nothing
  readonly 'proposal.shared.left-out': Nothing
  readonly 'proposal.shared.names': Nothing
  readonly 'proposal.shared.order': Nothing
  readonly 'proposal.shared.position': Nothing
  readonly 'proposal.shared.pseudonyms': Nothing
  readonly 'proposal.size-events': { readonly cited: Part; readonly events: Part; readonly margin: Part }
  readonly 'proposal.size-table': { readonly cited: Part; readonly margin: Part }
  readonly 'proposal.size-unknown': Nothing
  readonly 'proposal.summary': Nothing
  readonly 'proposal.title': { readonly endpoint: Part }
  readonly 'protocol-change.after': { readonly from: number }
  readonly 'protocol-change.before': { readonly from: number }
  readonly 'protocol-change.caption': Nothing
  readonly 'protocol-change.chart': { readonly clinic: Part; readonly years: Part }
  readonly 'protocol-change.chart-axis': Nothing
  readonly 'protocol-change.chart-changed': { readonly from: number }
  readonly 'protocol-change.chart-counted': { readonly from: number; readonly quarters: Part }
  readonly 'protocol-change.chart-description': { readonly heading: Part; readonly quarters: Part }
  readonly 'protocol-change.chart-means': Nothing
  readonly 'protocol-change.chart-open': { readonly restorations: Part }
  readonly 'protocol-change.chart-quarter': { readonly from: number }
  readonly 'protocol-change.chart-rate': { readonly rate: Part }
  readonly 'protocol-change.chart-restorations': { readonly restorations: CountPart }
  readonly 'protocol-change.chart-side': { readonly rate: Part; readonly share: Part }
  readonly 'protocol-change.chart-sides': { readonly after: Part; readonly before: Part; readonly from: number }
  readonly 'protocol-change.compared': { readonly counts: Part; readonly difference: Part; readonly interval: Part; readonly level: Part; readonly years: Part }
  readonly 'protocol-change.counts': { readonly after: Part; readonly afterEvents: Part; readonly before: CountPart; readonly beforeEvents: Part }
  readonly 'protocol-change.day-unknown': { readonly restorations: Part }
  readonly 'protocol-change.difference': Nothing
  readonly 'protocol-change.fewer': Nothing
  readonly 'protocol-change.late-entry': { readonly restorations: CountPart }
  readonly 'protocol-change.level-change': Nothing
  readonly 'protocol-change.method-rate': Nothing
  readonly 'protocol-change.method-risk': Nothing
  readonly 'protocol-change.more': Nothing
  readonly 'protocol-change.none-in': { readonly clinics: Part }
  readonly 'protocol-change.not-compared': { readonly counts: Part; readonly many: Part }
  readonly 'protocol-change.one-side-empty': Nothing
  readonly 'protocol-change.open': Nothing
  readonly 'protocol-change.opening': { readonly against: Part; readonly deliveries: Part; readonly difference: Part; readonly group: Part }
  readonly 'protocol-change.rate-ratio': Nothing
  readonly 'protocol-change.risk': Nothing
  readonly 'protocol-change.run-chart': Nothing
  readonly 'protocol-change.share': Nothing
  readonly 'protocol-change.share-note': { readonly group: Part }
  readonly 'protocol-change.shares': { readonly after: Part; readonly before: Part; readonly clinic: Part; readonly from: number; readonly group: Part; readonly source: 'plan' | 'other' }
  readonly 'protocol-change.side': Nothing
  readonly 'protocol-change.title': Nothing
  readonly 'protocol-change.too-few': { readonly counts: Part; readonly many: Part }
  readonly 'provenance.about': { readonly delivered: Part; readonly part: 'yes' | 'other'; readonly patients: CountPart; readonly restorations: CountPart }
  readonly 'provenance.made-with': { readonly version: Part }
  readonly 'quantity.as-printed': { readonly estimate: Part }
  readonly 'quantity.estimate': { readonly estimate: Part; readonly interval: Part }
  readonly 'quantity.estimate-with-level': { readonly estimate: Part; readonly interval: Part; readonly level: Part }
  readonly 'quantity.interval': { readonly lower: Part; readonly upper: Part }
  readonly 'quantity.interval-in-brackets': { readonly interval: Part; readonly level: Part }
  readonly 'quantity.no-interval': Nothing
  readonly 'quantity.no-interval-because': { readonly reason: Part }
  readonly 'quantity.not-estimable': Nothing
  readonly 'quantity.not-reached': Nothing
  readonly 'quantity.p-value': { readonly below: 'yes' | 'other'; readonly number: Part }
  readonly 'quantity.semicolon': Nothing
  readonly 'quantity.unbounded': Nothing
  readonly 'quantity.unbounded-above': Nothing
  readonly 'quantity.unbounded-below': Nothing
  readonly 'quantity.years': { readonly years: CountPart }
  readonly 'removal-torque.by': { readonly method: Part }
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
  readonly 'repeats.again': Nothing
  readonly 'repeats.another': { readonly shares: Part }
  readonly 'repeats.basis': Nothing
  readonly 'repeats.chart': Nothing
  readonly 'repeats.chart-at': { readonly mean: Part; readonly years: Part }
  readonly 'repeats.chart-caption': Nothing
  readonly 'repeats.chart-description': { readonly heading: Part; readonly level: Part; readonly rows: Part }
  readonly 'repeats.counted': { readonly events: Part; readonly every: Part; readonly most: Part; readonly restorations: CountPart; readonly withOne: Part; readonly withTwo: CountPart }
  readonly 'repeats.counts': Nothing
  readonly 'repeats.mean': { readonly interval: Part; readonly level: Part; readonly mean: Part; readonly years: Part }
  readonly 'repeats.means': Nothing
  readonly 'repeats.method-again': Nothing
  readonly 'repeats.method-counts': Nothing
  readonly 'repeats.most': Nothing
  readonly 'repeats.none': { readonly every: Part }
  readonly 'repeats.terminal': Nothing
  readonly 'repeats.title': Nothing
  readonly 'repeats.with-one': Nothing
  readonly 'repeats.with-two': Nothing
  readonly 'repeats.within': { readonly interval: Part; readonly level: Part; readonly share: Part; readonly years: Part }
  readonly 'report.act': Nothing
  readonly 'report.act-item': { readonly answer: Part; readonly question: Part }
  readonly 'report.compared': Nothing
  readonly 'report.few': { readonly least: Part }
  readonly 'report.how-often': Nothing
  readonly 'report.limits': Nothing
  readonly 'report.methods': Nothing
  readonly 'report.only-those-seen': { readonly eligible: Part; readonly left: Part }
  readonly 'report.overturn': Nothing
  readonly 'report.question.clinicFunnel': Nothing
  readonly 'report.question.hazardOverTime': Nothing
  readonly 'report.question.literature': Nothing
  readonly 'report.question.protocolChange': Nothing
  readonly 'report.question.repeats': Nothing
  readonly 'report.question.torque': Nothing
  readonly 'report.question.trend': Nothing
  readonly 'report.question.wait': Nothing
  readonly 'report.record': Nothing
  readonly 'report.risks': Nothing
  readonly 'report.source': { readonly source: Part }
  readonly 'report.who': Nothing
  readonly 'report.who-table': Nothing
  readonly 'report.who-table-all': Nothing
  readonly 'report.who-table-note': Nothing
  readonly 'restoration-type.fixed_partial': Nothing
  readonly 'restoration-type.fixed_partial_cantilever': Nothing
  readonly 'restoration-type.full_arch': Nothing
  readonly 'restoration-type.single_crown': Nothing
  readonly 'restoration-type.splinted_crowns': Nothing
  readonly 'restoration-type.title.fixed_partial': Nothing
  readonly 'restoration-type.title.fixed_partial_cantilever': Nothing
  readonly 'restoration-type.title.full_arch': Nothing
  readonly 'restoration-type.title.single_crown': Nothing
  readonly 'restoration-type.title.splinted_crowns': Nothing
  readonly 'run.appendix': Nothing
  readonly 'run.changed': Nothing
  readonly 'run.cohort': { readonly first: Part; readonly last: Part; readonly patients: CountPart; readonly restorations: CountPart }
  readonly 'run.data': { readonly generated: 'yes' | 'other'; readonly title: Part }
  readonly 'run.failed': { readonly why: Part }
  readonly 'run.made': { readonly date: Part; readonly version: Part }
  readonly 'run.new': Nothing
  readonly 'run.no-plan': Nothing
  readonly 'run.parameters': { readonly given: Part }
  readonly 'run.plan': { readonly hash: Part; readonly name: Part; readonly written: Part }
  readonly 'run.same': Nothing
  readonly 'run.title': Nothing
  readonly 'run.until': { readonly day: Part }
  readonly 'run.whole': { readonly pages: CountPart; readonly periods: CountPart; readonly sets: CountPart }
  readonly 'series.caption': Nothing
  readonly 'series.caution': Nothing
  readonly 'series.chart': Nothing
  readonly 'series.chart-caption': Nothing
  readonly 'series.chart-description': { readonly restorations: CountPart; readonly rows: Part }
  readonly 'series.chart-lines': Nothing
  readonly 'series.chart-row': { readonly checks: CountPart; readonly end: Part; readonly restoration: Part; readonly years: Part }
  readonly 'series.chart.check': Nothing
  readonly 'series.chart.competing': Nothing
  readonly 'series.chart.done': Nothing
  readonly 'series.chart.open': Nothing
  readonly 'series.check': Nothing
  readonly 'series.checks': Nothing
  readonly 'series.contact': Nothing
  readonly 'series.course': Nothing
  readonly 'series.day': { readonly day: Part; readonly what: Part }
  readonly 'series.end': Nothing
  readonly 'series.ended.censored': { readonly day: Part }
  readonly 'series.ended.competing': { readonly cause: Part; readonly day: Part }
  readonly 'series.ended.endpoint': { readonly day: Part }
  readonly 'series.handling': Nothing
  readonly 'series.main': { readonly restorations: CountPart }
  readonly 'series.patient': Nothing
  readonly 'series.restoration': Nothing
  readonly 'series.title': Nothing
  readonly 'setting.days': { readonly days: Part }
  readonly 'setting.departed': { readonly planned: Part; readonly used: Part }
  readonly 'setting.departure': { readonly field: Part }
  readonly 'setting.endpoint': Nothing
  readonly 'setting.horizons': Nothing
  readonly 'setting.least-at-risk': Nothing
  readonly 'setting.level': Nothing
  readonly 'setting.recall': Nothing
  readonly 'setting.seed': Nothing
  readonly 'setting.types': Nothing
  readonly 'setting.window': Nothing
  readonly 'severity.note': Nothing
  readonly 'severity.set-aside': Nothing
  readonly 'severity.stop': Nothing
  readonly 'severity.warn': Nothing
  readonly 'shown.against': { readonly against: Part; readonly group: Part }
  readonly 'shown.all-else-alike': Nothing
  readonly 'shown.and-more': { readonly more: Part; readonly named: Part }
  readonly 'shown.at-risk-in-each': Nothing
  readonly 'shown.at-risk-of-each': { readonly against: Part; readonly group: Part }
  readonly 'shown.below-one': Nothing
  readonly 'shown.cannot-answer': { readonly what: Part }
  readonly 'shown.column.by-itself': Nothing
  readonly 'shown.column.estimate': Nothing
  readonly 'shown.column.log-rank': Nothing
  readonly 'shown.column.site': Nothing
  readonly 'shown.column.within': Nothing
  readonly 'shown.compared-with': { readonly against: Part; readonly group: Part; readonly patients: Part }
  readonly 'shown.contrast-title': { readonly against: Part; readonly group: Part; readonly intervals: Part }
  readonly 'shown.counted': { readonly n: CountPart; readonly what: 'column' | 'event' | 'patient' | 'practice' | 'restoration' | 'row' | 'other' }
  readonly 'shown.difference-at': { readonly years: Part }
  readonly 'shown.difference-points': Nothing
  readonly 'shown.estimate': { readonly clusters: Part; readonly estimate: Part; readonly events: Part; readonly interval: Part; readonly method: Part; readonly rows: Part; readonly subject: Part }
  readonly 'shown.factors-from': { readonly coefficients: CountPart; readonly events: Part; readonly restorations: Part }
  readonly 'shown.factors-title': { readonly endpoint: Part; readonly intervals: Part }
  readonly 'shown.first-of-rows': { readonly all: Part; readonly shown: Part }
  readonly 'shown.first-rows': { readonly rows: Part }
  readonly 'shown.followed-title': { readonly patients: Part; readonly restorations: Part }
  readonly 'shown.generated': Nothing
  readonly 'shown.group-not-shown': Nothing
  readonly 'shown.hazards-allowing': { readonly what: Part }
  readonly 'shown.hazards-between': Nothing
  readonly 'shown.hazards-by-clinic': Nothing
  readonly 'shown.how-often-title': { readonly intervals: Part }
  readonly 'shown.in-clusters': { readonly clusters: Part }
  readonly 'shown.interval-behind': { readonly interval: Part; readonly level: CountPart }
  readonly 'shown.intervals': { readonly level: CountPart }
  readonly 'shown.may-be-said': { readonly reason: Part; readonly verdict: Part }
  readonly 'shown.may-be-said-head': Nothing
  readonly 'shown.median-follow-up': { readonly years: Part }
  readonly 'shown.missing': Nothing
  readonly 'shown.not-estimable-since': { readonly reason: Part }
  readonly 'shown.not-in-model': { readonly reason: Part; readonly what: Part }
  readonly 'shown.nothing-found': Nothing
  readonly 'shown.penalised': Nothing
  readonly 'shown.pooled-title': { readonly endpoint: Part; readonly intervals: Part; readonly practices: Part }
  readonly 'shown.rates-by-clinic': Nothing
  readonly 'shown.reason-behind': { readonly reason: Part }
  readonly 'shown.rows-read': { readonly source: Part }
  readonly 'shown.share-title': { readonly freeOf: Part; readonly intervals: Part }
  readonly 'shown.silent-section': { readonly events: CountPart; readonly least: Part }
  readonly 'shown.site': { readonly arch: Part; readonly region: Part }
  readonly 'shown.sites-title': { readonly intervals: Part }
  readonly 'shown.small-groups': { readonly fewest: Part }
  readonly 'shown.sums-only': Nothing
  readonly 'shown.test': { readonly method: Part; readonly p: Part }
  readonly 'shown.thin': Nothing
  readonly 'shown.verdict.cannot-be-compared': Nothing
  readonly 'shown.verdict.cannot-be-known': Nothing
  readonly 'shown.verdict.higher': Nothing
  readonly 'shown.verdict.lower': Nothing
  readonly 'shown.verdict.open': Nothing
  readonly 'shown.weighted-title': { readonly against: Part; readonly group: Part; readonly intervals: Part }
  readonly 'shown.what-is-compared': Nothing
  readonly 'shown.within': { readonly years: Part }
  readonly 'shown.within-clinics': Nothing
  readonly 'slides.followed': { readonly events: CountPart; readonly one: Part; readonly restorationYears: Part }
  readonly 'slides.kicker': Nothing
  readonly 'slides.not-compared': Nothing
  readonly 'slides.note': Nothing
  readonly 'slides.notes': Nothing
  readonly 'slides.nothing-tried': Nothing
  readonly 'slides.source': { readonly source: Part }
  readonly 'source-form.one-sheet': Nothing
  readonly 'source-form.three-tables': Nothing
  readonly 'study-group.beside-caption': Nothing
  readonly 'study-group.beside-chart': Nothing
  readonly 'study-group.beside-note': Nothing
  readonly 'study-group.beside-others': { readonly group: Part }
  readonly 'study-group.beside-own': { readonly group: Part }
  readonly 'study-group.coverage-alike': Nothing
  readonly 'study-group.coverage-sample': Nothing
  readonly 'study-group.left-out': { readonly cells: CountPart }
  readonly 'study-group.model.across': Nothing
  readonly 'study-group.model.across-1': Nothing
  readonly 'study-group.model.across-2': Nothing
  readonly 'study-group.model.across-3': Nothing
  readonly 'study-group.model.across-4': Nothing
  readonly 'study-group.model.call': Nothing
  readonly 'study-group.model.call-text': Nothing
  readonly 'study-group.model.cannot': Nothing
  readonly 'study-group.model.cannot-1': Nothing
  readonly 'study-group.model.cannot-2': Nothing
  readonly 'study-group.model.cannot-3': Nothing
  readonly 'study-group.model.cannot-4': Nothing
  readonly 'study-group.model.cannot-5': Nothing
  readonly 'study-group.model.cannot-6': Nothing
  readonly 'study-group.model.cannot-7': Nothing
  readonly 'study-group.model.code': Nothing
  readonly 'study-group.model.happens': Nothing
  readonly 'study-group.model.happens-1': Nothing
  readonly 'study-group.model.happens-2': Nothing
  readonly 'study-group.model.happens-3': Nothing
  readonly 'study-group.model.happens-4': Nothing
  readonly 'study-group.model.kicker': Nothing
  readonly 'study-group.model.names': Nothing
  readonly 'study-group.model.protocol-title': Nothing
  readonly 'study-group.model.sees': Nothing
  readonly 'study-group.model.sees-1': Nothing
  readonly 'study-group.model.sees-2': Nothing
  readonly 'study-group.model.sees-3': Nothing
  readonly 'study-group.model.sees-4': Nothing
  readonly 'study-group.model.title': Nothing
  readonly 'study-group.model.to-call': Nothing
  readonly 'study-group.needed': { readonly now: Part; readonly own: 'yes' | 'other'; readonly points: Part; readonly restorations: Part; readonly risk: Part; readonly years: Part }
  readonly 'study-group.practice-file': Nothing
  readonly 'study.readme': Nothing
  readonly 'summary.about': { readonly dated: 'span' | 'year' | 'other'; readonly first: Part; readonly last: Part; readonly part: 'yes' | 'other'; readonly patients: CountPart; readonly restorations: CountPart }
  readonly 'summary.all-checked': Nothing
  readonly 'summary.cannot-tell': Nothing
  readonly 'summary.cautions': Nothing
  readonly 'summary.cautions-title': Nothing
  readonly 'summary.compared-otherwise': { readonly from: Part; readonly to: Part }
  readonly 'summary.counted': { readonly about: Part; readonly followed: 'yes' | 'other'; readonly meaning: Part; readonly median: Part; readonly types: Part }
  readonly 'summary.difference': Nothing
  readonly 'summary.events': { readonly endpoint: Part }
  readonly 'summary.figure-incidence': Nothing
  readonly 'summary.kicker': Nothing
  readonly 'summary.look-again': { readonly left: CountPart }
  readonly 'summary.next': Nothing
  readonly 'summary.no-reason': Nothing
  readonly 'summary.objections': Nothing
  readonly 'summary.one-way-only': { readonly share: Part }
  readonly 'summary.question': { readonly compared: 'yes' | 'other' }
  readonly 'summary.question-other': { readonly compared: 'yes' | 'other'; readonly endpoint: Part }
  readonly 'summary.recall': Nothing
  readonly 'summary.record': Nothing
  readonly 'summary.restorations': Nothing
  readonly 'summary.risk': { readonly years: Part }
  readonly 'summary.sure': Nothing
  readonly 'summary.table': { readonly endpoint: Part; readonly years: Part }
  readonly 'summary.table-counts': { readonly endpoint: Part }
  readonly 'summary.table-note': { readonly level: Part }
  readonly 'summary.table-note-all': { readonly level: Part }
  readonly 'summary.title': { readonly endpoint: Part; readonly source: Part }
  readonly 'summary.torque': { readonly measured: CountPart; readonly over: Part; readonly share: Part; readonly tolerance: Part; readonly under: Part }
  readonly 'summary.use-both': Nothing
  readonly 'table.clinic': Nothing
  readonly 'table.difference': Nothing
  readonly 'table.events': Nothing
  readonly 'table.few-at-risk': { readonly least: Part }
  readonly 'table.follow-up': Nothing
  readonly 'table.group': Nothing
  readonly 'table.interval': Nothing
  readonly 'table.lower-limit': { readonly title: Part }
  readonly 'table.mean': Nothing
  readonly 'table.p-value': Nothing
  readonly 'table.pair': Nothing
  readonly 'table.practices': Nothing
  readonly 'table.range': Nothing
  readonly 'table.rate': Nothing
  readonly 'table.restorations': Nothing
  readonly 'table.share': Nothing
  readonly 'table.source': Nothing
  readonly 'table.standard-deviation': Nothing
  readonly 'table.unit': { readonly title: Part; readonly unit: Part }
  readonly 'table.upper-limit': { readonly title: Part }
  readonly 'table.warning-of-groups': { readonly groups: Part; readonly warning: Part }
  readonly 'table.years': Nothing
  readonly 'term.competing-event': Nothing
  readonly 'term.cumulative-incidence': Nothing
  readonly 'term.event': Nothing
  readonly 'term.free': Nothing
  readonly 'term.hazard-ratio': Nothing
  readonly 'term.interval': Nothing
  readonly 'term.look': Nothing
  readonly 'term.rate': Nothing
  readonly 'term.repeated-tightening': Nothing
  readonly 'term.restoration': Nothing
  readonly 'term.share': Nothing
  readonly 'term.time-at-risk': Nothing
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
  readonly 'torque.one-device': { readonly applications: CountPart; readonly dated: 'yes' | 'other'; readonly days: Part; readonly device: Part; readonly over: CountPart; readonly under: Part }
  readonly 'torque.over': Nothing
  readonly 'torque.shown-by-device': Nothing
  readonly 'torque.title': Nothing
  readonly 'torque.under': Nothing
  readonly 'torque.within': Nothing
  readonly 'trend.at-risk': Nothing
  readonly 'trend.basis': { readonly followed: Part }
  readonly 'trend.caption': { readonly followed: Part }
  readonly 'trend.chart': { readonly followed: Part }
  readonly 'trend.chart-caption': Nothing
  readonly 'trend.chart-few': { readonly least: Part }
  readonly 'trend.chart-note': Nothing
  readonly 'trend.chart-row': { readonly events: Part; readonly restorations: Part; readonly year: Part }
  readonly 'trend.fell': Nothing
  readonly 'trend.few-events': { readonly endpoint: Part; readonly events: CountPart; readonly followed: Part; readonly years: Part }
  readonly 'trend.few-years': { readonly atRisk: Part; readonly followed: Part; readonly least: Part; readonly years: CountPart }
  readonly 'trend.late-entry': { readonly restorations: CountPart }
  readonly 'trend.looks': Nothing
  readonly 'trend.looks-unknown': { readonly endpoint: Part }
  readonly 'trend.method': Nothing
  readonly 'trend.never-checked': Nothing
  readonly 'trend.no-cause': Nothing
  readonly 'trend.open': Nothing
  readonly 'trend.open-ends': Nothing
  readonly 'trend.patients': Nothing
  readonly 'trend.rate': { readonly endpoint: Part; readonly events: CountPart; readonly followed: Part; readonly interval: Part; readonly level: Part; readonly ratio: Part; readonly years: Part }
  readonly 'trend.risk': Nothing
  readonly 'trend.rose': Nothing
  readonly 'trend.title': Nothing
  readonly 'trend.too-late': { readonly restorations: CountPart }
  readonly 'trend.unequal-looks': { readonly endpoint: Part; readonly looks: Part }
  readonly 'trend.year': Nothing
  readonly 'trend.year-unknown': { readonly restorations: CountPart }
  readonly 'unit.days': Nothing
  readonly 'unit.minutes': Nothing
  readonly 'unit.per-hundred': Nothing
  readonly 'unit.percent': Nothing
  readonly 'unit.points': Nothing
  readonly 'unit.torque': Nothing
  readonly 'unit.years': Nothing
  readonly 'wait.apart': Nothing
  readonly 'wait.base': { readonly patients: CountPart; readonly restorations: CountPart }
  readonly 'wait.basis': { readonly names: Part; readonly strata: 'none' | 'other' }
  readonly 'wait.chart': { readonly minutes: Part }
  readonly 'wait.chart-at': { readonly minutes: Part; readonly ratio: Part }
  readonly 'wait.chart-axis': Nothing
  readonly 'wait.chart-description': { readonly heading: Part; readonly level: Part; readonly rows: Part }
  readonly 'wait.chart-minutes': { readonly minutes: Part }
  readonly 'wait.chart-none': Nothing
  readonly 'wait.chart-places': { readonly places: Part }
  readonly 'wait.chart-window': Nothing
  readonly 'wait.curve': Nothing
  readonly 'wait.few-events': { readonly base: Part; readonly events: Part; readonly one: Part }
  readonly 'wait.groups': Nothing
  readonly 'wait.had': { readonly base: Part; readonly events: Part; readonly one: Part }
  readonly 'wait.method': Nothing
  readonly 'wait.method-groups': Nothing
  readonly 'wait.minutes': Nothing
  readonly 'wait.no-event': { readonly base: Part; readonly one: Part }
  readonly 'wait.open': { readonly many: Part }
  readonly 'wait.place.after': { readonly to: Part }
  readonly 'wait.place.before': { readonly from: Part }
  readonly 'wait.place.inside': { readonly from: Part; readonly to: Part }
  readonly 'wait.ratio': Nothing
  readonly 'wait.ratio-at': { readonly interval: Part; readonly level: Part; readonly minutes: Part; readonly ratio: Part }
  readonly 'wait.ratios': { readonly ratios: Part; readonly reference: Part }
  readonly 'wait.reason.not-fitted': Nothing
  readonly 'wait.reason.too-few-different-waits': Nothing
  readonly 'wait.reason.too-few-events': Nothing
  readonly 'wait.several': { readonly restorations: CountPart }
  readonly 'wait.stratum.clinic': Nothing
  readonly 'wait.stratum.operator': Nothing
  readonly 'wait.title': Nothing
  readonly 'wait.unknown': { readonly restorations: Part }
  readonly 'watch.adjusted': { readonly fields: Part; readonly some: 'yes' | 'other' }
  readonly 'watch.axis-year': Nothing
  readonly 'watch.better': Nothing
  readonly 'watch.caution-cause': Nothing
  readonly 'watch.caution-device': Nothing
  readonly 'watch.caution-people': Nothing
  readonly 'watch.change': Nothing
  readonly 'watch.chart': Nothing
  readonly 'watch.chart-caption': Nothing
  readonly 'watch.chart-description': { readonly heading: Part; readonly rows: Part }
  readonly 'watch.chart-height': { readonly height: Part; readonly year: Part }
  readonly 'watch.chart-limit': Nothing
  readonly 'watch.chart-note': Nothing
  readonly 'watch.copies': Nothing
  readonly 'watch.device': Nothing
  readonly 'watch.device-drifts': { readonly beyond: 'yes' | 'other'; readonly change: Part; readonly day: Part; readonly device: Part; readonly onset: Part; readonly restorations: CountPart; readonly sizeKnown: 'yes' | 'other' }
  readonly 'watch.device-state': Nothing
  readonly 'watch.device-state.drifting': Nothing
  readonly 'watch.device-state.steady': Nothing
  readonly 'watch.devices': Nothing
  readonly 'watch.devices-few': { readonly devices: Part }
  readonly 'watch.devices-none': Nothing
  readonly 'watch.devices-note': Nothing
  readonly 'watch.devices-own': { readonly count: CountPart; readonly devices: Part }
  readonly 'watch.devices-quiet': Nothing
  readonly 'watch.devices-setting': { readonly devices: Part }
  readonly 'watch.devices-unread': Nothing
  readonly 'watch.drift-chart': Nothing
  readonly 'watch.drift-chart-caption': Nothing
  readonly 'watch.drift-chart-note': Nothing
  readonly 'watch.drift-reading': { readonly device: Part; readonly size: Part; readonly year: Part }
  readonly 'watch.events-found': Nothing
  readonly 'watch.expected': Nothing
  readonly 'watch.fields-fell': { readonly fields: Part }
  readonly 'watch.fields-one': { readonly before: Part; readonly field: Part; readonly now: Part }
  readonly 'watch.found-by': Nothing
  readonly 'watch.funnel-few': { readonly units: CountPart; readonly what: 'clinics' | 'other' }
  readonly 'watch.funnel-none': { readonly what: 'clinics' | 'other' }
  readonly 'watch.funnel-outside': { readonly count: CountPart; readonly names: Part; readonly units: Part }
  readonly 'watch.funnel-ratio': Nothing
  readonly 'watch.funnel-rest': { readonly units: Part }
  readonly 'watch.funnel-table': { readonly what: 'clinics' | 'other' }
  readonly 'watch.funnel-within': { readonly what: 'clinics' | 'other' }
  readonly 'watch.heading': Nothing
  readonly 'watch.kicker': Nothing
  readonly 'watch.last-year': { readonly events: CountPart; readonly expected: Part; readonly level: Part; readonly lower: Part; readonly ratio: Part; readonly upper: Part; readonly year: Part }
  readonly 'watch.looks-changed': { readonly lower: Part; readonly ratio: Part; readonly upper: Part }
  readonly 'watch.looks-same': { readonly lower: Part; readonly ratio: Part; readonly upper: Part }
  readonly 'watch.method': Nothing
  readonly 'watch.next-signal': { readonly day: Part }
  readonly 'watch.no-dates': Nothing
  readonly 'watch.no-signal': { readonly end: Part; readonly events: CountPart; readonly expected: Part; readonly seen: 'some' | 'other'; readonly start: Part; readonly years: Part }
  readonly 'watch.not-looked-checks': { readonly days: Part; readonly inPlace: CountPart; readonly never: CountPart; readonly overdue: Part }
  readonly 'watch.not-looked-presumed': { readonly share: Part }
  readonly 'watch.periods': Nothing
  readonly 'watch.readings': Nothing
  readonly 'watch.restorations': Nothing
  readonly 'watch.section-devices': Nothing
  readonly 'watch.section-not-looked': Nothing
  readonly 'watch.section-now': Nothing
  readonly 'watch.section-people': Nothing
  readonly 'watch.side': Nothing
  readonly 'watch.side-earlier': Nothing
  readonly 'watch.side-recent': Nothing
  readonly 'watch.side-table': Nothing
  readonly 'watch.side-table-note': { readonly difference: Part; readonly limits: Part }
  readonly 'watch.signal': { readonly day: Part; readonly end: Part; readonly events: CountPart; readonly expected: Part; readonly start: Part }
  readonly 'watch.since-calibration': Nothing
  readonly 'watch.since-last': { readonly days: Part; readonly usual: Part }
  readonly 'watch.summary': { readonly end: Part; readonly restorations: CountPart }
  readonly 'watch.summary-undated': { readonly restorations: CountPart }
  readonly 'watch.title': { readonly records: Part }
  readonly 'watch.too-few': { readonly events: CountPart; readonly start: Part; readonly years: Part }
  readonly 'watch.unit.clinics': Nothing
  readonly 'watch.unit.operators': Nothing
}
