/**
 * Distribution functions in full double accuracy, tails included. Every P value of the toolkit comes from an upper
 * tail or a logarithm here, never from 1 − cdf. Parameters outside their range give NaN; callers check first.
 *
 * The special functions are those of stdlib; what stands here are the identities that lead to them (Abramowitz and
 * Stegun 1964, chapters 6 and 26), their logarithms where the value itself would underflow, and Loader's (2000)
 * saddle-point form of the probabilities of counts.
 */

export * from './betaDistribution.js'
export * from './countDistributions.js'
export * from './gammaDistribution.js'
export * from './normalDistribution.js'
