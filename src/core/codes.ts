// Made by scripts/messageTypes.mjs from the messages of reasons and warnings; run it after a change there.

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
