/** Words of the study-group report, of the page on what leaves a practice, and of the page for one site. */
export const pooledWords = Object.freeze({
  kicker: 'Study group: pooled from summaries, no record has left its practice',
  kickerRows: 'Study group: pooled from de-identified records',
  answer: 'In short',
  sites: 'Sites',
  retention: 'Retention',
  comparison: 'Comparison of the two groups',
  synthesis: 'How sites differ',
  methods: 'How this was made',
  columns: {
    site: 'site',
    release: 'release',
    restorations: 'restorations',
    patients: 'patients',
    events: 'events',
    years: 'restoration-years',
    intervals: 'intervals',
    compares: 'compares groups',
    group: 'group',
    horizon: 'after',
    retention: 'at the ends of intervals only',
    exactRetention: 'retention',
    spread: 'retention, events spread over time at risk',
    atRisk: 'at risk',
    measure: 'measure',
    estimate: 'estimate',
    rate: 'rate per 100 restoration-years',
    statistic: 'statistic',
    degrees: 'degrees of freedom',
    pValue: 'P',
    ratio: 'rate ratio',
    weight: 'weight',
    without: 'all others together',
    shift: 'change of the mean, standard deviations',
    quantity: 'quantity',
    value: 'value',
  },
  stepNote:
    'Only the number of events within an interval is known, not their days. The first reading spreads them over the time at risk of the interval and is the one to use; the second has them all at its end, as a product-limit curve of counts does, and is too high before the end of a long interval.',
  spreadNote:
    'Events of each interval are spread over its time at risk; numbers at risk are means over the intervals of the sites.',
  exactNote: 'Times are exact: nothing has been moved to the ends of intervals.',
  curveInterval: 'Intervals of the curve from counts take restorations as independent where patients repeat.',
  predictionNote:
    'The last row is where the rate ratio of another clinic like these would be expected; it is wider than the interval of the mean, because clinics differ.',
  predictionAbsent:
    'Too few sites show both groups to say where the rate ratio of another clinic like these would be expected.',
  noComparison:
    'The two groups cannot be compared: no site has enough patients with an event in each of them to show them apart.',
  funnelNote:
    'Sites with less information lie lower and wider. More points outside the lines than the level allows mean that sites differ; a lean to one side among the lower ones, that small sites differ from large ones or are missing.',
  yes: 'yes',
  no: 'no',
  notApart:
    'Sites that do not compare groups have too few patients behind a count of one group: they share both groups as one, and take part in the overall curve only.',
  notUsed: 'Summaries that were not used',
  replaced: 'Releases replaced by later ones',
  noEstimate: 'Sites without an estimate of their own',
  waiting: 'The hazard ratio waits for the answers of sites to the next round.',
  methodsText: [
    'Each site counted its restorations on a grid of time that it made coarser until every count rested on no patient or on at least the agreed number of patients, put rare strata together, and sent these counts. They were added up here; each site kept its own grid.',
    'Rate ratios rest on events and time at risk within strata of clinic. The hazard ratio is that of a proportional hazards model stratified by clinic, whose sums of scores and information the sites sent in rounds; its interval allows for several restorations in one patient.',
    'The synthesis weighs the rate ratios of the sites by random effects (restricted maximum likelihood, interval by Hartung and Knapp, never narrower than that of a common effect).',
    'Whether the same patient was treated in two of the clinics cannot be seen from counts.',
  ],
  methodsOfRows: [
    'De-identified records of the clinics were stacked, with clinics and strata within clinics kept apart and patients kept together.',
    'Rate ratios rest on events and time at risk within strata of clinic. The hazard ratio is that of a proportional hazards model stratified by clinic; its interval, and those of the curves, allow for several restorations in one patient.',
    'The synthesis weighs the rate ratios of the sites by random effects (restricted maximum likelihood, interval by Hartung and Knapp, never narrower than that of a common effect).',
    'Whether the same patient was treated in two of the clinics cannot be seen where each clinic has pseudonyms of its own.',
  ],
  heterogeneity: {
    caption: 'How far sites differ beyond chance',
    between: 'variance of the log rate ratio between sites',
    share: 'share of the spread that is between sites',
    chance: 'P of as much spread by chance alone',
    predictionLower: 'rate ratio expected in another clinic like these, lower end',
    predictionUpper: 'the same, upper end',
  },
  protocol: {
    name: 'protocol',
    version: 'version ',
    endpoint: 'endpoint',
    groups: 'groups',
    window: 'wait before the second tightening',
    strata: 'strata within clinics',
    covariates: 'covariates of the model',
    none: 'none',
    threshold: 'fewest patients behind a number',
    hash: 'hash of the file',
  },
})

/** Words of the page that a site reads before it sends anything. */
export const shareWords = Object.freeze({
  kicker: 'What leaves this practice',
  title: 'What leaves this practice, and what does not',
  leaves: 'What leaves',
  stays: 'What stays',
  cannot: 'What counts cannot guard against',
  tables: 'The numbers themselves',
  nobodyIn: 'No restoration stands in the stratum ',
  howToRead:
    'At risk: restorations under observation in the interval. Endpoint, competing, censored: how those leave it that do. Entered: restorations that came under observation after delivery, at the start of the interval. Days at risk: their days in the interval, added up.',
  modelSize: {
    before: 'The model counts ',
    restorations: ' restorations and ',
    after: ' events; its intervals end on the days ',
  },
  lead: 'One file of counts and sums goes to the coordinator. Every number in it is shown on this page, sums for the model rounded. No row, no date of a patient, no pseudonym of a patient and no name is in it.',
  staysItems: [
    'Every record: restorations, tightenings, visits.',
    'The log of what was shared, which lies beside the data set. It holds keyed hashes of restorations and must not be sent.',
    'The key file of the pseudonyms.',
  ],
  cannotItems: [
    'Someone who knows all records of this practice but one can subtract what they know and read the last one. No rule on counts stops that; do not share where such a person could be among the readers.',
    'Someone who knows that a patient was treated here learns what holds for all patients behind a count: if all of a group had the event, that patient had it too.',
    'Sums with many digits (time at risk, score, information, outer products) rest on at least the threshold of patients each, but a determined reader with outside knowledge can test guesses against them.',
    'A summary on paper, or an earlier one that was made by hand, is not known to this program and is not taken into account.',
    'Counts are not anonymous by law everywhere. Approvals stay with you.',
  ],
})

/** Words of the page that a site reads before it answers a round of the model. */
export const answerWords = Object.freeze({
  title: 'What leaves this practice with the answer to a round',
  lead: 'Sums of the model at the coefficients that the coordinator asked for. Score, information and likelihood follow from counts of which each rests on no patient or on at least the agreed number, whatever the coefficients: a round tells no more than these counts do.',
  notLast: 'Outer products of the scores of patients go along in the last round only; this is not the last.',
  last: 'This is the last round: outer products of the scores of patients go along, for an interval that allows for several restorations in one patient.',
  caption: 'The numbers of the answer',
  logLikelihood: 'Logarithm of the partial likelihood: ',
  digits: 'Numbers are rounded here; the file holds them with all digits.',
})

/** Words of the confidential page of one site. */
export const siteWords = Object.freeze({
  kicker: 'Confidential: for this site only',
  title: 'This site beside the study group',
  beside: 'This site and the others',
  note: 'The others are all sites of the group without this one. There is no ranking: with few events a site lies above or below the others by chance.',
  onlySite:
    'There are fewer than two other sites: their figures would be those of one site, and are not shown.',
  columns: { quantity: 'quantity', own: 'this site', others: 'the others' },
  restorations: 'restorations',
  events: 'events',
  rate: 'rate per 100 restoration-years',
  retention: (years: string) => `retention after ${years}, events spread over time at risk`,
  ratio: (group: string, against: string) => `rate ratio, ${group} against ${against}`,
  noRatio: 'not shown',
  noRatioNote:
    'A rate ratio is shown for a site that shows its groups apart, and for the others where at least two of them do.',
  intervals:
    'Intervals take restorations as independent; where patients have several, they are too narrow as a rule.',
  threeSites:
    'These figures are for this site. The figures of the others hold at least two sites together; whoever knows all but one of them can work out the last.',
})
