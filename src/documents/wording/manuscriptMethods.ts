import type { Quantity } from '../../core/estimate.js'
import { hasTerm, type MethodName, oncePerMethod } from '../../core/method.js'
import { listOf, type Message, message, type Part, type Words } from '../../messages/message.js'
import { plainMethodWords } from '../../messages/methodWords.js'
import { fieldName } from '../../messages/names.js'
import { foreign } from '../../messages/phrase.js'
import type { AuditResult } from '../../questions/audit.js'
import type { ComparisonResult } from '../../questions/comparison/answer.js'
import { yearsAt } from '../../questions/howOften/section.js'
import { sentences } from '../../questions/words/blocks.js'
import { groupInSentence } from '../../questions/words/groups.js'
import { count, number, type Place, pathsOf, quantity } from '../../questions/words/place.js'
import type { ReferenceList } from '../model/referenceList.js'

/** What names the method of a result. */
interface Named {
  readonly method: MethodName
  readonly reference: string
}

/** "x [1]; in groups where the data called for it, by y [2]": only methods that were really carried out. */
function byMethods(results: readonly Named[], references: ReferenceList): Message | '' {
  const [first, ...others] = oncePerMethod(results)
  if (first === undefined) return ''
  const named = { method: plainMethodWords(first.method), cited: references.citeMethods([first.reference]) }
  if (others.length === 0) return message('manuscript.by-method', named)
  return message('manuscript.by-methods', {
    ...named,
    // Names of methods hold commas, so that a list of them by commas could not be read.
    others: others
      .map(({ method }): Part => plainMethodWords(method))
      .reduce((left, right) => message('manuscript.either', { left, right })),
    othersCited: references.citeMethods(others.map(({ reference }) => reference)),
  })
}

/** The statistical methods, sentence by sentence, from what was really done. */
export function statisticsParagraphs(audit: AuditResult, references: ReferenceList): readonly Words[] {
  return [
    descriptionSentences(audit, references),
    occurrenceSentences(audit, references),
    ...(audit.comparison === undefined ? [] : [comparisonSentences(audit, references)]),
    ...(audit.tightening === undefined ? [] : tighteningSentences(audit, audit.tightening, references)),
    missingSentences(audit),
  ]
}

function descriptionSentences(audit: AuditResult, references: ReferenceList): Words {
  const { overall } = audit.incidence
  const at = pathsOf(audit).incidence.overall.proportion
  return sentences(
    message('manuscript.statistics-summaries'),
    audit.characteristics?.compared === undefined
      ? undefined
      : message('manuscript.statistics-differences', { cited: references.cite('austin') }),
    message('manuscript.statistics-follow-up', {
      methods: byMethods([overall.medianFollowUpYears], references),
    }),
    overall.patients < overall.restorations
      ? message('manuscript.statistics-clustered', {
          effect: quantity(at.designEffect as Place<Quantity>, 'ratio'),
          correlation: quantity(at.intraclassCorrelation as Place<Quantity>, 'correlation'),
        })
      : message('manuscript.statistics-independent'),
  )
}

function occurrenceSentences(audit: AuditResult, references: ReferenceList): Words {
  const groups = [audit.incidence.overall, ...audit.incidence.byGroup]
  const curves = [audit.retention.overall, ...audit.retention.byGroup]
  const { horizonsYears } = audit.settings
  const at = pathsOf(audit).settings
  const asked = horizonsYears.length > 0
  return sentences(
    asked
      ? message('manuscript.statistics-risk', {
          endpoint: message(`endpoint.name.${audit.definition.endpoint}`),
          horizons: listOf(horizonsYears.map((_one, index) => number(at.horizonsYears[index]!, 'whole'))),
          last: horizonsYears.at(-1) ?? 0,
          methods: byMethods(
            groups.flatMap((group) => group.horizons.map((horizon) => horizon.risk)),
            references,
          ),
        })
      : undefined,
    message('manuscript.statistics-shares', {
      methods: byMethods(
        groups.map((group) => group.proportion),
        references,
      ),
    }),
    message('manuscript.statistics-rates', {
      methods: byMethods(
        groups.map((group) => group.ratePer100Years),
        references,
      ),
    }),
    asked
      ? message('manuscript.statistics-curve', {
          methods: byMethods(
            curves.flatMap((one) => one.horizons.map((horizon) => horizon.retention)),
            references,
          ),
        })
      : undefined,
    audit.lifeTable === undefined
      ? undefined
      : message('manuscript.statistics-life-table', {
          cited: references.citeMethods([audit.lifeTable.reference]),
        }),
    message('manuscript.statistics-ends', { least: count(at.leastAtRisk) }),
  )
}

function comparisonSentences({ comparison, definition }: AuditResult, references: ReferenceList): Words {
  const { group, against, horizons, hazardRatios, curveTest } = comparison!
  return message('manuscript.statistics-compared', {
    group: groupInSentence(group, definition),
    against: groupInSentence(against, definition),
    differences: byMethods(
      horizons.map(({ riskDifference }) => riskDifference),
      references,
    ),
    ratios: byMethods(
      hazardRatios.map(({ hazardRatio }) => hazardRatio).filter(({ method }) => !hasTerm(method, 'none')),
      references,
    ),
    curves: byMethods([curveTest], references),
  })
}

/** The plan, the one estimate, and what was tried against it. */
function tighteningSentences(
  audit: AuditResult,
  result: ComparisonResult,
  references: ReferenceList,
): readonly Words[] {
  const at = pathsOf(audit).tightening
  const planned = planSentence(audit, result)
  if (result.lead === undefined || result.horizonYears === undefined) {
    return [sentences(planned, message('manuscript.no-estimate'))]
  }
  const imputed =
    result.missing.length === 0
      ? undefined
      : message('manuscript.imputed', {
          imputations: count(at.imputations as Place<Quantity>),
          cited: references.citeMethods(['multiple-imputation']),
        })
  const estimate = message('manuscript.estimate', {
    endpoint: message(`endpoint.name.${audit.definition.endpoint}`),
    years: yearsAt(at.horizonYears),
    cited: references.citeMethods(['overlap-comparison']),
    allowed: listOf(result.adjustedFor.map(fieldName)),
  })
  return [
    sentences(planned, estimate, imputed, message('manuscript.estimate-interval')),
    message('manuscript.challenges'),
  ]
}

function planSentence(audit: AuditResult, { plan }: ComparisonResult): Message {
  const margin = number(pathsOf(audit).tightening.smallestDifference, 'points-size')
  if (plan?.source !== 'file') return message('manuscript.plan-default', { margin })
  return message('manuscript.plan-written', {
    day: plan.written === undefined ? message('manuscript.day-not-stated') : foreign(plan.written),
    hash: foreign(plan.sha256),
    margin,
  })
}

function missingSentences(audit: AuditResult): Words {
  return sentences(
    message('manuscript.unknown-values'),
    audit.model === undefined
      ? undefined
      : message('manuscript.unknown-model', { restorations: count(pathsOf(audit).model.incomplete) }),
    message('manuscript.unknown-followed'),
  )
}
