// Made by scripts/messageTypes.mjs from the messages of reasons, warnings and methods; run it after a change there.

type Nothing = Readonly<Record<never, never>>
export type Plain = string | number | readonly (string | number)[]

/** What the words of every reason need. */
export interface ReasonParameters {
  readonly 'accuracies-impossible': Nothing
  readonly 'all-or-none-had-event': Nothing
  readonly 'autocorrelation-needs-two': Nothing
  readonly 'cell-empty': Nothing
  readonly 'chi-square-reference': Nothing
  readonly 'clusters-too-few-for-scores': Nothing
  readonly 'clusters-too-few-together': Nothing
  readonly 'common-odds-ratio-extreme': Nothing
  readonly 'contrast-without-standard-error': Nothing
  readonly 'corrected-group-without-events': Nothing
  readonly 'covariate-does-not-vary-at-risk': Nothing
  readonly 'covariate-separates-events': Nothing
  readonly 'covariate-without-log-ratio': Nothing
  readonly 'covariate-without-variance': Nothing
  readonly 'curve-at-zero': Nothing
  readonly 'curve-without-value': Nothing
  readonly 'days-not-given': Nothing
  readonly 'effects-on-a-line': Nothing
  readonly 'events-on-one-day': Nothing
  readonly 'events-too-few-for-change': Nothing
  readonly 'every-unit-with-event': Nothing
  readonly 'fewer-practices-than': { readonly practices: Plain }
  readonly 'fewer-than-five-events': Nothing
  readonly 'fewer-than-three-studies': Nothing
  readonly 'fewer-than-two-groups': Nothing
  readonly 'fewer-than-two-informative-strata': Nothing
  readonly 'fewer-than-two-margins': Nothing
  readonly 'field-in-one-report': Nothing
  readonly 'field-not-in-earlier': Nothing
  readonly 'field-not-in-later': Nothing
  readonly 'fit-without-estimate': Nothing
  readonly 'follow-up-ends-at': { readonly time: number }
  readonly 'follow-up-ends-before': Nothing
  readonly 'group-does-not-vary': Nothing
  readonly 'group-empty': Nothing
  readonly 'group-of-one-cluster': Nothing
  readonly 'group-too-small-for-variance': Nothing
  readonly 'group-without-estimate': Nothing
  readonly 'group-without-event': Nothing
  readonly 'group-without-event-in-studies': Nothing
  readonly 'group-without-event-or-all': Nothing
  readonly 'group-without-interval': Nothing
  readonly 'group-without-risk': Nothing
  readonly 'group-without-time-at-risk': Nothing
  readonly 'group-without-units': Nothing
  readonly 'groups-alike-within': Nothing
  readonly 'groups-too-small-for-variance': Nothing
  readonly 'hazard-too-small': Nothing
  readonly 'last-interval-open': Nothing
  readonly 'likelihood-not-curved': Nothing
  readonly 'limit-not-given': Nothing
  readonly 'limit-out-of-range': Nothing
  readonly 'limit-out-of-reach': Nothing
  readonly 'log-scale-at-zero': Nothing
  readonly 'means-equal': Nothing
  readonly 'no-cluster-repeats': Nothing
  readonly 'no-complete-row-in-group': Nothing
  readonly 'no-counted-event-no-variance': Nothing
  readonly 'no-covariate': Nothing
  readonly 'no-covariate-varies-at-risk': Nothing
  readonly 'no-degrees-of-freedom': Nothing
  readonly 'no-delivery-of-known-handling': Nothing
  readonly 'no-event-and-nobody-at-risk': Nothing
  readonly 'no-event-by-then': Nothing
  readonly 'no-event-in-bandwidth': Nothing
  readonly 'no-event-in-either-group': Nothing
  readonly 'no-event-known': Nothing
  readonly 'no-event-observed': Nothing
  readonly 'no-event-of-cause-by-then': Nothing
  readonly 'no-event-of-cause-with-two-groups': Nothing
  readonly 'no-event-of-interest': Nothing
  readonly 'no-event-time-with-two-groups': Nothing
  readonly 'no-event-while-both-at-risk': Nothing
  readonly 'no-finite-f': Nothing
  readonly 'no-group-repeats': Nothing
  readonly 'no-hazard-ratio': Nothing
  readonly 'no-information-on-coefficient': Nothing
  readonly 'no-informative-stratum': Nothing
  readonly 'no-label-can-change': Nothing
  readonly 'no-maximum': Nothing
  readonly 'no-maximum-other-tests-stand': Nothing
  readonly 'no-more-rows-than-coefficients': Nothing
  readonly 'no-more-studies-than-coefficients': Nothing
  readonly 'no-pair-compared': Nothing
  readonly 'no-pair-differs': Nothing
  readonly 'no-rows': Nothing
  readonly 'no-shared-scores': Nothing
  readonly 'no-standard-error': Nothing
  readonly 'no-status-known': Nothing
  readonly 'no-stratum-of-both-groups': Nothing
  readonly 'no-study-of-both-groups': Nothing
  readonly 'no-study-with-both-outcomes': Nothing
  readonly 'no-study-with-event': Nothing
  readonly 'no-time-at-risk': Nothing
  readonly 'no-time-before-or-after': Nothing
  readonly 'no-units': Nothing
  readonly 'no-values': Nothing
  readonly 'no-variance': Nothing
  readonly 'no-variance-within-tables': Nothing
  readonly 'nobody-in-interval': Nothing
  readonly 'nobody-lost': Nothing
  readonly 'nobody-observed-to-horizon': Nothing
  readonly 'none-printed': Nothing
  readonly 'normal-reference': Nothing
  readonly 'not-converged': Nothing
  readonly 'not-estimated-earlier': Nothing
  readonly 'not-estimated-later': Nothing
  readonly 'not-known-in-group': Nothing
  readonly 'not-known-in-one-group': Nothing
  readonly 'not-two-groups': Nothing
  readonly 'nothing-to-tip': Nothing
  readonly 'odds-not-compared': Nothing
  readonly 'on-the-boundary': Nothing
  readonly 'one-cluster': Nothing
  readonly 'one-cluster-or-no-estimate': Nothing
  readonly 'one-patient': Nothing
  readonly 'one-practice-carries-comparison': Nothing
  readonly 'one-study': Nothing
  readonly 'one-study-left': Nothing
  readonly 'one-study-no-spread': Nothing
  readonly 'one-study-tells': Nothing
  readonly 'outcome-does-not-vary': Nothing
  readonly 'outcome-or-score-does-not-vary': Nothing
  readonly 'part-not-estimable': Nothing
  readonly 'past-last-time-at-risk': Nothing
  readonly 'poisson-limit': Nothing
  readonly 'rate-out-of-range': Nothing
  readonly 'ratio-beyond-protocol': Nothing
  readonly 'ratio-of-zero': Nothing
  readonly 'ratio-out-of-range': Nothing
  readonly 'refused': { readonly problem: Plain }
  readonly 'response-does-not-vary': Nothing
  readonly 'scale-at-one': Nothing
  readonly 'scale-of-one': Nothing
  readonly 'scores-do-not-differ': Nothing
  readonly 'scores-separate-groups': Nothing
  readonly 'separated': Nothing
  readonly 'separation': Nothing
  readonly 'several-maxima': Nothing
  readonly 'smoothed-until': { readonly time: number }
  readonly 'spread-needs-two': Nothing
  readonly 'standard-error-zero': Nothing
  readonly 'studies-alike-without-moderators': Nothing
  readonly 'studies-all-or-nothing': Nothing
  readonly 'studies-of-one-precision': Nothing
  readonly 'tables-without-estimate': { readonly lacking: Plain; readonly tables: Plain }
  readonly 'too-few-compare-the-groups': Nothing
  readonly 'too-few-followed-that-long': Nothing
  readonly 'too-few-patients-or-practices': Nothing
  readonly 'too-few-samples': Nothing
  readonly 'too-few-units-for-variance': Nothing
  readonly 'too-many-permutations': Nothing
  readonly 'untreated-alike': Nothing
  readonly 'values-do-not-vary': Nothing
  readonly 'weighting-impossible': Nothing
  readonly 'weights-all-zero': Nothing
  readonly 'weights-even': { readonly apart: number; readonly most: Plain }
  readonly 'weights-extreme': { readonly most: Plain }
  readonly 'weights-unbalanced': { readonly apart: number; readonly names: Plain }
}

/** What the words of every warning need. */
export interface WarningParameters {
  readonly 'all-events': { readonly rows: Plain }
  readonly 'all-events-among-clusters': { readonly clusters: Plain; readonly rows: Plain }
  readonly 'all-or-nothing': Nothing
  readonly 'ask-about-replication': { readonly groups: Plain }
  readonly 'asked-looks': { readonly looks: number }
  readonly 'asked-no-events': { readonly groups: number }
  readonly 'asked-small-groups': { readonly groups: number; readonly least: Plain }
  readonly 'asked-unknown': { readonly restorations: number }
  readonly 'bootstrap-failures': { readonly failed: Plain; readonly samples: Plain }
  readonly 'clusters-ignored': Nothing
  readonly 'constant-among-observed': { readonly names: Plain }
  readonly 'correlation-cut-short': { readonly moments: number; readonly rows: Plain; readonly used: number }
  readonly 'correlation-unsettled': { readonly used: number }
  readonly 'covariate-not-recorded': { readonly field: Plain }
  readonly 'covariate-of-too-few-events': { readonly field: Plain }
  readonly 'covariate-too-incomplete': { readonly field: Plain }
  readonly 'empty-margin': Nothing
  readonly 'every-unit-with-event': Nothing
  readonly 'extreme-weights': { readonly most: Plain; readonly weights: Plain }
  readonly 'few-clusters': { readonly clusters: Plain; readonly degreesOfFreedom: Plain }
  readonly 'few-clusters-for-spread': { readonly clusters: Plain }
  readonly 'few-clusters-in-tests': { readonly clusters: Plain; readonly degreesOfFreedom: Plain }
  readonly 'few-events': { readonly enough: Plain; readonly events: number }
  readonly 'few-events-for-outcome-model': { readonly columns: Plain; readonly events: Plain }
  readonly 'few-events-per-covariate': { readonly coefficients: Plain; readonly events: Plain }
  readonly 'few-gaps': { readonly gaps: Plain }
  readonly 'few-outcomes-per-covariate': { readonly covariates: Plain; readonly rarer: Plain }
  readonly 'few-pairs': { readonly pairs: Plain }
  readonly 'few-patients': { readonly degreesOfFreedom: Plain; readonly patients: number }
  readonly 'few-patients-normal-interval': { readonly patients: number }
  readonly 'few-patients-with-care': { readonly patients: number }
  readonly 'few-studies': { readonly studies: Plain }
  readonly 'few-studies-for-test': { readonly studies: Plain }
  readonly 'few-studies-per-moderator': { readonly moderators: Plain; readonly studies: Plain }
  readonly 'few-units': { readonly units: Plain }
  readonly 'fewer-clusters-than-coefficients': { readonly clusters: Plain; readonly coefficients: Plain }
  readonly 'frailty-from-single-rows': Nothing
  readonly 'frailty-variance-unbounded': Nothing
  readonly 'group-of-one-cluster': Nothing
  readonly 'group-rates-without-variation': Nothing
  readonly 'group-without-variation': Nothing
  readonly 'harmonic-mean-of-sizes': Nothing
  readonly 'harmonic-mean-of-times': Nothing
  readonly 'impossible-draws': { readonly share: number }
  readonly 'incomplete-rows': { readonly left: Plain; readonly restorations: Plain }
  readonly 'incomplete-rows-of-model': { readonly left: Plain; readonly restorations: Plain }
  readonly 'interval-takes-rows-as-independent': Nothing
  readonly 'late-entry': Nothing
  readonly 'less-spread-than-chance': Nothing
  readonly 'limits-widened': Nothing
  readonly 'little-overlap': { readonly share: number }
  readonly 'maximum-not-reached': Nothing
  readonly 'measured-repeatedly': { readonly restorations: number }
  readonly 'mostly-missing': { readonly names: Plain }
  readonly 'no-event-by-then': Nothing
  readonly 'no-event-known': Nothing
  readonly 'no-event-no-ratio': Nothing
  readonly 'no-event-to-compare': Nothing
  readonly 'no-events': { readonly rows: Plain }
  readonly 'no-events-among-clusters': { readonly clusters: Plain; readonly rows: Plain }
  readonly 'no-events-in-clusters': { readonly clusters: Plain; readonly rows: Plain }
  readonly 'no-maximum': Nothing
  readonly 'no-maximum-found': { readonly iterations: Plain }
  readonly 'no-over-dispersion': Nothing
  readonly 'no-overlap': Nothing
  readonly 'no-pairs': Nothing
  readonly 'no-penalised-maximum-found': Nothing
  readonly 'no-spread-between-clusters': Nothing
  readonly 'no-study-with-event': Nothing
  readonly 'no-variation': Nothing
  readonly 'no-variation-at-risk': { readonly names: Plain }
  readonly 'no-variation-within-sets': { readonly names: Plain }
  readonly 'not-converged': { readonly iterations: Plain }
  readonly 'nothing-missing': Nothing
  readonly 'one-cluster': Nothing
  readonly 'one-cluster-no-frailty': Nothing
  readonly 'one-patient': Nothing
  readonly 'one-study': Nothing
  readonly 'outcome-not-used': Nothing
  readonly 'outside-overlap': { readonly share: number }
  readonly 'over-dispersed': Nothing
  readonly 'patients-fixed': { readonly fixed: Plain; readonly patients: Plain }
  readonly 'patients-repeat': Nothing
  readonly 'penalised-not-converged': { readonly iterations: Plain }
  readonly 'perfect-fit': Nothing
  readonly 'propensity-model-not-converged': Nothing
  readonly 'pseudo-replication': { readonly group: Plain; readonly implants: Plain; readonly values: Plain }
  readonly 'random-intercepts-not-converged': Nothing
  readonly 'risk-outside-range': Nothing
  readonly 'risk-set-emptied': Nothing
  readonly 'rows-without-time': { readonly rows: Plain }
  readonly 'same-outcome': { readonly events: Plain; readonly rows: Plain }
  readonly 'scores-near-bounds': { readonly near: Plain; readonly rows: Plain }
  readonly 'scores-near-bounds-lean': { readonly rows: Plain }
  readonly 'scores-separate-groups': Nothing
  readonly 'separated': { readonly names: Plain }
  readonly 'separated-competing': { readonly names: Plain }
  readonly 'separation': { readonly complete: 'yes' | 'other'; readonly names: Plain; readonly rows: Plain }
  readonly 'separation-by-constant': { readonly complete: 'yes' | 'other'; readonly rows: Plain }
  readonly 'sets-without-comparison': { readonly sets: Plain }
  readonly 'short-baseline': { readonly readings: Plain }
  readonly 'silent-studies': { readonly silent: Plain; readonly studies: Plain }
  readonly 'spread-runs-off': Nothing
  readonly 'stopped-runs': { readonly cases: Plain; readonly charts: Plain; readonly stopped: Plain }
  readonly 'strata-left-out': { readonly strata: Plain }
  readonly 'test-takes-rows-as-independent': Nothing
  readonly 'unequal-groups': Nothing
  readonly 'untestable-replicates': { readonly replicates: Plain; readonly untestable: Plain }
  readonly 'weighted-greenwood': Nothing
}

/** What the words of every term of a method need. */
export interface MethodParameters {
  readonly 'aalen-johansen': Nothing
  readonly 'aalen-s-variance': Nothing
  readonly 'aalen-variance': Nothing
  readonly 'accuracies-drawn': Nothing
  readonly 'actuarial-life-table': Nothing
  readonly 'actuarial-life-table-by-year-of-service': Nothing
  readonly 'adaptive-gauss-hermite-quadrature': Nothing
  readonly 'agresti-coull': Nothing
  readonly 'arcsin-interval': Nothing
  readonly 'augmented-inverse-probability-weighting': Nothing
  readonly 'average-effect': Nothing
  readonly 'average-target': Nothing
  readonly 'barnard-rubin-degrees-of-freedom': Nothing
  readonly 'breslow-day': Nothing
  readonly 'breslow-day-with-tarone-s-correction': Nothing
  readonly 'breslow-likelihood': Nothing
  readonly 'breslow-s-ties': Nothing
  readonly 'brookmeyer-crowley-limits-on-the-arcsin-scale': Nothing
  readonly 'brookmeyer-crowley-limits-on-the-log-log-scale': Nothing
  readonly 'brookmeyer-crowley-limits-on-the-log-scale': Nothing
  readonly 'brookmeyer-crowley-limits-on-the-logit-scale': Nothing
  readonly 'brookmeyer-crowley-limits-on-the-plain-scale': Nothing
  readonly 'byar': Nothing
  readonly 'censoring-estimated': Nothing
  readonly 'chi-square-times-n-1-n': Nothing
  readonly 'chi-square-with-yates-s-correction': Nothing
  readonly 'clopper-pearson-exact': Nothing
  readonly 'cluster-robust-variance': Nothing
  readonly 'clusters-as-n': Nothing
  readonly 'cochran-armitage-trend': Nothing
  readonly 'cochran-mantel-haenszel': Nothing
  readonly 'cohen-d': Nothing
  readonly 'common-effect': Nothing
  readonly 'common-outcome-model': Nothing
  readonly 'common-trends': Nothing
  readonly 'common-variance': Nothing
  readonly 'competing-events': Nothing
  readonly 'conditional': Nothing
  readonly 'conditional-exact': Nothing
  readonly 'conditional-exact-on-effective-events-and-times': Nothing
  readonly 'conditional-logistic-regression': Nothing
  readonly 'conditional-maximum-likelihood': Nothing
  readonly 'conditional-mid-p-exact': Nothing
  readonly 'continuity-corrected': Nothing
  readonly 'continuous-quantiles': Nothing
  readonly 'corrected-two-pass-mean-and-standard-deviation': Nothing
  readonly 'cox-regression': Nothing
  readonly 'cox-regression-stratified-by-clinic': Nothing
  readonly 'cox-regression-stratified-by-clinic-in-rounds': Nothing
  readonly 'cox-regression-with-firth-penalty': Nothing
  readonly 'cox-regression-with-shared-gamma-frailty': Nothing
  readonly 'cumulative-chart-against-the-rates-of-the-baseline-by-age-band': Nothing
  readonly 'cumulative-incidence-and-rate-over-equal-follow-up': Nothing
  readonly 'cumulative-incidence-on-the-grid-with-competing-events': Nothing
  readonly 'design-effect-of-cluster-size-and-intraclass-correlation': Nothing
  readonly 'difference': Nothing
  readonly 'difference-of-aalen-johansen-risks': Nothing
  readonly 'difference-of-restricted-means': Nothing
  readonly 'e-value': Nothing
  readonly 'efron-likelihood': Nothing
  readonly 'efron-s-ties': Nothing
  readonly 'epanechnikov-with-boundary-correction': Nothing
  readonly 'equal-tailed': Nothing
  readonly 'events-divided-by-the-design-effect-of-patients': Nothing
  readonly 'events-over-those-expected-from-the-cumulative-hazard-of-all': Nothing
  readonly 'exact': Nothing
  readonly 'exact-likelihood': Nothing
  readonly 'exact-limits-of-all-studies-together': Nothing
  readonly 'exact-lower-limit-with-clusters-at-risk-as-n': Nothing
  readonly 'exact-lower-limit-with-patients-as-n': Nothing
  readonly 'exact-one-sided-binomial-limit-with-no-events': Nothing
  readonly 'exact-poisson-limits': Nothing
  readonly 'exact-ties': Nothing
  readonly 'exact-upper-limit-with-clusters-at-risk-as-n': Nothing
  readonly 'exchangeable-working-correlation': Nothing
  readonly 'exponential-accelerated-failure-time-regression': Nothing
  readonly 'f': Nothing
  readonly 'fine-gray-regression': Nothing
  readonly 'firth-s-penalised-likelihood': Nothing
  readonly 'fisher-exact': Nothing
  readonly 'fixed-accuracies': Nothing
  readonly 'fleming-harrington-test': { readonly gamma: number; readonly rho: number }
  readonly 'games-howell': Nothing
  readonly 'garwood-exact-poisson': Nothing
  readonly 'garwood-on-events-and-time-divided-by-the-design-effect': Nothing
  readonly 'gehan-breslow-test': Nothing
  readonly 'generalised-estimating-equations': Nothing
  readonly 'gray-s-test': Nothing
  readonly 'greenland-robins-variance': Nothing
  readonly 'greenwood-s-variance-expected-at-the-pace-so-far': Nothing
  readonly 'greenwood-type-variance': Nothing
  readonly 'greenwood-variance': Nothing
  readonly 'half-added-to-each-cell-haldane-anscombe': Nothing
  readonly 'hartung-knapp-interval': Nothing
  readonly 'hazard-ratio-common': Nothing
  readonly 'hazard-ratio-rare': Nothing
  readonly 'hedges-g': Nothing
  readonly 'hybrid-of-the-limits-of-each-group': Nothing
  readonly 'imputed-tables': { readonly imputations: number }
  readonly 'independence-working-correlation': Nothing
  readonly 'infinitesimal-jackknife-over-patients': Nothing
  readonly 'infinitesimal-jackknife-over-rows': Nothing
  readonly 'inflated-by-design-effect-and-losses': Nothing
  readonly 'influence-summed-over-patients': Nothing
  readonly 'influence-summed-over-rows': Nothing
  readonly 'interval-censored-times': Nothing
  readonly 'inverse-probability-of-censoring': Nothing
  readonly 'inverse-variance': Nothing
  readonly 'inverse-variance-on-the-arcsine-scale': Nothing
  readonly 'inverse-variance-on-the-double-arcsine-scale': Nothing
  readonly 'inverse-variance-on-the-double-square-root-scale': Nothing
  readonly 'inverse-variance-on-the-log-scale': Nothing
  readonly 'inverse-variance-on-the-logit-scale': Nothing
  readonly 'inverse-variance-on-the-square-root-scale': Nothing
  readonly 'inverse-variance-on-the-untransformed-scale': Nothing
  readonly 'jeffreys': Nothing
  readonly 'kernel-smoothed-hazard': Nothing
  readonly 'koopman-score': Nothing
  readonly 'koopman-score-on-effective-sample-sizes': Nothing
  readonly 'kruskal-wallis': Nothing
  readonly 'lawless-nadeau-variance-summed-over-patients': Nothing
  readonly 'lawless-nadeau-variance-summed-over-rows': Nothing
  readonly 'least-squares': Nothing
  readonly 'likelihood-ratio': Nothing
  readonly 'likelihood-ratio-chi-square-g': Nothing
  readonly 'likelihood-ratio-test': Nothing
  readonly 'likelihood-ratio-test-of-the-frailty-variance': Nothing
  readonly 'limit-of-agreement-zou': Nothing
  readonly 'linear-regression': Nothing
  readonly 'log-interval': Nothing
  readonly 'log-log-interval': Nothing
  readonly 'log-logistic-accelerated-failure-time-regression': Nothing
  readonly 'log-normal-accelerated-failure-time-regression': Nothing
  readonly 'log-odds-ratio': Nothing
  readonly 'log-rank-score': Nothing
  readonly 'log-rank-test': Nothing
  readonly 'log-rank-test-stratified-by-clinic': Nothing
  readonly 'log-rank-test-with-patient-robust-variance': Nothing
  readonly 'log-rate': Nothing
  readonly 'log-rate-ratio': Nothing
  readonly 'log-ratio': Nothing
  readonly 'log-risk-ratio': Nothing
  readonly 'log-scale': Nothing
  readonly 'logistic': Nothing
  readonly 'logistic-model-with-a-random-intercept': Nothing
  readonly 'logistic-regression': Nothing
  readonly 'logistic-regression-with-random-intercepts': Nothing
  readonly 'logit-interval': Nothing
  readonly 'mann-whitney': Nothing
  readonly 'mantel-haenszel': Nothing
  readonly 'maximum-likelihood': Nothing
  readonly 'mcnemar-chi-square': Nothing
  readonly 'mean-count-with-terminal-events-ghosh-lin': Nothing
  readonly 'mean-cumulative-count-nelson-while-in-place': Nothing
  readonly 'mean-difference': Nothing
  readonly 'median-unbiased': Nothing
  readonly 'mee-score': Nothing
  readonly 'mid-p-exact': Nothing
  readonly 'mid-p-exact-poisson': Nothing
  readonly 'miettinen-nurminen-score': Nothing
  readonly 'misclassified-endpoint': Nothing
  readonly 'misclassified-exposure': Nothing
  readonly 'model-variance': Nothing
  readonly 'modified-at-the-ends': Nothing
  readonly 'modified-peto-peto-test': Nothing
  readonly 'multiple-imputation-by-chained-equations': Nothing
  readonly 'negative-binomial-regression': Nothing
  readonly 'nelson-aalen': Nothing
  readonly 'nelson-s-variance-between-units': Nothing
  readonly 'never-narrower-interval': Nothing
  readonly 'never-narrower-than-common-effect': Nothing
  readonly 'newcombe-hybrid-of-cluster-aware-limits': Nothing
  readonly 'newcombe-hybrid-score': Nothing
  readonly 'newcombe-interval': Nothing
  readonly 'no-trends': Nothing
  readonly 'non-parametric-maximum-likelihood': Nothing
  readonly 'non-parametric-maximum-likelihood-for-interval-censored-times': Nothing
  readonly 'noncentral-hypergeometric': Nothing
  readonly 'noncentral-t': Nothing
  readonly 'none': Nothing
  readonly 'normal-interval': Nothing
  readonly 'odds-ratio': Nothing
  readonly 'odds-ratio-against': { readonly acceptable: number; readonly toDetect: number }
  readonly 'odds-ratio-common': Nothing
  readonly 'odds-ratio-rare': Nothing
  readonly 'one-step-hazard-ratio-from-the-log-rank-test': Nothing
  readonly 'one-way-analysis-of-variance': Nothing
  readonly 'overlap-effect': Nothing
  readonly 'overlap-target': Nothing
  readonly 'overlap-weights': Nothing
  readonly 'p-halved-at-the-edge': Nothing
  readonly 'paired-t': Nothing
  readonly 'pairs-by-games-howell': Nothing
  readonly 'patient-bootstrap': Nothing
  readonly 'patient-robust-variance': Nothing
  readonly 'patient-robust-where-patients-repeat': Nothing
  readonly 'pearson-chi-square': Nothing
  readonly 'penalised-likelihood-ratio-test': Nothing
  readonly 'per-group-outcome-model': Nothing
  readonly 'permutation-of-whole-patients-within-strata': Nothing
  readonly 'peto-one-step-log-odds-ratio': Nothing
  readonly 'peto-peto-test': Nothing
  readonly 'plain-interval': Nothing
  readonly 'poisson': Nothing
  readonly 'poisson-model-with-a-random-intercept': Nothing
  readonly 'poisson-regression': Nothing
  readonly 'poisson-regression-with-random-intercepts': Nothing
  readonly 'pooled-variance-fleiss': Nothing
  readonly 'product-limit': Nothing
  readonly 'profile-limits': Nothing
  readonly 'profile-penalised-likelihood': Nothing
  readonly 'propensity-weights': Nothing
  readonly 'quadrature-points': { readonly points: number }
  readonly 'quantile-of-the-product-limit-curve': Nothing
  readonly 'random-effects-dersimonian-laird': Nothing
  readonly 'random-effects-hedges': Nothing
  readonly 'random-effects-hunter-schmidt': Nothing
  readonly 'random-effects-likelihood': Nothing
  readonly 'random-effects-meta-regression-dersimonian-laird': Nothing
  readonly 'random-effects-meta-regression-hedges': Nothing
  readonly 'random-effects-meta-regression-hunter-schmidt': Nothing
  readonly 'random-effects-meta-regression-likelihood': Nothing
  readonly 'random-effects-meta-regression-paule-mandel': Nothing
  readonly 'random-effects-meta-regression-restricted-likelihood': Nothing
  readonly 'random-effects-meta-regression-sidik-jonkman': Nothing
  readonly 'random-effects-paule-mandel': Nothing
  readonly 'random-effects-restricted-likelihood': Nothing
  readonly 'random-effects-sidik-jonkman': Nothing
  readonly 'rate': Nothing
  readonly 'rate-ratio': Nothing
  readonly 'rate-ratio-by-mantel-and-haenszel': Nothing
  readonly 'ratio': Nothing
  readonly 'ratio-of-restricted-means': Nothing
  readonly 'regression-of-difference-on-mean': Nothing
  readonly 'regression-of-effect-on-standard-error-egger': Nothing
  readonly 'restorations-as-independent': Nothing
  readonly 'restricted-cubic-spline': { readonly knots: number }
  readonly 'restricted-mean': Nothing
  readonly 'reverse-product-limit': Nothing
  readonly 'risk-adjusted-cumulative-log-likelihood-ratio': Nothing
  readonly 'risk-difference': Nothing
  readonly 'risk-ratio': Nothing
  readonly 'risks-drawn-from-those-given': Nothing
  readonly 'robins-breslow-greenland-variance': Nothing
  readonly 'robust': Nothing
  readonly 'robust-score-test': Nothing
  readonly 'robust-variance': Nothing
  readonly 'rounds': { readonly iterations: number }
  readonly 'rubin-s-rules': Nothing
  readonly 'sample-odds-ratio': Nothing
  readonly 'sato-variance': Nothing
  readonly 'scenarios-for-the-lost': Nothing
  readonly 'schoenfeld': Nothing
  readonly 'score-test': Nothing
  readonly 'score-test-of-the-cox-model-with-variance-summed-over-clusters': Nothing
  readonly 'scores-trimmed': { readonly highest: number; readonly lowest: number }
  readonly 'seed': { readonly seed: number }
  readonly 'segmented-poisson-regression-over-delivery-date': Nothing
  readonly 'separate-trends': Nothing
  readonly 'share-within-tolerance': Nothing
  readonly 'simulation': Nothing
  readonly 'splits-no-more-probable': Nothing
  readonly 'stabilised': Nothing
  readonly 'standardised-mean-difference': Nothing
  readonly 'stratified': Nothing
  readonly 'stratified-by-clinic': Nothing
  readonly 'student-t': Nothing
  readonly 't': Nothing
  readonly 't-distribution': Nothing
  readonly 't-reference': Nothing
  readonly 'tables-no-more-probable': Nothing
  readonly 'tarone-ware-test': Nothing
  readonly 'those-withdrawn-counted-half': Nothing
  readonly 'ties-one-by-one': Nothing
  readonly 'time-by-identity': Nothing
  readonly 'time-by-log': Nothing
  readonly 'time-by-product-limit': Nothing
  readonly 'time-by-rank': Nothing
  readonly 'time-lost-to-the-cause': Nothing
  readonly 'times-the-ratio-of-patient-robust-to-independent': Nothing
  readonly 'tipping-point-for-the-lost': Nothing
  readonly 'treated-effect': Nothing
  readonly 'treated-target': Nothing
  readonly 'truncated-at-quantile': { readonly quantile: number }
  readonly 'tukey-kramer': Nothing
  readonly 'two-one-sided-tests': Nothing
  readonly 'two-poisson-rates': Nothing
  readonly 'two-proportions': Nothing
  readonly 'untreated-effect': Nothing
  readonly 'untreated-target': Nothing
  readonly 'variance-of-independent-events': Nothing
  readonly 'variance-robust-by-cluster': Nothing
  readonly 'variance-robust-by-patient': Nothing
  readonly 'variance-robust-by-row': Nothing
  readonly 'variance-summed-over-patients': Nothing
  readonly 'wald': Nothing
  readonly 'wald-limits': Nothing
  readonly 'wald-on-the-log-rate': Nothing
  readonly 'wald-on-the-log-ratio': Nothing
  readonly 'wald-test': Nothing
  readonly 'weibull-accelerated-failure-time-regression': Nothing
  readonly 'weights-taken-as-known': Nothing
  readonly 'welch': Nothing
  readonly 'welch-s-analysis-of-variance': Nothing
  readonly 'welch-t': Nothing
  readonly 'widened-to-the-common-effect-one': Nothing
  readonly 'width-of-the-interval-of-a-log-hazard-ratio': Nothing
  readonly 'width-of-the-interval-of-a-risk-difference': Nothing
  readonly 'width-of-wilson-s-interval': Nothing
  readonly 'wilcoxon-signed-rank': Nothing
  readonly 'wilson': Nothing
  readonly 'wilson-score': Nothing
  readonly 'wilson-score-on-the-effective-sample-size': Nothing
  readonly 'woolf': Nothing
}
