import type { CountKey, TwoReports } from '../../analysis/twoReports.js'
import { printable, upperFirst } from '../../charts/words.js'
import { isNumber } from '../../core/estimate.js'
import type { Citations } from '../citation.js'
import { foreign, type Phrase, phrase, strong } from '../document.js'
import { sentences } from './counting.js'
import { endpointWords } from './terms.js'

/** Headings and labels of the comparison of two reports. */
export const changeLabels = Object.freeze({
  kicker: 'Two reports compared',
  sections: Object.freeze({
    answer: 'What changed',
    results: 'In the results',
    records: 'In the records',
    provenance: 'What was compared',
  }),
  readWithCare: 'Read with care',
  captions: Object.freeze({
    'risk-changes': 'Cumulative incidence then and now',
    'rate-changes': 'Share and rate then and now',
    'lead-changes': 'What led the comparison of the two ways of tightening',
    'count-changes': 'Counts then and now',
    'problem-changes': 'Problems of the records then and now',
    'field-changes': 'Fields whose share of known values moved by 5 percentage points or more',
    sources: 'The two reports',
  }),
  columns: Object.freeze({
    years: 'Years',
    quantity: 'Quantity',
    before: 'Then',
    after: 'Now',
    change: 'Change',
    points: 'Change, percentage points',
    problem: 'Problem',
    field: 'Field',
    what: 'What led',
    events: 'Events',
    restorations: 'Restorations',
    report: 'Report',
    title: 'Records',
    version: 'Written by version',
    checksum: 'SHA-256 of the records',
  }),
  before: 'Then',
  after: 'Now',
  share: 'Share with the event',
  rate: 'Per 100 restoration-years',
  followUp: 'Median follow-up, years',
  nothing: 'nothing was compared',
  verdicts: Object.freeze({
    lower: 'lower risk with the second tightening',
    higher: 'higher risk with the second tightening',
    open: 'open',
    'cannot-be-compared': 'cannot be compared',
    'cannot-be-known': 'cannot be known',
  }) as Readonly<Record<string, string>>,
})

/** What is counted, in words. */
export const countWords: Readonly<Record<CountKey, string>> = Object.freeze({
  'rows-read': 'Rows of restorations read',
  'rows-set-aside': 'Rows set aside as impossible',
  'never-checked': 'Restorations never checked',
  restorations: 'Restorations in the cohort',
  patients: 'Patients in the cohort',
  'restoration-years': 'Restoration-years at risk',
  events: 'Events',
  competing: 'Competing events',
  operators: 'Operators',
})

/** What has to be read beside the comparison. */
export const changeCautions: readonly string[] = Object.freeze([
  'Most restorations of the earlier report are usually in the later one too. The two are not independent, so that no test is made between them and no interval is given for a change.',
  'More follow-up, new restorations and corrected records all move a result. A change is not a change in how well screws hold.',
  'Two reports show two points. A run of them, or a chart over time, is needed to tell a trend from chance.',
])

/** Title of the comparison. */
export function changeTitle({ endpoint, after }: TwoReports): Phrase {
  return phrase`${upperFirst(endpointWords[endpoint].name)}, then and now: ${foreign(printable(after.title))}`
}

/** Line under the title. */
export function changeSummary(cite: Citations): Phrase {
  return phrase`${cite.number('before.incidence.restorations', 'count')} restorations then, ${cite.number('after.incidence.restorations', 'count')} now`
}

/** What changed in the records, in one or two sentences. */
export function recordsChangeSentence(two: TwoReports, cite: Citations): Phrase {
  const at = (key: CountKey): string => `counts.${two.counts.findIndex((one) => one.key === key)}`
  const moved = (key: CountKey, noun: string): Phrase => {
    const path = `${at(key)}.change`
    const change = cite.read(path) as number
    if (change === 0) return phrase`as many ${noun}`
    return phrase`${cite.number(path, 'change-size')} ${change > 0 ? 'more' : 'fewer'} ${noun}`
  }
  return phrase`Against the earlier report, the later one holds ${moved('restorations', 'restorations')}, ${moved('events', 'events')} and ${moved('restoration-years', 'restoration-years at risk')}.`
}

/** What changed in the risk at one horizon, in a sentence. */
export function riskChangeSentence(two: TwoReports, cite: Citations): Phrase {
  const withheld = (['before', 'after'] as const).filter((side) => two[side].howOften === 'withheld')
  if (withheld.length > 0) {
    const which =
      withheld.length === 2 ? 'both reports' : `the ${withheld[0] === 'before' ? 'earlier' : 'later'} report`
    return phrase`The risk of ${endpointWords[two.endpoint].name} was withheld in ${which}, so that nothing is said of a change in it.`
  }
  const index = leadingChange(two)
  if (index === undefined) {
    return phrase`At no horizon could the risk be estimated in both reports.`
  }
  const { change, intervals, years } = two.risks[index]!
  const at = (side: 'before' | 'after'): string =>
    `${side}.incidence.horizons.${two.risks[index]![side === 'after' ? 'index' : 'indexBefore']}.risk`
  const difference =
    change === 0
      ? phrase`the same`
      : phrase`${cite.number(`risks.${index}.change`, 'points-size')} percentage points ${(change as number) < 0 ? 'lower' : 'higher'}`
  return sentences(
    phrase`By ${cite.number(`risks.${index}.years`, 'whole')} ${years === 1 ? 'year' : 'years'} the risk of ${endpointWords[two.endpoint].name} is put at ${strong(phrase`${cite.number(`${at('after')}.estimate`, 'percent')} now`)}${limits(cite, at('after'))}, and was put at ${cite.number(`${at('before')}.estimate`, 'percent')} then${limits(cite, at('before'))}: ${difference}.`,
    firstSeen(at, cite),
    intervals === undefined ? [] : [intervalsWords[intervals]],
  )
}

const intervalsWords = Object.freeze({
  'hold-each-other': 'The two intervals overlap, and each allows what the other report estimates.',
  overlap: 'The two intervals overlap in part.',
  apart: 'The two intervals do not overlap.',
})

/** Says that none had been seen in one of the two: its estimate of 0 is no expectation. */
function firstSeen(at: (side: 'before' | 'after') => string, cite: Citations): Phrase {
  const none = (['before', 'after'] as const).filter((side) => cite.estimate(at(side)).estimate === 0)
  if (none.length === 0) return []
  if (none.length === 2) return ['None had been seen by that time in either.']
  return [
    none[0] === 'before'
      ? 'None had been seen by that time in the earlier report.'
      : 'None was seen by that time in the later report.',
  ]
}

function limits(cite: Citations, path: string): Phrase {
  const { lower, upper } = cite.estimate(path).interval
  if (!isNumber(lower) && !isNumber(upper)) return []
  return phrase` (${cite.number('level', 'level')} interval ${cite.interval(path, 'percent')})`
}

/** The horizon that leads: of those with enough at risk in both reports 3 years, else the longest; else of any. */
function leadingChange({ risks, before, after }: TwoReports): number | undefined {
  const both = risks
    .map((risk, index) => ({ ...risk, position: index }))
    .filter(({ change }) => isNumber(change))
  const firm = both.filter(
    ({ index, indexBefore }) =>
      !after.incidence.horizons[index]!.thin && !before.incidence.horizons[indexBefore]!.thin,
  )
  return (firm.find(({ years }) => years === 3) ?? firm.at(-1) ?? both.at(-1))?.position
}

/** Whether what may be said of the comparison has changed. */
export function readingChangeSentence({ before, after }: TwoReports): Phrase {
  if (before.comparison === undefined && after.comparison === undefined)
    return phrase`Neither report compares two ways of tightening.`
  if (before.comparison === undefined || after.comparison === undefined)
    return phrase`Only the ${before.comparison === undefined ? 'later' : 'earlier'} report compares two ways of tightening.`
  const same = before.comparison.verdict === after.comparison.verdict
  return same
    ? phrase`What may be said of the two ways of tightening has not changed.`
    : phrase`What may be said of the two ways of tightening has changed: the table shows both verdicts.`
}

/** Says that two reports share no clinic. */
export function clinicsSentence({ clinicsInBoth, before, after }: TwoReports): Phrase {
  if (clinicsInBoth.length > 0 || before.clinics.length === 0 || after.clinics.length === 0) return []
  return phrase`The two reports have no clinic in common. If they are not of one practice, what changed is the practice.`
}
