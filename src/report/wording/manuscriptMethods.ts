import type { AuditResult } from '../../analysis/audit.js'
import { listOf } from '../../messages/message.js'
import { speaker } from '../../messages/speaker.js'
import type { ComparisonResult } from '../../questions/comparison/answer.js'
import { confounderName } from '../../questions/comparison/words.js'
import type { Citations } from '../citation.js'
import { foreign, type Phrase, phrase } from '../document.js'
import type { ReferenceList } from '../referenceList.js'
import { horizonYears } from './incidenceWords.js'
import { plainMethod } from './paperWords.js'
import { endpointOf, groupInSentence } from './terms.js'

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
    ...(audit.tightening === undefined ? [] : tighteningSentences(audit, audit.tightening, cite, references)),
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

/** The plan, the one estimate, and what was tried against it. */
function tighteningSentences(
  audit: AuditResult,
  result: ComparisonResult,
  cite: Citations,
  references: ReferenceList,
): readonly Phrase[] {
  const { plan } = result
  const margin = phrase`${cite.number('tightening.smallestDifference', 'points-size')} percentage points`
  const planned =
    plan?.source === 'file'
      ? phrase`The plan had been written on ${foreign(plan.written ?? 'a day not stated')} (SHA-256 ${foreign(plan.sha256)}), with ${margin} as the smallest difference that matters.`
      : phrase`No plan had been written beforehand; what follows was taken by default, with ${margin} as the smallest difference that matters.`
  if (result.lead === undefined || result.horizonYears === undefined) {
    return [phrase`${planned} By rules fixed before, no estimate of the comparison is given.`]
  }
  const allowed = speaker().phrase(listOf(result.adjustedFor.map(confounderName)))
  const imputed =
    result.missing.length === 0
      ? []
      : phrase` Missing values of these were filled in ${cite.number('tightening.imputations', 'count')} times by chained equations with the outcome and the group in the models, and the answers combined by Rubin's rules${references.citeMethods(['multiple-imputation'])}.`
  return [
    phrase`${planned} The estimate is the difference of the cumulative incidences of ${endpointOf(audit).name} by ${horizonYears(cite, 'tightening.horizonYears')} under overlap weights${references.citeMethods(['overlap-comparison'])}, competing events as they come, in the restorations that might have had either. The weights come from a logistic model of the choice with ${allowed}; operators entered as fixed effects, and those with one way only have no weight.${imputed} The interval rests on influences summed over patients, the larger variance of scores taken as known and estimated, and Student's t with two degrees of freedom fewer than patients with an event.`,
    phrase`Each event was placed halfway between its last clean look and the visit that found it; the same estimate right after that look and at that visit stands beside it, and a direction was claimed only where all three intervals lay on one side. Fixed beforehand were the challenges that stand in the table, and that any of them that contradicts leaves the direction open. No correction for multiple comparisons was made.`,
  ]
}

function missingSentences(audit: AuditResult, cite: Citations): Phrase {
  const incomplete =
    audit.model === undefined
      ? []
      : phrase` The adjusted model left out ${cite.number('model.incomplete', 'count')} restorations for want of a value.`
  return phrase`Unknown values were counted; none was guessed outside the imputations named above.${incomplete} Restorations no longer followed are taken to have fared like those followed.`
}

function listed(parts: readonly Phrase[]): Phrase {
  return parts.flatMap((part, index) => [
    ...(index === 0 ? [] : [index === parts.length - 1 ? ' and ' : ', ']),
    ...part,
  ])
}
