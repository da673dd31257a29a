import { isNumber } from '../../core/estimate.js'
import { type Message, message, type Part, type Words } from '../../messages/message.js'
import { foreign } from '../../messages/phrase.js'
import type { AuditResult } from '../../questions/audit.js'
import type { ComparisonResult } from '../../questions/comparison/answer.js'
import { mostObjections } from '../../questions/comparison/answerPart.js'
import { objectionSentences, rangedCell, verdictSentence } from '../../questions/comparison/section.js'
import type { Verdict } from '../../questions/comparison/verdict.js'
import { fewSentences, yearsAt } from '../../questions/howOften/section.js'
import { neededSentence } from '../../questions/needed/section.js'
import type { SectionSetting } from '../../questions/question.js'
import { restorationTypesInSentence } from '../../questions/restorationTypes.js'
import {
  type Cell,
  emptyEstimate,
  estimateCell,
  estimateColumn,
  numberCell,
  numberColumn,
  type Table,
  table,
  textColumn,
  wordCell,
} from '../../questions/words/blocks.js'
import { isChosenPart } from '../../questions/words/chosenPart.js'
import { groupTitle } from '../../questions/words/groups.js'
import {
  count,
  number,
  type Path,
  type Place,
  pathsOf,
  quantity,
  valueAt,
} from '../../questions/words/place.js'
import { settingOf } from '../model/citation.js'
import { comparisonClaims } from '../wording/index.js'

/** The name of the endpoint with a capital letter. */
function endpointTitle({ definition }: AuditResult): Message {
  return message(`endpoint.title.${definition.endpoint}`)
}

/** Title: what, and of which records. */
export function summaryTitle(audit: AuditResult): Words {
  return message('summary.title', {
    endpoint: endpointTitle(audit),
    source: foreign(audit.summary.source.title),
  })
}

/** Restorations, patients and years of delivery. */
export function summaryAbout(audit: AuditResult): Message {
  const at = pathsOf(audit)
  const { first, last } = audit.summary.deliveryYears
  const dated = first <= 0 || last <= 0 ? 'other' : first === last ? 'year' : 'span'
  const year = (place: Place<number>): Part => (dated === 'other' ? '' : number(place, 'calendar-year'))
  return message('summary.about', {
    restorations: count(at.incidence.overall.restorations),
    patients: count(at.incidence.overall.patients),
    dated,
    first: year(at.summary.deliveryYears.first),
    last: year(at.summary.deliveryYears.last),
    part: isChosenPart(audit.summary) ? 'yes' : 'other',
  })
}

/** The same, with what was counted: which restorations, and what the event is. */
export function summaryCounted(audit: AuditResult): Words {
  const { definition } = audit
  const at = pathsOf(audit).incidence.overall
  const followed = isNumber(audit.incidence.overall.medianFollowUpYears.estimate)
  return message('summary.counted', {
    about: summaryAbout(audit),
    followed: followed ? 'yes' : 'other',
    median: followed ? quantity(at.medianFollowUpYears.estimate, 'years') : '',
    types: restorationTypesInSentence(definition.restorationTypes),
    meaning: message(`endpoint.meaning.${definition.endpoint}`),
  })
}

/** What was asked. */
export function questionOfSummary({ definition, tightening }: AuditResult): Words {
  const compared = tightening === undefined ? 'other' : 'yes'
  return definition.endpoint === 'screw_loosening'
    ? message('summary.question', { compared })
    : message('summary.question-other', {
        compared,
        endpoint: message(`endpoint.one.${definition.endpoint}`),
      })
}

interface ComparisonParts {
  readonly result: ComparisonResult
  readonly at: Path<ComparisonResult>
  readonly setting: SectionSetting
}

/** The comparison with its places; undefined where there is none. */
export function comparisonOf(audit: AuditResult): ComparisonParts | undefined {
  const { tightening } = audit
  if (tightening === undefined) return undefined
  return { result: tightening, at: pathsOf(audit).tightening, setting: settingOf(audit) }
}

/** The verdict of the comparison in words; none where there is no comparison. */
export function verdictOf(audit: AuditResult): readonly Words[] {
  const parts = comparisonOf(audit)
  return parts === undefined ? [] : [verdictSentence(parts.result, parts.at, parts.setting)]
}

/** At most three objections; where there is an estimate and none, that there is none. */
export function objectionsOfSummary(audit: AuditResult): readonly Words[] {
  const parts = comparisonOf(audit)
  if (parts === undefined) return []
  const objections = objectionSentences(parts.result, parts.at, parts.setting).slice(0, mostObjections)
  if (objections.length > 0) return objections
  return comparisonClaims(audit) && parts.result.challenges.length > 0 ? [message('summary.all-checked')] : []
}

/** How sure the comparison is: what it came to when tried otherwise, and where operator and way are one. */
export function surenessOfComparison(audit: AuditResult): readonly Words[] {
  const parts = comparisonOf(audit)
  if (parts?.result.overlap === undefined || !comparisonClaims(audit)) return []
  const { result, at } = parts
  const tried = result.challenges.flatMap(({ code, estimate }, index) =>
    estimate === undefined || code === 'negative-control'
      ? []
      : [at.challenges[index]!.estimate as Place<number>],
  )
  const places = [...tried].sort((one, other) => valueAt(one) - valueAt(other))
  return [
    ...(places.length < 2
      ? []
      : [
          message('summary.compared-otherwise', {
            from: number(places[0]!, 'points'),
            to: number(places.at(-1)!, 'points'),
          }),
        ]),
    ...(result.overlap!.oneWayOnly > 0
      ? [message('summary.one-way-only', { share: number(at.overlap.oneWayOnly, 'percent') })]
      : []),
  ]
}

/** How the torque reached compares with the one aimed at; nothing where none is recorded. */
export function torqueReached(audit: AuditResult): readonly Words[] {
  if (audit.torque?.overall === undefined) return []
  const at = pathsOf(audit).torque
  return [
    message('summary.torque', {
      measured: count(at.overall.applications),
      share: number(at.overall.shareWithin.estimate, 'percent'),
      tolerance: number(at.tolerance, 'percent'),
      over: count(at.overall.over),
      under: count(at.overall.under),
    }),
  ]
}

/** What to record, whom to look at, how many more. */
export function nextSteps(audit: AuditResult): readonly Words[] {
  const { howOften, needed, tightening } = audit
  const at = pathsOf(audit)
  const [record, ...lookAgain] = recordingSteps(audit)
  return [
    ...(tightening === undefined ? [] : whatFollows(tightening.verdict)),
    ...lookAgain,
    ...(tightening?.reason === 'overlap' ? [message('summary.use-both')] : []),
    ...(needed === undefined || howOften.few !== undefined ? [] : [neededSentence(needed, at.needed)]),
    ...(howOften.few === undefined
      ? []
      : fewSentences(howOften.few, at.howOften.few, audit.definition.recallIntervalDays).slice(0, 1)),
    record,
  ]
}

/** What an answer without a direction means for what is done tomorrow. */
function whatFollows(verdict: Verdict): readonly Message[] {
  if (verdict === 'open') return [message('summary.no-reason')]
  return verdict === 'cannot-be-known' || verdict === 'cannot-be-compared'
    ? [message('summary.cannot-tell')]
    : []
}

/** What to record from now on, and whom to look at again. */
export function recordingSteps(audit: AuditResult): readonly [Message, ...Message[]] {
  const left = pathsOf(audit).howOften.leftOut.restorations
  return [
    message('summary.record'),
    ...(valueAt(left) === 0 ? [] : [message('summary.look-again', { left: count(left) })]),
  ]
}

/** All restorations and the two groups: counts, the risk at the horizon, the difference. */
export function summaryTable(audit: AuditResult): Table {
  const { tightening, howOften, definition } = audit
  const at = pathsOf(audit)
  // Risks of one column are by one time: where the comparison has a horizon of its own, its sentence names it.
  const claims = comparisonClaims(audit) && tightening?.horizonYears === howOften.years
  const risk = howOften.verdict === 'estimate' && howOften.years !== undefined
  const endpoint = message(`endpoint.name.${definition.endpoint}`)
  const years = risk ? yearsAt(at.howOften.years) : undefined
  const compared = tightening !== undefined && claims
  const rows: (readonly Cell[])[] = [
    [
      wordCell(message('group.all')),
      numberCell(at.howOften.restorations),
      numberCell(at.howOften.events),
      ...(risk ? [estimateCell(at.howOften.horizon.risk, 'percent')] : []),
      ...(compared ? [emptyEstimate] : []),
    ],
  ]
  for (const side of tightening === undefined ? [] : (['against', 'group'] as const)) {
    const difference =
      side === 'group' && compared ? rangedCell(at.tightening.lead.difference, 'points') : emptyEstimate
    rows.push([
      wordCell(groupTitle(tightening!.groups[side], definition)),
      numberCell(at.tightening.restorations[side]),
      numberCell(at.tightening.events[side]),
      ...(risk ? [claims ? rangedCell(at.tightening.lead[side], 'percent') : emptyEstimate] : []),
      ...(compared ? [difference] : []),
    ])
  }
  return table(
    'summary',
    years === undefined
      ? message('summary.table-counts', { endpoint: endpointTitle(audit) })
      : message('summary.table', { endpoint: endpointTitle(audit), years }),
    {
      columns: [
        textColumn(message('group.column')),
        numberColumn(message('summary.restorations')),
        numberColumn(message('summary.events', { endpoint })),
        ...(years === undefined ? [] : [estimateColumn(message('summary.risk', { years }), 'percent')]),
        ...(compared ? [estimateColumn(message('summary.difference'), 'points', true)] : []),
      ],
      rows,
      notes: risk
        ? [
            message(claims ? 'summary.table-note' : 'summary.table-note-all', {
              level: number(at.howOften.level, 'level'),
            }),
          ]
        : [],
    },
  )
}

/** Whether a risk over time can be drawn for all restorations together. */
export function risesOverTime({ incidence, howOften }: AuditResult): boolean {
  return (
    incidence.overall.events > 0 &&
    howOften.verdict === 'estimate' &&
    incidence.overall.horizons.some(({ risk }) => isNumber(risk.estimate))
  )
}
