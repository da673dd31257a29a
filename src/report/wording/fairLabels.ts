import type { AdjustmentReason, LeadReason } from '../../analysis/fairComparison.js'

/** Headings, captions and heads of columns of the fair comparison. */
export const fairLabels = Object.freeze({
  section: 'One tightening against two: the fair comparison',
  wrongSection: 'What could be wrong with the comparison',
  plan: 'The question, and what was decided before',
  whoCompared: 'Who was compared with whom',
  everyWay: 'Every way of comparing them',
  leads: '(leads)',
  columns: Object.freeze({
    part: 'Part of the question',
    answer: 'Here',
    field: 'Field of the plan',
    planned: 'Planned',
    used: 'Used',
    variant: 'Way of comparing',
    difference: 'Difference in risk, percentage points',
    ratio: 'Ratio',
    mean: 'Difference, days',
    allowsFor: 'Allows for',
    assumes: 'Takes for granted',
    restorations: 'Restorations',
    events: 'Events',
    recorded: 'In the records',
    leftOut: 'Left out',
    included: 'In the cohort',
    reason: 'How the group came about',
    years: 'Years',
    group: 'Group',
    byDayFound: 'By the day of finding',
    lowest: 'Least, by looks',
    highest: 'Most, by looks',
    weibull: 'Placed between looks',
    cause: 'Competing event',
    numberNeeded: 'Number needed',
    range: 'With its interval',
    assumption: 'If of those lost …',
    trait: 'What came before',
    before: 'Difference before weighting',
    after: 'Difference after weighting',
  }),
  captions: Object.freeze({
    'fair-question': 'The question as a trial that one would like to have',
    'fair-departures': 'What departs from the plan',
    'fair-attrition': 'From the records to the cohort, by handling on the delivery day',
    'fair-reasons': 'How the two groups came about',
    'fair-balance': 'Standardised differences in what came before, before and after weighting',
    'fair-needed': 'Crude difference in risk and the number needed at each horizon',
    'fair-differences': 'Differences in risk, every way',
    'fair-ratios': 'Ratios of hazards and rates, every way',
    'fair-means': 'Differences in mean time, every way',
    'fair-looks': 'Risk by the day of finding, and with loosening placed between looks',
    'fair-competing': 'Competing events',
    'fair-lost': 'Difference in risk under assumptions about those lost before the horizon',
    'fair-overlap': 'Where and when each way of tightening was used',
    'fair-balance-plot': 'How alike the groups are in what came before',
    'fair-specification': 'Differences in risk by every way of comparing, the lead first',
    'fair-specification-ratios': 'Ratios by every way of comparing',
  }),
})

/** Caption of a table or figure of the fair comparison. */
export type FairCaption = keyof typeof fairLabels.captions

/** Why a variant leads. */
export const leadReasonWords: Readonly<Record<LeadReason, string>> = Object.freeze({
  'too-few-events': 'with so few events nothing can be said',
  'too-little-overlap': 'the two ways of tightening overlap too little in clinic, operator and year',
  'nothing-to-adjust-for': 'nothing is recorded that could be allowed for',
  planned: 'the plan asked for it, and overlap and events suffice',
  'few-events-for-a-model-of-the-outcome':
    'events are too few for a model of the outcome, so that only the choice of handling is modelled',
  'late-entry': 'many restorations were observed only from some time after delivery on',
  'hazards-not-proportional': 'the ratio of hazards changes over time, so that no single ratio leads',
  'better-adjusted-not-estimable': 'what would lead by the rules could not be estimated',
  'loosening-found-at-visits': 'placing loosening between looks moves the difference beyond its interval',
  'visit-schedules-differ': 'the schedules of visits differ between the groups',
})

/** Why something was not allowed for. */
export const adjustmentReasonWords: Readonly<Record<AdjustmentReason, string>> = Object.freeze({
  'not-recorded': 'not recorded',
  'too-incomplete': 'known in too few restorations',
  'all-alike': 'the same in all',
  'told-by-the-others': 'follows from the rest',
  'too-few-events': 'too few events or restorations for one more',
})

/** What is assumed of those lost. */
export const lostWords: Readonly<Record<string, string>> = Object.freeze({
  'complete-cases': 'nothing is assumed (those known only)',
  'best-case': 'none in the group had loosened, all in the comparator had',
  'worst-case': 'all in the group had loosened, none in the comparator had',
  'none-had-the-event': 'none had loosened',
  'all-had-the-event': 'all had loosened',
  'as-observed': 'as many had loosened as among those known',
})
