import { dayFromIso } from '../../core/calendar.js'
import { type Interval, isNumber } from '../../core/estimate.js'
import { listOf, type Message, message, type Words } from '../../messages/message.js'
import { foreign } from '../../messages/phrase.js'
import type { SectionSetting } from '../question.js'
import {
  type Block,
  type Cell,
  emptyCell,
  emptyEstimate,
  estimateCell,
  estimateColumn,
  figure,
  foreignCell,
  numberCell,
  numberColumn,
  paragraph,
  quantityCell,
  sentences,
  type Table,
  table,
  textColumn,
  wordCell,
} from '../words/blocks.js'
import { groupInSentence } from '../words/groups.js'
import { count, limits, number, type Path, quantity, years } from '../words/place.js'
import type { ClinicChange, ProtocolChangeResult } from './answer.js'
import { runChart } from './chart.js'

/** More run charts than this would fill a report. */
const mostRunCharts = 4

interface Changed {
  readonly clinic: ClinicChange
  readonly at: Path<ClinicChange>
}

/** Clinics in which a change was found, each with its place. */
function changedClinics(
  { clinics }: ProtocolChangeResult,
  at: Path<ProtocolChangeResult>,
): readonly Changed[] {
  return clinics.flatMap((clinic, index) =>
    clinic.change === undefined ? [] : [{ clinic, at: at.clinics[index]! }],
  )
}

/** Before and after a change of protocol; nothing where no clinic changed. */
export function protocolChangeBlocks(
  result: ProtocolChangeResult,
  at: Path<ProtocolChangeResult>,
  setting: SectionSetting,
): readonly Block[] {
  const changed = changedClinics(result, at)
  const periods = periodsTable(result, at, setting)
  if (periods === undefined) return []
  const rest = withoutChange(result, at)
  return [
    ...changed.map((one) => paragraph(clinicSentence(result, one, at, setting), 'lead')),
    paragraph(opening(result, at, setting)),
    ...(rest.length === 0 ? [] : [paragraph(sentences(...rest))]),
    periods,
    ...changed
      .slice(0, mostRunCharts)
      .map(({ clinic }, index) =>
        figure(
          `run-chart-${index + 1}`,
          message('protocol-change.run-chart'),
          (options) => runChart(clinic, options),
          { onRequest: true },
        ),
      ),
  ]
}

/** What the section is about and the rule by which a change is found. */
function opening(
  { group, against }: ProtocolChangeResult,
  at: Path<ProtocolChangeResult>,
  { definition }: SectionSetting,
): Message {
  return message('protocol-change.opening', {
    group: groupInSentence(group, definition),
    against: groupInSentence(against, definition),
    difference: number(at.rule.leastShareDifference, 'points-size'),
    deliveries: count(at.rule.leastDeliveries),
  })
}

/** What a clinic's change goes with, or that it cannot be known. */
export function clinicSentence(
  { group }: ProtocolChangeResult,
  { clinic: { clinic, change, compared }, at }: Changed,
  { level }: Path<ProtocolChangeResult>,
  { definition }: SectionSetting,
): Words {
  const shares = message('protocol-change.shares', {
    clinic: foreign(clinic),
    group: groupInSentence(group, definition),
    before: quantity(at.change.before.share, 'percent'),
    from: dayFromIso(change!.from)!,
    source: change!.source === 'plan' ? 'plan' : 'other',
    after: quantity(at.change.after.share, 'percent'),
  })
  if (compared === undefined) return sentences(shares, message('protocol-change.one-side-empty'))
  const many = message(`endpoint.many.${definition.endpoint}`)
  const { before, after, riskDifference } = at.compared
  const counts = message('protocol-change.counts', {
    beforeEvents: count(before.events),
    before: count(before.restorations),
    afterEvents: count(after.events),
    after: count(after.restorations),
  })
  if (compared.tooFewEvents) return sentences(shares, message('protocol-change.too-few', { many, counts }))
  const { estimate, interval } = compared.riskDifference
  if (!isNumber(estimate)) {
    return sentences(shares, message('protocol-change.not-compared', { many, counts }))
  }
  return sentences(
    shares,
    message('protocol-change.compared', {
      years: years(at.followedYears),
      difference: number(riskDifference.estimate, 'points'),
      ...limits(riskDifference, level, 'points'),
      counts,
    }),
    direction(interval),
  )
}

function direction({ lower, upper }: Interval): Message {
  if (isNumber(upper) && upper < 0) return message('protocol-change.fewer')
  return isNumber(lower) && lower > 0 ? message('protocol-change.more') : message('protocol-change.open')
}

/** Clinics without a change, and what was left out. */
function withoutChange(
  { clinics, leftOut }: ProtocolChangeResult,
  at: Path<ProtocolChangeResult>,
): readonly Message[] {
  const without = clinics.filter(({ change }) => change === undefined)
  return [
    ...(without.length === 0
      ? []
      : [
          message('protocol-change.none-in', {
            clinics: listOf(without.map(({ clinic }) => foreign(clinic))),
          }),
        ]),
    ...(leftOut.lateEntry === 0
      ? []
      : [message('protocol-change.late-entry', { restorations: count(at.leftOut.lateEntry) })]),
    ...(leftOut.dayUnknown === 0
      ? []
      : [message('protocol-change.day-unknown', { restorations: count(at.leftOut.dayUnknown) })]),
  ]
}

/** Two rows for each clinic: before and after. */
export function periodsTable(
  result: ProtocolChangeResult,
  at: Path<ProtocolChangeResult>,
  { definition }: SectionSetting,
): Table | undefined {
  const changed = changedClinics(result, at)
  if (changed.length === 0) return undefined
  return table('protocol-change', message('protocol-change.caption'), {
    columns: [
      textColumn(message('table.clinic')),
      textColumn(message('protocol-change.side')),
      numberColumn(message('protocol-change.share')),
      numberColumn(message('table.restorations')),
      numberColumn(message('table.events')),
      estimateColumn(message('protocol-change.risk'), 'percent'),
      estimateColumn(message('protocol-change.difference'), 'points', true),
      estimateColumn(message('protocol-change.rate-ratio'), 'ratio'),
      estimateColumn(message('protocol-change.level-change'), 'ratio'),
    ],
    rows: changed.flatMap((one) => [sideRow(one, 'before'), sideRow(one, 'after')]),
    notes: [message('protocol-change.share-note', { group: groupInSentence(result.group, definition) })],
  })
}

function sideRow({ clinic, at }: Changed, side: 'before' | 'after'): readonly Cell[] {
  const { compared, change } = clinic
  const from = dayFromIso(change!.from)!
  const contrast = (name: 'riskDifference' | 'rateRatio' | 'levelChange'): Cell =>
    side === 'before' || compared?.[name] === undefined
      ? emptyEstimate
      : estimateCell(at.compared[name], name === 'riskDifference' ? 'points' : 'ratio')
  const own = at.compared[side]
  return [
    foreignCell(clinic.clinic),
    wordCell(
      side === 'before'
        ? message('protocol-change.before', { from })
        : message('protocol-change.after', { from }),
    ),
    quantityCell(at.change[side].share, 'percent'),
    compared === undefined ? emptyCell : numberCell(own.restorations),
    compared === undefined ? emptyCell : numberCell(own.events),
    compared === undefined ? emptyEstimate : estimateCell(own.risk, 'percent'),
    contrast('riskDifference'),
    contrast('rateRatio'),
    contrast('levelChange'),
  ]
}
