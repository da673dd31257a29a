import * as d from '../../statistics/numeric/distributions.js'
import type { ReferenceCase, ReferenceMethod } from '../referenceCase.js'

/** Lower tail, upper tail, their logarithms, and quantiles of a continuous family at its parameters. */
interface Family {
  readonly lower: (x: number, a: number, b: number) => number
  readonly upper: (x: number, a: number, b: number) => number
  readonly logLower?: (x: number, a: number, b: number) => number
  readonly logUpper?: (x: number, a: number, b: number) => number
  readonly quantile: (p: number, a: number, b: number) => number
  readonly upperQuantile?: (q: number, a: number, b: number) => number
  readonly logProbability?: (x: number, a: number, b: number) => number
}

/** Families by the last part of the function names that the reference files use. */
const families: Readonly<Record<string, Family>> = {
  norm: {
    lower: d.normalCdf,
    upper: d.normalUpperTail,
    logLower: d.normalLogCdf,
    logUpper: (z) => d.normalLogCdf(-z),
    quantile: d.normalQuantile,
    upperQuantile: d.normalUpperQuantile,
  },
  t: {
    lower: d.studentTCdf,
    upper: d.studentTUpperTail,
    quantile: d.studentTQuantile,
    upperQuantile: (q, df) => -d.studentTQuantile(q, df),
  },
  chisq: {
    lower: d.chiSquareCdf,
    upper: d.chiSquareUpperTail,
    logLower: (x, df) => d.gammaLogCdf(x / 2, df / 2),
    logUpper: (x, df) => d.gammaLogUpperTail(x / 2, df / 2),
    quantile: d.chiSquareQuantile,
    upperQuantile: d.chiSquareUpperQuantile,
  },
  f: {
    lower: d.fCdf,
    upper: d.fUpperTail,
    quantile: d.fQuantile,
    upperQuantile: (q, df1, df2) => 1 / d.fQuantile(q, df2, df1),
  },
  beta: {
    lower: d.betaCdf,
    upper: d.betaUpperTail,
    logLower: d.betaLogCdf,
    logUpper: d.betaLogUpperTail,
    quantile: d.betaQuantile,
    upperQuantile: d.betaUpperQuantile,
  },
  gamma: {
    lower: (x, shape, rate) => d.gammaCdf(x * rateOr1(rate), shape),
    upper: (x, shape, rate) => d.gammaUpperTail(x * rateOr1(rate), shape),
    logLower: (x, shape, rate) => d.gammaLogCdf(x * rateOr1(rate), shape),
    logUpper: (x, shape, rate) => d.gammaLogUpperTail(x * rateOr1(rate), shape),
    quantile: (p, shape, rate) => d.gammaQuantile(p, shape) / rateOr1(rate),
    upperQuantile: (q, shape, rate) => d.gammaUpperQuantile(q, shape) / rateOr1(rate),
  },
  binom: {
    lower: d.binomialCdf,
    upper: d.binomialUpperTail,
    quantile: d.binomialQuantile,
    logProbability: d.binomialLogPmf,
  },
  pois: {
    lower: d.poissonCdf,
    upper: d.poissonUpperTail,
    quantile: d.poissonQuantile,
    logProbability: d.poissonLogPmf,
  },
}

export const distributionMethods: Readonly<Record<string, ReferenceMethod>> = { distribution }

function distribution(reference: ReferenceCase): unknown {
  const { data } = reference
  if (!Array.isArray(data.fn)) {
    const value = d.fQuantile(Number(data.p), Number(data.df1), Number(data.df2))
    return { value }
  }
  const column = (name: string): readonly unknown[] => (Array.isArray(data[name]) ? data[name] : [])
  const value = data.fn.map((name: string, i: number) =>
    evaluated(
      name,
      Number(column('x')[i]),
      Number(column('par1')[i] ?? Number.NaN),
      Number(column('par2')[i] ?? Number.NaN),
      column('lower')[i] !== false,
      column('log')[i] === true,
    ),
  )
  return { value }
}

function evaluated(
  name: string,
  x: number,
  a: number,
  b: number,
  lower: boolean,
  log: boolean,
): number | undefined {
  const family = families[name.slice(1)]
  if (family === undefined) return undefined
  if (name.startsWith('p')) {
    const ofLog = lower ? family.logLower : family.logUpper
    if (log && ofLog !== undefined) return ofLog(x, a, b)
    const tail = lower ? family.lower(x, a, b) : family.upper(x, a, b)
    return log ? Math.log(tail) : tail
  }
  if (name.startsWith('d')) {
    const logProbability = family.logProbability?.(x, a, b)
    if (logProbability === undefined) return undefined
    return log ? logProbability : Math.exp(logProbability)
  }
  const probability = log ? Math.exp(x) : x
  if (lower) return family.quantile(probability, a, b)
  return family.upperQuantile?.(probability, a, b) ?? family.quantile(1 - probability, a, b)
}

function rateOr1(rate: number): number {
  return Number.isNaN(rate) ? 1 : rate
}
