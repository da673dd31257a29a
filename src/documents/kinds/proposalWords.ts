import { listOf, type Message, message, type Words } from '../../messages/message.js'
import { fieldName } from '../../messages/names.js'
import { foreign } from '../../messages/phrase.js'
import { triedAgainst } from '../../questions/comparison/challenges.js'
import { yearsAt } from '../../questions/howOften/section.js'
import type { PlannedStudy } from '../../questions/plan/plannedStudy.js'
import { restorationTypesInSentence } from '../../questions/restorationTypes.js'
import { sentences } from '../../questions/words/blocks.js'
import { groupInSentence } from '../../questions/words/groups.js'
import { count, number, pathsOf } from '../../questions/words/place.js'
import type { ReferenceList } from '../model/referenceList.js'

/** Title of the draft: the plan's own, or what it asks. */
export function proposalTitle({ plan }: PlannedStudy): Words {
  if (plan.title !== undefined) return foreign(plan.title)
  return message('proposal.title', { endpoint: message(`endpoint.title.${plan.endpoint}`) })
}

const marginFormats = {
  'risk-difference': 'points-size',
  'hazard-ratio': 'ratio',
  'restricted-mean-difference': 'days-size',
} as const

/** What matters, on the scale of the primary contrast. */
function margin(study: PlannedStudy): Message {
  const { contrast } = study.plan.primary
  return message(`proposal.margin.${contrast}`, {
    size: number(pathsOf(study).plan.smallestDifference, marginFormats[contrast]),
  })
}

function contrastOf(study: PlannedStudy): Message {
  return message(`proposal.contrast.${study.plan.primary.contrast}`, {
    years: yearsAt(pathsOf(study).plan.primary.horizonYears),
  })
}

/** What sentences name again and again. */
function namesOf({ plan, definition }: PlannedStudy) {
  return {
    types: restorationTypesInSentence(definition.restorationTypes),
    group: groupInSentence(plan.group, definition),
    against: groupInSentence(plan.against, definition),
    outcome: {
      name: message(`endpoint.name.${plan.endpoint}`),
      meaning: message(`endpoint.meaning.${plan.endpoint}`),
    },
  }
}

/** The synopsis, part by part. */
export function synopsisRows(
  study: PlannedStudy,
): readonly { readonly part: Message; readonly answer: Words }[] {
  const { types, group, against, outcome } = namesOf(study)
  return [
    {
      part: message('proposal.part.question'),
      answer: message('proposal.answer.question', { types, group, against }),
    },
    { part: message('proposal.part.design'), answer: message('proposal.answer.design') },
    {
      part: message('proposal.part.restorations'),
      answer: message('proposal.answer.restorations', { types }),
    },
    { part: message('proposal.part.outcome'), answer: message('proposal.answer.outcome', outcome) },
    { part: message('proposal.part.contrast'), answer: contrastOf(study) },
    {
      part: message('proposal.part.margin'),
      answer: message('proposal.answer.margin', { margin: margin(study) }),
    },
    { part: message('proposal.part.size'), answer: sizeAnswer(study) },
    { part: message('proposal.part.time'), answer: message('proposal.answer.time') },
    { part: message('proposal.part.who'), answer: message('proposal.answer.who') },
  ]
}

function sizeAnswer(study: PlannedStudy): Message {
  const at = pathsOf(study)
  if (study.eventsNeeded !== undefined)
    return message('proposal.answer.size-events', { events: count(at.eventsNeeded) })
  if (study.sizes.length === 0) return message('proposal.answer.size-unknown')
  const [first, last] = [at.sizes[0]!, at.sizes[study.sizes.length - 1]!]
  return message('proposal.answer.size', {
    first: count(first.together),
    firstRisk: number(first.assumedRisk, 'percent'),
    last: count(last.together),
    lastRisk: number(last.assumedRisk, 'percent'),
  })
}

/** Why it is asked: what is known is unsettled, the rest is the author's. */
export const backgroundParagraphs: readonly Words[] = Object.freeze([
  message('proposal.background-unsettled'),
  message('proposal.background-otherwise'),
])

/** The question as a trial that one would like to have. */
export function questionParagraphs(study: PlannedStudy): readonly Words[] {
  const { group, against } = namesOf(study)
  const [contrast, size] = [contrastOf(study), margin(study)]
  return [
    message('proposal.question-compares', { group, against, contrast, margin: size }),
    message('proposal.question-hypothesis'),
  ]
}

/** Restorations, handling, outcome and follow-up, with their headings. */
export function methodParts(study: PlannedStudy): readonly Part[] {
  const { types, outcome } = namesOf(study)
  const at = pathsOf(study)
  const { from, to } = at.definition.waitWindowMinutes
  return [
    [message('proposal.heading-restorations'), [message('proposal.methods-restorations', { types })]],
    [
      message('proposal.heading-handling'),
      [
        message('proposal.methods-handling', {
          from: number(from, 'whole'),
          to: number(to, 'whole'),
        }),
      ],
    ],
    [message('proposal.heading-outcome'), [message('proposal.methods-outcome', outcome)]],
    [
      message('proposal.heading-follow-up'),
      [message('proposal.methods-follow-up', { days: count(at.plan.recallIntervalDays) })],
    ],
  ]
}

/** A heading and the paragraphs under it. */
export type Part = readonly [heading: Message, paragraphs: readonly Words[]]

/** How many restorations it takes, and what that assumes. */
export function sizeParagraphs(study: PlannedStudy, references: ReferenceList): Words {
  const at = pathsOf(study)
  const assumed = message('proposal.assumed', {
    restorations: number(at.assumptions.restorationsPerPatient, 'measure'),
    correlation: number(at.assumptions.correlation, 'correlation'),
    effect: number(at.assumptions.designEffect, 'ratio'),
    lost: number(at.assumptions.lostShare, 'percent'),
    power: number(at.assumptions.power, 'level'),
    level: number(at.plan.level, 'level'),
  })
  const named = { margin: margin(study), cited: references.citeMethods(study.references) }
  if (study.eventsNeeded !== undefined) {
    return sentences(message('proposal.size-events', { ...named, events: count(at.eventsNeeded) }), assumed)
  }
  if (study.sizes.length === 0) return message('proposal.size-unknown')
  return sentences(message('proposal.size-table', named), assumed)
}

/** How it will be analysed: what leads, what stands beside it, what is missing. */
export function analysisParts(study: PlannedStudy, references: ReferenceList): readonly Part[] {
  const { plan } = study
  const weighted = message('proposal.primary-weighted', {
    competing: references.cite('aalenJohansen'),
    weights: references.cite('rosenbaumRubin', 'robinsWeights', 'liOverlap'),
    robust: references.cite('bangRobins'),
    names: listOf(
      study.adjustFor.filter((key) => key !== 'operator' && key !== 'delivery_day').map(fieldName),
    ),
  })
  const beside = message('proposal.secondary', {
    horizons: listOf(pathsListed(study)),
    last: plan.horizonsYears.at(-1) ?? 0,
    ratios: references.cite('cox', 'linWei'),
    analyses: listOf(
      triedAgainst
        .filter((code) => code !== 'negative-control')
        .map((code) => message(`comparison.challenge.${code}`)),
      'semicolon',
    ),
  })
  return [
    [
      message('proposal.heading-primary'),
      [
        sentences(
          weighted,
          plan.strata.length === 0
            ? undefined
            : message('proposal.primary-strata', { names: listOf(plan.strata) }),
          message('proposal.primary-never'),
        ),
        message('proposal.primary-rules'),
      ],
    ],
    [
      message('proposal.heading-secondary'),
      [
        sentences(
          beside,
          plan.negativeControl === 'none'
            ? undefined
            : message('proposal.secondary-control', {
                endpoint: message(`endpoint.name.${plan.negativeControl}`),
              }),
          message('proposal.secondary-else'),
        ),
      ],
    ],
    [message('proposal.heading-missing'), [message('proposal.missing')]],
  ]
}

function pathsListed(study: PlannedStudy) {
  const at = pathsOf(study).plan.horizonsYears
  return study.plan.horizonsYears.map((_one, index) => number(at[index]!, 'whole'))
}

/** What the form that may be shared does, kind by kind; as docs/records-sharing.md says. */
export const shareableRows: readonly (readonly [detail: Message, shared: Message])[] = Object.freeze(
  (['names', 'pseudonyms', 'dates', 'age', 'left-out', 'position', 'order'] as const).map(
    (key) => [message(`proposal.detail.${key}`), message(`proposal.shared.${key}`)] as const,
  ),
)

/**
 * Questions of an ethics board, in the order in which most forms ask them (common practice, no source), each with what
 * the plan or the software can answer and the place that the author fills.
 */
export const boardQuestions: readonly { readonly question: Message; readonly answer: Message }[] =
  Object.freeze(
    (
      [
        'good',
        'happens',
        'studied',
        'consent',
        'legal',
        'harm',
        'care',
        'see',
        'leaves',
        'kept',
        'withdraw',
        'pays',
        'published',
        'say',
        'change',
      ] as const
    ).map((key) => ({
      question: message(`proposal.board.${key}`),
      answer: message(`proposal.board-answer.${key}`),
    })),
  )

/** What has to be done before the draft goes to a board. */
export const proposalCautions: readonly Words[] = Object.freeze([
  message('proposal.caution-blanks'),
  message('proposal.caution-no-advice'),
  message('proposal.caution-plan'),
])

/** Where the plan comes from. */
export function planSourceSentence({ plan }: PlannedStudy): Words {
  const hash = foreign(plan.sha256)
  if (plan.source === 'default') return message('proposal.plan-default', { hash })
  const day = plan.written === undefined ? message('proposal.day-not-stated') : foreign(plan.written)
  return message('proposal.plan-written', { day, hash })
}
