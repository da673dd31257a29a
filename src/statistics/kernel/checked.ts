import { type Aliases, checkedArguments } from '../../core/checked.js'
import { signatures } from './signatures.js'

/** Names that statistics has for values beside those used here. */
const aliases: Aliases = {
  // heterogeneity between studies
  reml: ['restricted-likelihood'],
  ml: ['likelihood'],
  dl: ['dersimonian-laird'],
  pm: ['paule-mandel'],
  he: ['hedges'],
  sj: ['sidik-jonkman'],
  hs: ['hunter-schmidt'],
  hk: ['hartung-knapp'],
  hksj: ['hartung-knapp'],
  knapphartung: ['hartung-knapp'],
  sidikjonkmanhartungknapp: ['hartung-knapp'],
  freemantukey: ['double-arcsine', 'double-square-root'],
  // whose average effect is asked for
  ate: ['average'],
  att: ['treated'],
  atu: ['untreated'],
  atc: ['untreated'],
  ato: ['overlap'],
  // limits of shares, rates and ratios
  clopperpearson: ['exact'],
  midpexact: ['mid-p'],
  wilsonscore: ['wilson'],
  score: ['wilson'],
  mn: ['miettinen-nurminen'],
  katz: ['log-wald'],
  poissonexact: ['garwood'],
  exact: ['garwood'],
  haldane: ['half-added'],
  haldaneanscombe: ['half-added'],
  // curves
  complementaryloglog: ['log-log'],
  cloglog: ['log-log'],
  linear: ['plain'],
  arcsine: ['arcsin'],
  infinitesimaljackknife: ['robust'],
  sandwich: ['robust'],
  huberwhite: ['robust'],
  // tests of curves
  gehan: ['gehan-breslow'],
  gehanwilcoxon: ['gehan-breslow'],
  breslow: ['gehan-breslow'],
  wilcoxon: ['gehan-breslow'],
  mantelcox: ['log-rank'],
  peto: ['peto-peto'],
  prentice: ['peto-peto'],
  andersen: ['modified-peto-peto'],
  pearsonchisquare: ['pearson'],
  likelihoodratio: ['likelihood-ratio'],
  gtest: ['likelihood-ratio'],
  // imputation
  pmm: ['predictive-mean-matching'],
}

/**
 * A public function whose every call is checked against its own types first: names and values of options, numbers,
 * columns and their lengths.
 */
export function checked<Call extends (...given: never[]) => unknown>(name: string, run: Call): Call {
  const signature = signatures[name]
  const call = (...given: unknown[]): unknown => {
    const settled = signature === undefined ? given : checkedArguments(name, signature, given, aliases)
    return run(...(settled as never[]))
  }
  return call as unknown as Call
}
