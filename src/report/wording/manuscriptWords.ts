import type { AuditResult } from '../../analysis/audit.js'
import { countedNoun, upperFirst } from '../../charts/words.js'
import { isNumber } from '../../core/estimate.js'
import type { Citations } from '../citation.js'
import { blank, foreign, type Phrase, phrase } from '../document.js'
import type { ReferenceList } from '../referenceList.js'
import { counted, sentences } from './counting.js'
import {
  deliveryPeriod,
  headlineHorizon,
  horizonYears,
  intervalName,
  rateSentence,
} from './incidenceWords.js'
import { riskForPaper } from './paperWords.js'
import { endpointOf, restorationTypesInWords, sourceFormWords, windowPhrase } from './terms.js'
import { comparisonForPaper } from './tighteningWords.js'

/** Title of the draft: what, in whom, by which design. */
export function manuscriptTitle(audit: AuditResult): Phrase {
  return phrase`${upperFirst(endpointOf(audit).name)} of ${restorationTypesInWords(audit.definition)} on implants: a case series`
}

/** Line under the title: authors are for the author. */
export function manuscriptSummary(): Phrase {
  return phrase`${blank('authors, affiliations, address for letters')}`
}

/** The abstract, part by part, without its headings. */
export function abstractParts(
  audit: AuditResult,
  cite: Citations,
): Readonly<Record<'background' | 'methods' | 'results' | 'conclusions' | 'keywords', Phrase>> {
  const { definition, incidence } = audit
  const { overall } = incidence
  const types = upperFirst(restorationTypesInWords(definition))
  const clinics = audit.summary.clinics.length
  const where = clinics < 2 ? 'one practice' : countedNoun(clinics, 'clinic')
  const compared =
    audit.tightening === undefined ? [] : phrase` Single and repeated tightening at delivery were compared.`
  return {
    background: phrase`${blank('why it was asked, in two sentences; what is known, and what is not')}`,
    methods: phrase`${types} held by a screw joint in ${where}${deliveryPeriod(audit, cite)}, were followed from delivery to ${endpointOf(audit).name}, to a competing event or to the last check of the screw. Intervals allow for several restorations in one patient.${compared}`,
    results: sentences(
      phrase`Followed were ${counted(cite, 'incidence.overall.restorations', 'restoration')} in ${counted(cite, 'incidence.overall.patients', 'patient')}, for a median of ${cite.quantity('incidence.overall.medianFollowUpYears.estimate', 'years')} years.`,
      riskForPaper(audit, cite, 'abstract'),
      overall.events === 0 ? [] : rateSentence(audit, cite),
      audit.tightening === undefined ? [] : comparisonForPaper(audit, cite),
    ),
    conclusions: phrase`${conclusion(audit, cite)} ${blank('what follows for practice, and no more than the intervals bear')}`,
    keywords: phrase`${blank('three to six words of the subject headings in use')}`,
  }
}

function conclusion(audit: AuditResult, cite: Citations): Phrase {
  const { overall } = audit.incidence
  const index = headlineHorizon(audit)
  const horizon = overall.horizons[index]
  if (overall.events === 0 || horizon === undefined || !isNumber(horizon.risk.estimate))
    return phrase`What was seen sets limits to how often the event comes, and no more.`
  const at = `incidence.overall.horizons.${index}`
  return phrase`In this series the risk of ${endpointOf(audit).name} by ${horizonYears(cite, `${at}.years`)} was ${cite.number(`${at}.risk.estimate`, 'percent')}, with values from ${cite.interval(`${at}.risk`, 'percent')} compatible with the data.`
}

/** What the introduction has to say; all of it is for the author. */
export const introductionBlanks: readonly Phrase[] = Object.freeze([
  phrase`${blank('What is known about the event, with sources. Name the interval, the definition and the follow-up of each figure quoted.')}`,
  phrase`${blank('What is not known, and why it matters to patients and clinicians.')}`,
  phrase`${blank('The objective in one sentence: in whom, what, compared with what, by when.')}`,
])

/** Design and setting. */
export function settingParagraphs(
  audit: AuditResult,
  cite: Citations,
  references: ReferenceList,
): readonly Phrase[] {
  const { summary } = audit
  const clinics = countedNoun(Math.max(1, summary.clinics.length), 'clinic')
  const operators =
    summary.operators === 0
      ? []
      : phrase` with ${cite.number('summary.operators', 'count')} ${summary.operators === 1 ? 'operator' : 'operators'}`
  return [
    phrase`This is a case series from the records of ${clinics}${operators}${deliveryPeriod(audit, cite)}; it is reported along the items of STROBE${references.cite('strobe')}. ${blank('country, kind of practice, whether the records were kept for this purpose')}`,
    phrase`Records came as ${sourceFormWords[summary.source.form]} and were checked row by row before anything was computed. Of ${cite.number('summary.quality.rows.restorations.read', 'count')} rows of restorations ${cite.number('summary.quality.rows.restorations.setAside', 'count')} were set aside as impossible; the supplement lists what was found.`,
  ]
}

/** Who entered and who did not. */
export function participantsParagraphs(audit: AuditResult): readonly Phrase[] {
  return [
    phrase`All ${restorationTypesInWords(audit.definition)} on a screw joint entered on the day of delivery, provided that the screw was checked at least once afterwards. Several restorations of one patient all entered. ${blank('how patients came to the practice; healing time; components; who placed and who restored')}`,
  ]
}

/** What was done to the screw, as the cohort derives it. */
export function handlingParagraphs(cite: Citations): readonly Phrase[] {
  return [
    phrase`Handling was read from the tightenings recorded on the day of delivery: a single one, or a further one of the same screw ${windowPhrase(cite)} after the first without undoing it (repeated). Screws undone and tightened again are a group of their own, and so are those of which the handling is not known. A tightening at a later visit makes no group. Where no tightening was recorded, the group that the chart states was taken. ${blank('torque device, its calibration, target torque and where it comes from')}`,
  ]
}

/** The endpoint and its working definition. */
export function outcomeParagraphs(audit: AuditResult, references: ReferenceList): readonly Phrase[] {
  const endpoint = endpointOf(audit)
  return [
    phrase`The outcome was ${endpoint.name}: ${endpoint.meaning}. There is no standard classification of prosthetic complications${references.cite('salviBragger')}; this is the working definition of this series. ${blank('how a screw was checked, by whom, and whether the examiner knew the handling')}`,
  ]
}

/** When time at risk begins and ends. */
export function followUpParagraphs(_audit: AuditResult, cite: Citations): readonly Phrase[] {
  return [
    phrase`Time at risk ran in whole days from delivery to the day on which the event was found, or to the last visit at which the screw was checked; a visit without a check did not lengthen it. Loss of the implant, replacement for another cause and death competed, on their own day if they came within ${cite.number('definition.recallIntervalDays', 'count')} days after the last check; later ones ended the time at risk at that check. A year is 365.25 days.`,
  ]
}

/** How the size came about. */
export function sizeParagraphs(
  audit: AuditResult,
  cite: Citations,
  references: ReferenceList,
): readonly Phrase[] {
  const needed = audit.tightening?.needed?.scenarios[0]
  const planning =
    needed === undefined
      ? []
      : phrase` To narrow the interval to ${cite.number('tightening.smallestDifference', 'points-size')} percentage points on either side, about ${cite.number('tightening.needed.scenarios.0.restorations', 'count')} restorations would have been needed${references.citeMethods(['planning-precision'])}.`
  return [
    phrase`Every eligible restoration of the records was used; no size had been set beforehand.${planning} ${blank('say so if a size had been set')}`,
  ]
}

/** Ethics: nothing that records could say. */
export const ethicsParagraphs: readonly Phrase[] = Object.freeze([
  phrase`${blank('committee, number and date of the approval, or why none was needed; consent, or why it was waived; the law under which records were used')} Records held pseudonyms in place of names. Pseudonymised records are not anonymous.`,
])

/** What only the author can declare. */
export const declarationTerms: readonly { readonly term: string; readonly meaning: Phrase }[] = Object.freeze(
  [
    { term: 'Funding', meaning: phrase`${blank('who paid, and what part they had in it; or none')}` },
    { term: 'Conflicts of interest', meaning: phrase`${blank('makers of components included')}` },
    { term: 'Contributions', meaning: phrase`${blank('who did what')}` },
    {
      term: 'Data',
      meaning: phrase`${blank('where the data can be had, or why not')} The results behind every number are in results.json, which goes with this draft.`,
    },
    { term: 'Thanks', meaning: phrase`${blank('who helped, with their consent')}` },
  ],
)

/** What the discussion opens with. */
export function keyResultsParagraphs(audit: AuditResult, cite: Citations): readonly Phrase[] {
  return [
    sentences(
      conclusion(audit, cite),
      audit.tightening === undefined ? [] : comparisonForPaper(audit, cite),
      phrase`${blank('against the objective, in a sentence')}`,
    ),
  ]
}

/** What the author has to make of it. */
export const discussionBlanks = Object.freeze({
  limitations: phrase`${blank('for each limitation that bears: in which direction it moves the result, and by how much')}`,
  interpretation: phrase`${blank('other explanations first; then other work, interval beside interval, with the differences in definition, follow-up and era')} Whether a second tightening after a wait keeps screws tight for longer is unsettled.`,
  reach: phrase`${blank('to which patients, components and operators this carries over, and to which not')}`,
})

/** How the software made the numbers. */
export function softwareSentence(audit: AuditResult, cite: Citations, version: string): Phrase {
  return phrase`Computations were done with Holdfast ${foreign(version)}, on records with the SHA-256 ${foreign(audit.summary.source.sha256)}; random numbers, where a method needs them, started from seed ${cite.number('settings.seed', 'whole')}. Intervals are ${intervalName(cite)}s, two-sided. No result was chosen by its P value.`
}
