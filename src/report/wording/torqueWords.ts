import type { AuditResult } from '../../analysis/audit.js'
import type { CalibrationBand, TorqueResult } from '../../analysis/torque.js'
import { printable } from '../../charts/words.js'
import { isNumber } from '../../core/estimate.js'
import type { Citations } from '../citation.js'
import { type Phrase, phrase } from '../document.js'
import { withInterval } from './incidenceWords.js'

/** Headings, captions and heads of columns of the section on torque. */
export const torqueLabels = Object.freeze({
  section: 'Torque: reached against aimed at',
  byDevice: 'Torque reached on the delivery day, by device',
  byCalibration: 'The same by days since the last calibration of the device',
  deviations: 'Torque reached less torque aimed at, by device',
  removal: 'Torque of removal, by handling on the delivery day',
  removalPairs: 'Differences between the groups',
  device: 'Device',
  type: 'Kind',
  applications: 'Tightenings',
  within: 'Within the tolerance',
  over: 'Over',
  under: 'Under',
  deviation: 'Mean deviation, N·cm',
  limits: '95% of deviations between, N·cm',
  calibration: 'Longest since calibration, days',
  band: 'Since calibration',
  mean: 'Mean',
  standardDeviation: 'Standard deviation',
  removalTorque: 'Torque of removal, N·cm',
  loss: 'Share of torque lost',
  measure: 'Measure',
  pair: 'Pair',
  difference: 'Difference',
  pValue: 'P value',
})

/** Names of the bands of calibration in tables. */
export const calibrationWords: Readonly<Record<CalibrationBand, string>> = Object.freeze({
  'up to 180 days': 'up to 180 days',
  '181 to 365 days': '181 to 365 days',
  'more than 365 days': 'more than 365 days',
  'not known': 'not known',
})

/** Name of a kind of device as the dictionary has it, in words. */
export function deviceTypeInWords(type: string): string {
  return type === 'unknown' ? 'not recorded' : printable(type)
}

/** The main sentence on torque. */
export function torqueSentence({ overall }: TorqueResult, cite: Citations): Phrase {
  const at = 'torque'
  const counted = phrase`${cite.number(`${at}.applications`, 'count')} tightenings of ${cite.number(`${at}.restorations`, 'count')} restorations are recorded for the day of delivery`
  if (overall === undefined) {
    return phrase`${counted}, and for none of them both the torque aimed at and the torque reached: whether the target was met cannot be known.`
  }
  return phrase`${counted}, ${cite.number(`${at}.overall.applications`, 'count')} of them with both the torque aimed at and the torque reached. Of these, ${cite.number(`${at}.overall.shareWithin.estimate`, 'percent')} lay within ${cite.number(`${at}.tolerance`, 'percent')} of the target${withInterval(cite, `${at}.overall.shareWithin`, 'percent')}, ${cite.number(`${at}.overall.over`, 'count')} over and ${cite.number(`${at}.overall.under`, 'count')} under it.`
}

/** What the shares rest on, and what is not said. */
export function torqueBasis(result: TorqueResult, cite: Citations): Phrase {
  const at = 'torque'
  const clustered =
    result.overall === undefined
      ? []
      : phrase` The interval keeps together what was tightened ${result.clusteredBy === 'device' ? 'with one device' : 'in one patient'}. Within ${cite.number(`${at}.strictTolerance`, 'percent')}, the tolerance of ISO 6789-1 for hand torque tools up to 10 N·m, lay ${cite.quantity(`${at}.strict.shareWithin.estimate`, 'percent')}. A tolerance of ${cite.number(`${at}.tolerance`, 'percent')} is a convention of this audit.`
  const instruction =
    result.withInstruction === 0
      ? []
      : phrase` Of ${cite.number(`${at}.withInstruction`, 'count')} tightenings for which the torque of the instructions is recorded, ${result.offInstruction === 0 ? 'none' : cite.number(`${at}.offInstruction`, 'count')} aimed at another.`
  return phrase`All restorations of the types asked for count, followed up or not.${clustered}${instruction} The torque reached is what the device showed: a device that reads wrong is not found by its own readings. No preload is given, since it does not follow from torque without the nut factor and the diameter of the screw.`
}

/** What torque of removal says, or that it says nothing yet. */
export function removalSentence(audit: AuditResult, cite: Citations): Phrase {
  const result = audit.removalTorque!
  const at = 'removalTorque'
  const counted = phrase`Torque of removal was measured ${cite.number(`${at}.measurements`, 'count')} times on ${cite.number(`${at}.restorations`, 'count')} restorations.`
  const { welch } = result.removal
  const surrogate = 'It is a surrogate: what it says of loosening in the mouth is not known.'
  if (welch === undefined) {
    return phrase`${counted} There are no two groups with two or more values each to compare. ${surrogate}`
  }
  const tested = isNumber(welch.pValue)
    ? phrase` Whether all means are alike, without assuming a common spread: P ${equals(cite, `${at}.removal.welch.pValue`)}.`
    : []
  return phrase`${counted}${tested} ${surrogate}`
}

function equals(cite: Citations, path: string): Phrase {
  const number = cite.number(path, 'p-value')
  return number.text.startsWith('<') ? [number] : phrase`= ${number}`
}
