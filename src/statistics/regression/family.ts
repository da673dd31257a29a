import gammaln from '@stdlib/math-base-special-gammaln'

/** What one row contributes at a linear predictor: all that iteratively reweighted least squares needs. */
export interface RowTerms {
  mean: number
  /** Expected information about the linear predictor. */
  weight: number
  /** Derivative of the log-likelihood with respect to the linear predictor. */
  score: number
  logLikelihood: number
}

/** Distribution of the response together with its link. */
export interface Family {
  /** Fills the terms of one row. */
  evaluate(response: number, predictor: number, terms: RowTerms): void
  /** Linear predictor of a mean. */
  link(mean: number): number
  /** A mean inside the range near the response, to start from. */
  startingMean(response: number): number
  /** Twice the log-likelihood that the row loses against a mean equal to its response. */
  deviance(response: number, predictor: number): number
  variance(mean: number): number
  /** Responses that the mean meets only as the predictor runs off: at −∞ below, at +∞ above. */
  readonly boundary: { readonly below: number; readonly above: number | undefined }
}

/** 0 or 1 with the logit link. */
export const binomialFamily: Family = {
  evaluate(response, predictor, terms) {
    const decay = Math.exp(-Math.abs(predictor))
    const tail = decay / (1 + decay)
    terms.mean = predictor > 0 ? 1 / (1 + decay) : tail
    terms.weight = tail / (1 + decay)
    terms.score = response === 1 ? (predictor > 0 ? tail : 1 / (1 + decay)) : response - terms.mean
    terms.logLikelihood = -binomialLoss(response, predictor)
  },
  link: (mean) => Math.log(mean / (1 - mean)),
  startingMean: (response) => (response + 0.5) / 2,
  deviance(response, predictor) {
    const saturated =
      response > 0 && response < 1
        ? response * Math.log(response) + (1 - response) * Math.log1p(-response)
        : 0
    return 2 * (saturated + binomialLoss(response, predictor))
  },
  variance: (mean) => mean * (1 - mean),
  boundary: { below: 0, above: 1 },
}

/** Counts with the log link. */
export const poissonFamily: Family = {
  evaluate(response, predictor, terms) {
    const mean = Math.exp(predictor)
    terms.mean = mean
    terms.weight = mean
    terms.score = response - mean
    terms.logLikelihood = (response === 0 ? 0 : response * predictor - gammaln(response + 1)) - mean
  },
  link: Math.log,
  startingMean: (response) => response + 0.1,
  deviance(response, predictor) {
    const mean = Math.exp(predictor)
    return 2 * (response === 0 ? mean : response * Math.log(response / mean) - (response - mean))
  },
  variance: (mean) => mean,
  boundary: { below: 0, above: undefined },
}

/**
 * Over-dispersed counts with the log link and variance mean + mean² / theta.
 *
 * @param information `expected`, from which standard errors come, or `observed`, with which Newton's steps converge
 *   fast however small theta is (the likelihood is concave in the linear predictor)
 */
export function negativeBinomialFamily(
  theta: number,
  information: 'expected' | 'observed' = 'expected',
): Family {
  return {
    evaluate(response, predictor, terms) {
      const mean = Math.exp(predictor)
      const share = theta / (theta + mean)
      terms.mean = mean
      terms.weight =
        information === 'expected' ? mean * share : ((response + theta) * mean * share) / (theta + mean)
      terms.score = (response - mean) * share
      terms.logLikelihood = negativeBinomialLogPmf(response, predictor, theta)
    },
    link: Math.log,
    startingMean: (response) => response + 0.1,
    deviance(response, predictor) {
      const mean = Math.exp(predictor)
      const excess = (response + theta) * Math.log1p((response - mean) / (mean + theta))
      return 2 * ((response === 0 ? 0 : response * Math.log(response / mean)) - excess)
    },
    variance: (mean) => mean + (mean * mean) / theta,
    boundary: { below: 0, above: undefined },
  }
}

/** Logarithm of the negative binomial probability of a count, by its log mean and theta. */
export function negativeBinomialLogPmf(count: number, logMean: number, theta: number): number {
  const mean = Math.exp(logMean)
  const fromZero = -theta * Math.log1p(mean / theta)
  if (count === 0) return fromZero
  return (
    risingLogGamma(theta, count) - gammaln(count + 1) + count * (logMean - Math.log(theta + mean)) + fromZero
  )
}

/** log Γ(theta + count) − log Γ(theta), term by term for small counts so that a large theta loses no digits. */
function risingLogGamma(theta: number, count: number): number {
  if (count > 200 || !Number.isInteger(count)) return gammaln(theta + count) - gammaln(theta)
  let sum = 0
  for (let k = 0; k < count; k++) sum += Math.log(theta + k)
  return sum
}

/** Minus the log-likelihood of a response under the logit link, without loss of digits on either side. */
function binomialLoss(response: number, predictor: number): number {
  if (response === 1) return softplus(-predictor)
  if (response === 0) return softplus(predictor)
  return softplus(predictor) - response * predictor
}

/** log(1 + e^x). */
function softplus(x: number): number {
  return x > 0 ? x + Math.log1p(Math.exp(-x)) : Math.log1p(Math.exp(x))
}
