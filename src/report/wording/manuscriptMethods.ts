import type { AuditResult } from '../../analysis/audit.js'
import type { FairComparison } from '../../analysis/fairComparison.js'
import { variantName } from '../../charts/variantWords.js'
import { lowerFirst, printable } from '../../charts/words.js'
import { isNumber } from '../../core/estimate.js'
import type { Citations } from '../citation.js'
import { foreign, type Phrase, phrase } from '../document.js'
import type { ReferenceList } from '../referenceList.js'
import { horizonYears } from './incidenceWords.js'
import { plainMethod } from './paperWords.js'
import { endpointOf, groupInSentence, listInWords } from './terms.js'

/** What names the method of a result. */
interface Named {
  readonly method: string
  readonly reference: string
}

/** "by x [1]; where that could not be done or was not needed, by y [2]": only methods that were really carried out. */
function byMethods(results: readonly Named[], references: ReferenceList): Phrase {
  const unique = [...new Map(results.map((one) => [`${one.method}\n${one.reference}`, one])).values()]
  const [first, ...others] = unique
  if (first === undefined) return []
  const rest =
    others.length === 0
      ? []
      : phrase`; in groups where the data called for it, by ${foreign(others.map(({ method }) => plainMethod(method)).join(' or '))}${references.citeMethods(others.map(({ reference }) => reference))}`
  return phrase`${foreign(plainMethod(first.method))}${references.citeMethods([first.reference])}${rest}`
}

/** The statistical methods, sentence by sentence, from what was really done. */
export function statisticsParagraphs(
  audit: AuditResult,
  cite: Citations,
  references: ReferenceList,
): readonly Phrase[] {
  return [
    descriptionSentences(audit, cite, references),
    occurrenceSentences(audit, cite, references),
    ...(audit.comparison === undefined ? [] : [comparisonSentences(audit, cite, references)]),
    ...(audit.fair === undefined ? [] : fairSentences(audit, audit.fair, cite, references)),
    missingSentences(audit, cite),
  ]
}

function descriptionSentences(audit: AuditResult, cite: Citations, references: ReferenceList): Phrase {
  const { overall } = audit.incidence
  const clustered =
    overall.patients < overall.restorations
      ? phrase` Since patients had more than one restoration, intervals and tests keep patients together; for the share with the event the design effect was ${cite.quantity('incidence.overall.proportion.designEffect', 'ratio')}, the correlation within patients ${cite.quantity('incidence.overall.proportion.intraclassCorrelation', 'correlation')}.`
      : phrase` Every patient had one restoration, so that restorations were taken as independent.`
  const differences =
    audit.characteristics?.compared === undefined
      ? []
      : phrase` Differences between the groups in what was recorded before are standardised${references.cite('austin')}.`
  return phrase`Numbers are summarised by medians and quartiles, categories by counts and shares of those known.${differences} Median follow-up was estimated by ${byMethods([overall.medianFollowUpYears], references)}.${clustered}`
}

function occurrenceSentences(audit: AuditResult, cite: Citations, references: ReferenceList): Phrase {
  const groups = [audit.incidence.overall, ...audit.incidence.byGroup]
  const curves = [audit.retention.overall, ...audit.retention.byGroup]
  const name = endpointOf(audit).name
  const horizons = audit.settings.horizonsYears
  const risk =
    horizons.length === 0
      ? []
      : phrase`The cumulative incidence of ${name} by ${listed(horizons.map((_one, index) => [cite.number(`settings.horizonsYears.${index}`, 'whole')]))} years, competing events allowed for, was estimated by ${byMethods(
          groups.flatMap((group) => group.horizons.map((horizon) => horizon.risk)),
          references,
        )}. `
  const shares = phrase`Shares with the event carry intervals by ${byMethods(
    groups.map((group) => group.proportion),
    references,
  )}. Rates for every 100 restoration-years carry intervals by ${byMethods(
    groups.map((group) => group.ratePer100Years),
    references,
  )}.`
  const curve =
    horizons.length === 0
      ? []
      : phrase` The share free of it was estimated by ${byMethods(
          curves.flatMap((one) => one.horizons.map((horizon) => horizon.retention)),
          references,
        )}.`
  const table =
    audit.lifeTable === undefined
      ? []
      : phrase` The life table is actuarial${references.citeMethods([audit.lifeTable.reference])}.`
  return phrase`${risk}${shares}${curve}${table} Curves end where fewer than ${cite.number('settings.leastAtRisk', 'count')} restorations are at risk, and estimates beyond are marked.`
}

function comparisonSentences(audit: AuditResult, cite: Citations, references: ReferenceList): Phrase {
  const { comparison } = audit
  const { group, against, horizons, hazardRatios, curveTest } = comparison!
  return phrase`Compared were ${groupInSentence(group, cite)} and ${groupInSentence(against, cite)}. Crude differences in risk were estimated by ${byMethods(
    horizons.map(({ riskDifference }) => riskDifference),
    references,
  )}; hazard ratios by ${byMethods(
    hazardRatios.map(({ hazardRatio }) => hazardRatio).filter(({ method }) => method !== 'none'),
    references,
  )}; the curves were compared by ${byMethods([curveTest], references)}.`
}

/** What leads, what was allowed for, and every other way that was tried. */
function fairSentences(
  audit: AuditResult,
  fair: FairComparison,
  cite: Citations,
  references: ReferenceList,
): readonly Phrase[] {
  const { plan, lead } = fair
  const margin =
    plan.primary.contrast === 'risk-difference'
      ? phrase`${cite.number('fair.plan.smallestDifference', 'points-size')} percentage points`
      : plan.primary.contrast === 'hazard-ratio'
        ? phrase`a ratio of ${cite.number('fair.plan.smallestDifference', 'ratio')} or its inverse`
        : phrase`${cite.number('fair.plan.smallestDifference', 'days-size')} days`
  const planned =
    plan.source === 'default'
      ? phrase`No plan had been written beforehand; the one on which the software falls back stood in, with ${margin} as the smallest difference that matters.`
      : phrase`The plan had been written on ${foreign(plan.written ?? 'a day not stated')} (SHA-256 ${foreign(plan.sha256)}), with ${margin} as the smallest difference that matters.`
  const led = fair.variants.find(({ key }) => key === lead.variant)!
  const allowed =
    led.adjustedFor.length === 0
      ? phrase` It allows for nothing else than follow-up, competing events and patients.`
      : phrase` It allows for ${foreign(printable(listInWords(led.adjustedFor)))}.`
  const leads =
    lead.kind === 'cannot-be-known' || lead.kind === 'not-comparable'
      ? phrase` By rules fixed before, no estimate leads; the crude one is shown and claims nothing.`
      : phrase` By rules fixed before, the contrast that leads is the one by ${byMethods([led.contrast], references)}.${allowed}`
  return [
    phrase`${planned} The question was put as a trial that one would like to have: the difference by ${horizonYears(cite, 'fair.horizonYears')} counted from delivery.${leads}`,
    sensitivitySentences(audit, fair, references),
  ]
}

function sensitivitySentences(audit: AuditResult, fair: FairComparison, references: ReferenceList): Phrase {
  const others = fair.variants.filter(
    ({ key, role, contrast }) =>
      key !== fair.lead.variant && role !== 'wrong-on-purpose' && isNumber(contrast.estimate),
  )
  const named = (wanted: (variant: FairComparison['variants'][number]) => boolean): readonly string[] => [
    ...new Set(others.filter(wanted).map(({ key }) => lowerFirst(variantName(key)))),
  ]
  const ways = named(({ role }) => role !== 'sensitivity')
  const otherwise = named(({ role }) => role === 'sensitivity')
  const citedFor = (wanted: readonly string[]): Phrase =>
    references.citeMethods(
      others
        .filter(({ key }) => wanted.includes(lowerFirst(variantName(key))))
        .map(({ contrast }) => contrast.reference),
    )
  const tried = [
    ways.length === 0
      ? []
      : phrase`Beside the estimate that leads stand others of the same question, by other ways of allowing for what came before: ${foreign(printable(ways.join('; ')))}${citedFor(ways)}. `,
    otherwise.length === 0
      ? []
      : phrase`The same was estimated under other assumptions: ${foreign(printable(otherwise.join('; ')))}${citedFor(otherwise)}.`,
  ].flat()
  const hazards =
    fair.proportionalHazards === undefined
      ? []
      : phrase` Whether the hazard ratio changes over time was tested on scaled residuals${references.citeMethods([fair.proportionalHazards.reference])}.`
  const permuted =
    fair.permutation === undefined
      ? []
      : phrase` With few events, handling was also exchanged between whole patients within clinic and year${references.citeMethods([fair.permutation.reference])}.`
  const looks =
    fair.wrong.betweenLooks.risks.length === 0
      ? []
      : phrase` Since ${endpointOf(audit).name} is found at visits, risks were estimated again with the event placed between the last clear look and the visit that found it${references.cite('turnbull')}.`
  const lost =
    fair.wrong.lost?.scenarios === undefined
      ? []
      : phrase` What those lost before the horizon could change was bounded by best and worst cases${references.citeMethods(['lost-to-follow-up'])}.`
  const unmeasured =
    fair.wrong.unmeasured === undefined
      ? []
      : phrase` How strong something unrecorded would have to be is stated as E-value${references.citeMethods(['e-value'])}.`
  return phrase`${tried}${hazards}${permuted}${looks}${lost}${unmeasured} All but the contrast that leads is secondary; no correction for multiple comparisons was made.`
}

function missingSentences(audit: AuditResult, cite: Citations): Phrase {
  const incomplete =
    audit.model === undefined
      ? []
      : phrase` The adjusted model left out ${cite.number('model.incomplete', 'count')} restorations for want of a value.`
  return phrase`Unknown values were counted and never guessed.${incomplete} Restorations no longer followed are taken to have fared like those followed.`
}

function listed(parts: readonly Phrase[]): Phrase {
  return parts.flatMap((part, index) => [
    ...(index === 0 ? [] : [index === parts.length - 1 ? ' and ' : ', ']),
    ...part,
  ])
}
