import type { PlannedStudy } from '../../analysis/plannedStudy.js'
import { printable, upperFirst } from '../../charts/words.js'
import type { Citations } from '../citation.js'
import { blank, capitalised, foreign, type Inline, type Phrase, phrase } from '../document.js'
import type { ReferenceList } from '../referenceList.js'
import { horizonYears } from './incidenceWords.js'
import { sensitivityWords } from './proposalLabels.js'
import { endpointWords, groupInSentence, listInWords, restorationTypesInWords } from './terms.js'

/** Title of the draft: the plan's own, or what it asks. */
export function proposalTitle({ plan }: PlannedStudy): Phrase {
  if (plan.title !== undefined) return phrase`${foreign(printable(plan.title))}`
  return phrase`${upperFirst(endpointWords[plan.endpoint].name)} by handling of the screw at delivery`
}

/** What matters, on the scale of the primary contrast. */
function marginPhrase({ plan }: PlannedStudy, cite: Citations): Phrase {
  const path = 'plan.smallestDifference'
  switch (plan.primary.contrast) {
    case 'risk-difference':
      return phrase`${cite.number(path, 'points-size')} percentage points`
    case 'hazard-ratio':
      return phrase`a ratio of ${cite.number(path, 'ratio')} or its inverse`
    case 'restricted-mean-difference':
      return phrase`${cite.number(path, 'days-size')} days`
  }
}

function contrastPhrase({ plan }: PlannedStudy, cite: Citations): Phrase {
  const by = horizonYears(cite, 'plan.primary.horizonYears')
  switch (plan.primary.contrast) {
    case 'risk-difference':
      return phrase`the difference in the risk by ${by} after delivery`
    case 'hazard-ratio':
      return phrase`the ratio of hazards; beside it the difference in risk by ${by}`
    case 'restricted-mean-difference':
      return phrase`the difference in mean time free of the event over the first ${by}`
  }
}

/** The synopsis, part by part. */
export function synopsisRows(
  study: PlannedStudy,
  cite: Citations,
): readonly { readonly part: string; readonly answer: Phrase }[] {
  const { plan, definition } = study
  const endpoint = endpointWords[plan.endpoint]
  return [
    {
      part: 'Question',
      answer: phrase`Do ${restorationTypesInWords(definition)} with ${groupInSentence(plan.group, cite)} fare otherwise than those with ${groupInSentence(plan.against, cite)}?`,
    },
    {
      part: 'Design',
      answer: phrase`cohort from records of care; handling was not assigned by chance ${blank('looking back, or records still to come; sites; dates')}`,
    },
    {
      part: 'Restorations',
      answer: phrase`${restorationTypesInWords(definition)} on a screw joint, from delivery on`,
    },
    { part: 'Outcome', answer: phrase`${endpoint.name}: ${endpoint.meaning}` },
    { part: 'Contrast that leads', answer: contrastPhrase(study, cite) },
    {
      part: 'Smallest difference that matters',
      answer: phrase`${marginPhrase(study, cite)} ${blank('why this, and to whom')}`,
    },
    { part: 'Size', answer: sizeAnswer(study, cite) },
    { part: 'Time', answer: phrase`${blank('first and last delivery; last follow-up; report')}` },
    { part: 'Who answers for it', answer: phrase`${blank('name, place, telephone')}` },
  ]
}

function sizeAnswer(study: PlannedStudy, cite: Citations): Phrase {
  if (study.eventsNeeded !== undefined)
    return phrase`${cite.number('eventsNeeded', 'count')} events in both groups together ${blank('how many restorations and years that takes here')}`
  if (study.sizes.length === 0) return phrase`${blank('how many, and on what ground')}`
  return phrase`from ${cite.number('sizes.0.together', 'count')} restorations with a risk of ${cite.number('sizes.0.assumedRisk', 'percent')} to ${cite.number(`sizes.${study.sizes.length - 1}.together`, 'count')} with one of ${cite.number(`sizes.${study.sizes.length - 1}.assumedRisk`, 'percent')} in the comparator ${blank('how many there are')}`
}

/** Why it is asked: what is known is unsettled, the rest is the author's. */
export const backgroundParagraphs: readonly Phrase[] = Object.freeze([
  phrase`Whether a second tightening after a wait keeps screws tight for longer is unsettled: bench studies point in different directions, and no randomised clinical comparison with loosening as its endpoint is known to the makers of this draft. ${blank('what is known here, with sources, each figure with its interval, definition and follow-up')}`,
  phrase`${blank('what would be done otherwise if the answer were known')}`,
])

/** The question as a trial that one would like to have. */
export function questionParagraphs(study: PlannedStudy, cite: Citations): readonly Phrase[] {
  const { plan } = study
  return [
    phrase`The study compares ${groupInSentence(plan.group, cite)} with ${groupInSentence(plan.against, cite)}, as if the handling had been chosen on the day of delivery among patients who could have had either. What leads is ${contrastPhrase(study, cite)}; a difference of ${marginPhrase(study, cite)} is the smallest that matters. Everything else is secondary and will be labelled so.`,
    phrase`${blank('a hypothesis, with its direction, if there is one')}`,
  ]
}

/** Restorations, handling, outcome and follow-up, in the order of the headings. */
export function methodParts(
  study: PlannedStudy,
  cite: Citations,
  references: ReferenceList,
): Readonly<Record<'restorations' | 'handling' | 'outcome' | 'followUp', readonly Phrase[]>> {
  const { plan, definition } = study
  const endpoint = endpointWords[plan.endpoint]
  return {
    restorations: [
      phrase`All ${restorationTypesInWords(definition)} on a screw joint enter on the day of delivery, provided that the screw is checked at least once afterwards. Left out, and counted with the reason: other types, connections without a screw, restorations never checked, events before findings were recorded. Several restorations of one patient all enter, and the analysis allows for it. ${blank('places, dates, how patients come')}`,
    ],
    handling: [
      phrase`Handling is read from the tightenings recorded on the day of delivery, not from what the chart calls it. ${capitalised(groupInSentence('repeated in the window', cite))} means a further tightening of the same screw to target, without undoing it, in that window. Tightenings at a later visit make no group. Unknown handling is a group of its own. ${blank('torque device and its calibration; target torque, and the instruction of the maker that it follows; who decides on the handling, and how')}`,
    ],
    outcome: [
      phrase`The outcome is ${endpoint.name}: ${endpoint.meaning}. There is no standard classification of prosthetic complications${references.cite('salviBragger')}; this is the working definition. ${blank('how a screw is checked, by whom, and whether the examiner knows the handling')}`,
    ],
    followUp: [
      phrase`Time at risk runs from delivery to the day on which the event is found, or to the last visit at which the screw was checked. Loss of the implant, replacement for another cause and death compete if they come within ${cite.number('plan.recallIntervalDays', 'count')} days after the last check. ${blank('schedule of checks, the same for both groups; what is done about those who do not come')}`,
    ],
  }
}

/** How many restorations it takes, and what that assumes. */
export function sizeParagraphsOfPlan(
  study: PlannedStudy,
  cite: Citations,
  references: ReferenceList,
): readonly Phrase[] {
  const at = 'assumptions'
  const assumed = phrase`Assumed are ${cite.number(`${at}.restorationsPerPatient`, 'measure')} restorations for each patient, a correlation within patients of ${cite.number(`${at}.correlation`, 'correlation')} (design effect ${cite.number(`${at}.designEffect`, 'ratio')}), ${cite.number(`${at}.lostShare`, 'percent')} not followed to the horizon, a power of ${cite.number(`${at}.power`, 'level')} and intervals of ${cite.number('plan.level', 'level')}. These assumptions have no source: put those of the practice in their place.`
  const cited = references.citeMethods(study.references)
  if (study.eventsNeeded !== undefined)
    return [
      phrase`To tell ${marginPhrase(study, cite)} takes about ${cite.number('eventsNeeded', 'count')} events in both groups together${cited}. ${assumed}`,
    ]
  if (study.sizes.length === 0)
    return [
      phrase`For a difference in mean time nothing is computed: its spread is not known before. ${blank('a pilot, or a simulation')}`,
    ]
  return [
    phrase`The table gives the restorations that tell ${marginPhrase(study, cite)} by two proportions at the horizon, both groups of one size${cited}. ${assumed}`,
  ]
}

/** How it will be analysed: what leads, what stands beside it, what is missing. */
export function analysisParts(
  study: PlannedStudy,
  cite: Citations,
  references: ReferenceList,
): Readonly<Record<'primary' | 'secondary' | 'missing', readonly Phrase[]>> {
  const { plan } = study
  const strata =
    plan.strata.length === 0 ? [] : phrase` Clinics are kept apart: ${listInWords(plan.strata)} as strata.`
  const control =
    plan.negativeControl === 'none'
      ? []
      : phrase` As a control, ${endpointWords[plan.negativeControl].name} is compared in the same way: tightening should hardly change it.`
  return {
    primary: [
      phrase`Risks allow for competing events${references.cite('aalenJohansen')}. The contrast that leads is weighted by the probability of the handling${references.cite('rosenbaumRubin', 'robinsWeights', 'liOverlap')}, or doubly robust where events suffice for a model of the outcome${references.cite('bangRobins')}; intervals keep the restorations of one patient together. It allows for what came before the choice: ${listInWords(study.adjustFor)}, as far as recorded and as events bear.${strata} Never allowed for is what followed the choice.`,
      phrase`Rules fixed before decide what leads. With fewer than 5 events no comparison is made. Where less than half of the restorations come from operators and years with both ways of handling, no adjusted estimate leads. Where the ratio of hazards changes over time, no hazard ratio leads. What may be said is read from the interval against the smallest difference that matters, not from a P value.`,
    ],
    secondary: [
      phrase`Beside it stand risks by ${listed(plan.horizonsYears.map((_one, index) => [cite.number(`plan.horizonsYears.${index}`, 'whole')]))} years, hazard ratios${references.cite('cox', 'linWei')}, mean times${references.cite('roystonParmar')}, and these analyses: ${plan.sensitivity.map((key) => sensitivityWords[key]).join('; ')}.${control} ${blank('anything else, named before')}`,
    ],
    missing: [
      phrase`Unknown values are counted and not guessed; the adjusted estimates use restorations with every value known, and say how many that leaves out. Those no longer followed are taken to have fared like those followed; best and worst cases show what that could hide.`,
    ],
  }
}

/** How the data are looked after. */
export const dataParagraphs = Object.freeze({
  records: phrase`Three linked tables hold one row for each restoration, each tightening and each visit, under pseudonyms. The table lists every field that the analysis reads; what is not recorded is not allowed for.`,
  checks: phrase`Every row is checked before anything is computed: dates in order, values in range, links whole. Problems are listed with file, row, column and the mend; impossible rows are set aside and counted; corrections stand in a file of their own with the reason, and the original files are not changed. ${blank('who enters, who checks, how often; a second entry of a sample')}`,
  keeping: phrase`${blank('where the records, the key file and the results lie; encryption and copies; who has access, by role; how long each is kept, and how it is destroyed')}`,
})

/** How people are protected. */
export const protectionParagraphs = Object.freeze({
  stays: phrase`Names, addresses, telephone numbers, e-mail, dates of birth, numbers of records and insurance, pictures and the like do not belong in the records at all: the software looks for them and stops. The key file that leads from pseudonyms to patients stays in the practice, readable by its owner only. Pseudonymised records are not anonymous (GDPR, Article 4(5) and Recital 26), and are treated as personal data.`,
  leaves: phrase`Two things may leave, where the rules allow it: the form made to be shared, as the table shows, or counts alone, coarsened until every cell holds at least five patients or none. Before the form is shared, the smallest group of alike restorations is counted (k-anonymity), and the threshold is 5. ${blank('which of the two, to whom, under which agreement')}`,
})

/** What has to be done before the draft goes to a board. */
export const proposalCautions: readonly string[] = Object.freeze([
  'Marked places in square brackets are for the author. A draft with one left is not finished.',
  'Nothing here is legal advice. Approvals, consent and privacy stay with whoever signs.',
  'The plan file is what the report will be held to: write it first, keep it unchanged, and give its checksum here.',
])

/** Where the plan comes from. */
export function planSourceSentence({ plan }: PlannedStudy): Phrase {
  const hash: Inline = foreign(plan.sha256)
  return plan.source === 'default'
    ? phrase`No plan was given, so that the one on which the software falls back stands here (SHA-256 ${hash}). Its smallest difference that matters is nobody’s own: write a plan before this is sent anywhere.`
    : phrase`The plan was written on ${foreign(plan.written ?? 'a day not stated')}; its file has the SHA-256 ${hash}. The report of the study prints the same, and lists whatever departs from it.`
}

function listed(parts: readonly Phrase[]): Phrase {
  return parts.flatMap((part, index) => [
    ...(index === 0 ? [] : [index === parts.length - 1 ? ' and ' : ', ']),
    ...part,
  ])
}
