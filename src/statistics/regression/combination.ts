import { isNumber, type Quantity } from '../../core/estimate.js'
import { type RegressionCoefficient, type WaldReference, waldCoefficient } from './coefficients.js'

/** A fit of which coefficients can be added up. */
export interface CombinableFit {
  readonly coefficients: readonly RegressionCoefficient[]
  readonly covariance: readonly (readonly Quantity[])[]
}

/** Sum of multiples of coefficients, with the interval that their covariance gives it. */
export function combineCoefficients(
  name: string,
  fit: CombinableFit,
  multiples: Readonly<Record<string, number>>,
  reference: WaldReference,
): RegressionCoefficient {
  const used = fit.coefficients.flatMap((one, j) => {
    const multiple = multiples[one.name] ?? 0
    return multiple === 0 ? [] : [{ one, j, multiple }]
  })
  const lacking = used.find(({ one }) => !isNumber(one.estimate))
  if (lacking !== undefined) {
    return waldCoefficient(name, lacking.one.estimate, Number.NaN, reference, 'part-not-estimable')
  }
  let estimate = 0
  let variance = 0
  for (const a of used) {
    estimate += a.multiple * (a.one.estimate as number)
    for (const b of used) {
      const covariance = fit.covariance[a.j]![b.j]!
      variance += a.multiple * b.multiple * (isNumber(covariance) ? covariance : Number.NaN)
    }
  }
  return waldCoefficient(name, estimate, Math.sqrt(variance), reference, 'no-variance')
}
