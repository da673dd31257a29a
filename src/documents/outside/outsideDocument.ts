import { type IntervalRow, rowsInWords } from '../../charts/intervalPlot.js'
import { intervalsAlong } from '../../charts/intervalsAlong.js'
import { roundAxis } from '../../charts/plotAxis.js'
import type { ChartSpecification } from '../../charts/specification.js'
import { type FigureOptions, groupMark } from '../../charts/theme.js'
import { message, type Part, type Words } from '../../messages/message.js'
import { speaker } from '../../messages/speaker.js'
import { rangedCell } from '../../questions/comparison/section.js'
import { endpointName, rangeInBrackets, rangeText } from '../../questions/comparison/words.js'
import { yearsAt } from '../../questions/howOften/section.js'
import {
  type Block,
  type Cell,
  emptyEstimate,
  estimateColumn,
  figure,
  numberCell,
  numberColumn,
  paragraph,
  type Table,
  table,
  textColumn,
  type Figure as UnwordedFigure,
  wordCell,
} from '../../questions/words/blocks.js'
import { groupInSentence, groupTitle } from '../../questions/words/groups.js'
import { count, number, type Path, pathsOf } from '../../questions/words/place.js'
import type { ReportDocument } from '../model/document.js'
import { wordedBlocks } from '../model/worded.js'
import type { Released } from './released.js'

/** What is released, with its places. */
export interface Parts {
  readonly released: Released
  readonly at: Path<Released>
}

/** What an outside document needs to know besides what is released. */
export interface OutsideOptions {
  readonly date: string
  /** Language of the text; default `en`. */
  readonly language?: string
}

/** One page that may leave the practice, made from nothing but what is released. */
export function outsideDocument(released: Released, { date, language }: OutsideOptions): ReportDocument {
  const by = speaker(language)
  const parts = { released, at: pathsOf(released) }
  const { endpoint, generated, least } = released
  const section = (id: string, title: Words, blocks: readonly Block[]) => ({
    id,
    title: by.text(title),
    blocks: wordedBlocks(blocks, by, { generated, full: true }),
  })
  const objections = objectionsIn(released)
  const sections = [
    section('answer', questionIn(released), answerBlocks(parts)),
    section('objections', message('summary.objections'), [{ kind: 'list', items: objections }]),
    section('next', message('summary.next'), [paragraph(message('summary.record'))]),
    section('cautions', message('summary.cautions-title'), [paragraph(message('summary.cautions'))]),
  ]
  return {
    layout: 'summary',
    title: by.phrase(message('outside.title', { endpoint: message(`endpoint.title.${endpoint}`) })),
    kicker: by.text(message('outside.kicker')),
    summary: by.phrase(message('outside.about', { least, part: released.chosenPart ? 'yes' : 'other' })),
    generated,
    date,
    language: by.language,
    sections: sections.filter(({ id }) => id !== 'objections' || objections.length > 0),
  }
}

/** What was asked. */
export function questionIn({ endpoint, comparison }: Released): Words {
  const compared = comparison === undefined ? 'other' : 'yes'
  return endpoint === 'screw_loosening'
    ? message('summary.question', { compared })
    : message('summary.question-other', { compared, endpoint: message(`endpoint.one.${endpoint}`) })
}

function answerBlocks(parts: Parts): readonly Block[] {
  const { restorations, least } = parts.released
  if (restorations === undefined) return [paragraph(message('outside.too-few', { least }), 'lead')]
  return [
    paragraph(riskIn(parts), 'lead'),
    ...comparedIn(parts).map((one, index) => paragraph(one, index === 0 ? 'lead' : 'plain')),
    ...riskFigures(parts),
    releasedTable(parts),
  ]
}

/** How often, or why that is withheld. */
export function riskIn({ released, at }: Parts): Words {
  const { risk, endpoint, least, restorations } = released
  if (restorations === undefined) return message('outside.too-few', { least })
  return risk === undefined
    ? message('outside.risk-withheld', { least })
    : message('how-often.estimate', {
        years: yearsAt(at.years),
        risk: number(at.risk.estimate, 'percent'),
        one: message(`endpoint.one.${endpoint}`),
        interval: rangeInBrackets(at.risk, at.level, 'percent'),
      })
}

/** The verdict, and that the groups are withheld where they are; empty where nothing was compared. */
export function comparedIn(parts: Parts): readonly Words[] {
  const { comparison, least } = parts.released
  if (comparison === undefined) return []
  return [
    verdictIn(parts),
    ...(comparison.groups === undefined ? [message('outside.groups-withheld', { least })] : []),
  ]
}

/** Risks as marks; none where the risk is withheld. */
export function riskFigures(parts: Parts): readonly UnwordedFigure[] {
  const { released, at } = parts
  if (released.risk === undefined) return []
  const caption = message('outside.figure', {
    endpoint: endpointName(released.endpoint),
    years: yearsAt(at.years),
    level: number(at.level, 'level'),
  })
  return [figure('outside-risks', caption, (options) => risksChart(parts, options))]
}

function verdictIn({ released, at }: Parts): Words {
  const { verdict, groups, difference } = released.comparison!
  if (groups === undefined || difference === undefined || !['open', 'lower', 'higher'].includes(verdict)) {
    return verdict === 'cannot-be-compared' || verdict === 'cannot-be-known'
      ? message(`outside.verdict.${verdict}`)
      : message('outside.verdict.open')
  }
  const { definition } = released
  const [against, group] = groups.map(({ name }) => groupInSentence(name, definition)) as [Part, Part]
  const place = at.comparison
  const figures = {
    group,
    against,
    endpoint: endpointName(released.endpoint),
    years: yearsAt(place.years),
    points: number(place.difference.estimate, verdict === 'open' ? 'points' : 'points-size'),
    interval: rangeInBrackets(place.difference, at.level),
  }
  if (verdict === 'open') return message('comparison.open', figures)
  return verdict === 'lower' ? message('comparison.lower', figures) : message('comparison.higher', figures)
}

/** What weakens or contradicts the verdict, without its figures. */
export function objectionsIn({ comparison }: Released): readonly Words[] {
  return (comparison?.objections ?? []).map(({ code, effect }) =>
    message(`outside.objection.${effect}`, { challenge: message(`comparison.challenge.${code}`) }),
  )
}

/** Whether risks of the groups stand at the same time as that of all. */
function sameTime({ years, comparison }: Released): boolean {
  return comparison?.difference !== undefined && comparison.years === years
}

/** All restorations and the groups, as far as they are released. */
export function releasedTable({ released, at }: Parts): Table {
  const { endpoint, events, risk, comparison, definition } = released
  const endpointWord = message(`endpoint.name.${endpoint}`)
  const told = risk !== undefined
  const rows: (readonly Cell[])[] = [
    [
      wordCell(message('group.all')),
      numberCell(at.restorations),
      ...(events === undefined ? [] : [numberCell(at.events)]),
      ...(told ? [rangedCell(at.risk, 'percent')] : []),
    ],
    ...(comparison?.groups ?? []).map(({ name, risk: own }, index) => {
      const group = at.comparison.groups[index]!
      const shown = own !== undefined && sameTime(released)
      return [
        wordCell(groupTitle(name, definition)),
        numberCell(group.restorations),
        numberCell(group.events),
        ...(told ? [shown ? rangedCell(group.risk, 'percent') : emptyEstimate] : []),
      ]
    }),
  ]
  return table(
    'outside',
    message('summary.table-counts', { endpoint: message(`endpoint.title.${endpoint}`) }),
    {
      columns: [
        textColumn(message('group.column')),
        numberColumn(message('summary.restorations')),
        ...(events === undefined
          ? []
          : [numberColumn(message('summary.events', { endpoint: endpointWord }))]),
        ...(told ? [estimateColumn(message('summary.risk', { years: yearsAt(at.years) }), 'percent')] : []),
      ],
      rows,
      notes: [
        message('outside.about-size', { restorations: count(at.restorations), patients: count(at.patients) }),
      ],
    },
  )
}

/** The risks at the horizon, one row each: no curve, whose steps would tell of single restorations. */
function risksChart({ released, at }: Parts, options: FigureOptions): ChartSpecification {
  const by = speaker(options.language)
  const { definition } = released
  const years = yearsAt(at.years)
  const shown = [
    { name: 'all', place: at.risk, risk: released.risk! },
    ...(sameTime(released) ? (released.comparison?.groups ?? []) : []).flatMap(({ name, risk }, index) =>
      risk === undefined ? [] : [{ name, place: at.comparison.groups[index]!.risk, risk }],
    ),
  ]
  const rows = shown.map(
    ({ name, place, risk }): IntervalRow => ({
      label: by.text(message('outside.chart-row', { group: groupTitle(name, definition), years })),
      value: risk.estimate,
      lower: risk.lower,
      upper: risk.upper,
      hasInterval: true,
      text: by.text([number(place.estimate, 'percent'), ' (', rangeText(place, 'percent'), ')']),
      open: false,
      color: groupMark(name).ink.light,
    }),
  )
  const axis = roundAxis(0, Math.max(0.02, ...rows.map(({ upper }) => upper)), {
    title: by.text(message('table.share')),
    format: (share) => by.number(share, 'percent'),
  })
  const heading = message('outside.figure', {
    endpoint: endpointName(released.endpoint),
    years,
    level: number(at.level, 'level'),
  })
  const description = by.text(message('outside.figure-description', { heading, rows: rowsInWords(rows) }))
  return intervalsAlong({ heading, description, rows, axis, notes: [] }, options)
}
