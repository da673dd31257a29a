import { eValue, type RatioScale } from '../../statistics/sensitivity.js'
import type { ReferenceCase, ReferenceMethod } from '../referenceCase.js'
import { numberOf } from './columns.js'

export const balanceMethods: Readonly<Record<string, ReferenceMethod>> = {
  'sensitivity.e_value': confounding,
}

/** Scales of ratios by the names that the reference files use. */
const scales: Readonly<Record<string, RatioScale>> = {
  RR: 'risk-ratio',
  IRR: 'rate-ratio',
  OR: 'odds-ratio-rare',
  OR_rare: 'odds-ratio-rare',
  OR_common: 'odds-ratio-common',
  HR: 'hazard-ratio-rare',
  HR_rare: 'hazard-ratio-rare',
  HR_common: 'hazard-ratio-common',
}

function confounding(reference: ReferenceCase): unknown {
  const type = String(reference.data.type ?? reference.options.type ?? 'RR')
  const answer = eValue(numberOf(reference, 'est'), {
    scale: scales[type] ?? 'risk-ratio',
    lower: numberOf(reference, 'lo'),
    upper: numberOf(reference, 'hi'),
  })
  return { rr_scale: answer.riskRatio, e_value: answer.eValue, e_value_ci: answer.eValueOfLimit }
}
