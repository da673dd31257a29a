import type { AnalysisPlan } from '../questions/plan/planFile.js'

/** What each field of a plan means, for whoever fills it in. */
const meanings: readonly (readonly [keyof AnalysisPlan, string])[] = [
  ['written', 'day on which the plan was made'],
  ['endpoint', 'the event whose risk is compared'],
  ['restorationTypes', 'types of restoration that enter'],
  ['group', 'the group asked about, as tightened on the day of delivery'],
  ['against', 'what it is set against'],
  ['waitWindowMinutes', 'minutes between the first and a later tightening that count as repeated'],
  ['recallIntervalDays', 'longest time after the last check at which a competing event still counts'],
  ['primary', 'the one contrast: the difference of the risks by this horizon'],
  [
    'smallestDifference',
    'the smallest difference that matters, as a share (0.02 is 2 percentage points); the default is an assumption without a source, so set your own',
  ],
  ['horizonsYears', 'horizons of the risks that are shown'],
  [
    'adjustFor',
    'what came before the choice and is allowed for, most important first; operator within clinic and day of delivery always enter, and the last is left out first where restorations are few',
  ],
  ['strata', 'strata of the secondary hazard ratio'],
  ['negativeControl', 'an endpoint that tightening should hardly change: it shows unequal looking'],
  ['level', 'level of all intervals'],
]

/** The plan as a page of Markdown: every field, what it says, and the fingerprint. */
export function explainedPlan(plan: AnalysisPlan): string {
  const rows = meanings.map(
    ([field, meaning]) => `| \`${field}\` | \`${JSON.stringify(plan[field])}\` | ${meaning} |`,
  )
  return [
    `# ${plan.title ?? 'Plan of the comparison'}`,
    '',
    `Made on ${plan.written ?? 'a day not stated'}. Fingerprint (SHA-256) of the file as it was written: ${plan.sha256}.`,
    '',
    'Decide each line before a result is seen. The audit prints day and fingerprint of the file that it is given.',
    '',
    '| field | value | what it says |',
    '|---|---|---|',
    ...rows,
    '',
    'Whatever the plan says, no direction is claimed where a challenge contradicts the estimate, where too little of what is charted as repeated is documented, or where the groups cannot be compared.',
    '',
  ].join('\n')
}
