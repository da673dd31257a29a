import { listOf, type Message, message, type Words } from '../../messages/message.js'
import type { PartOfPage } from '../question.js'
import {
  type Block,
  type Cell,
  emptyCell,
  figure,
  numberCell,
  numberColumn,
  paragraph,
  type Table,
  table,
  textColumn,
  wordCell,
} from '../words/blocks.js'
import { count, number, type Path, years } from '../words/place.js'
import type { NeededResult, NeededScenario, Reached } from './answer.js'
import { neededChart } from './chart.js'

/** Cautions beside the answer. */
const cautions: readonly Words[] = [
  message('needed.caution-extrapolation'),
  message('needed.caution-looks'),
  message('needed.caution-stop'),
]

/** Everything that is said of what is needed, in the parts of its page. */
export function neededParts(result: NeededResult, at: Path<NeededResult>): readonly PartOfPage[] {
  const grouped = result.scenarios.some(({ studyGroup }) => studyGroup !== undefined)
  const drawn = result.scenarios.some(({ course }) => course.some(({ risk }) => risk !== undefined))
  const picture = figure(
    'needed',
    message('needed.chart-caption'),
    (options) => neededChart(result, options),
    { onRequest: true },
  )
  return [
    {
      id: 'answer',
      title: message('needed.section-answer'),
      blocks: answerBlocks(result, at),
      cautions,
      inTerminal: true,
    },
    { id: 'picture', title: message('needed.section-picture'), blocks: drawn ? [picture] : [] },
    {
      id: 'group',
      title: message('needed.section-group'),
      blocks: grouped ? [groupTable(result, at), paragraph(message('needed.group-note'), 'note')] : [],
    },
    {
      id: 'rests',
      title: message('needed.section-rests'),
      blocks: [assumptionsTable(result, at), paragraph(message('needed.assumptions-note'), 'note')],
    },
  ]
}

function answerBlocks(result: NeededResult, at: Path<NeededResult>): readonly Block[] {
  return [
    ...nowSentences(result, at).map((one) => paragraph(one)),
    ...leadSentences(result, at).map((one) => paragraph(one, 'lead')),
    ...(result.withheld === undefined
      ? []
      : [paragraph(message('needed.withheld', { reason: withheldWord[result.withheld] }))]),
    paragraph(nextLook(result, at)),
    neededTable(result, at),
  ]
}

/** What stands of it in an audit whose comparison claims nothing: one sentence. */
export function neededSentence(result: NeededResult, at: Path<NeededResult>): Words {
  const { withheld, scenarios } = result
  if (withheld !== undefined) return message('needed.withheld', { reason: withheldWord[withheld] })
  if (!scenarios[0]!.own) return fewSentence(result, at)
  return reachedSentence(targetsOf(at)[1]!, scenarios[0]!, at)!
}

function nowSentences(result: NeededResult, at: Path<NeededResult>): readonly Words[] {
  const { scenarios, halfWidthNow, comparisonNow, riskWithheld } = result
  const horizon = years(at.horizonYears)
  const own = scenarios[0]!.own
  const risk = number(at.scenarios[0]!.risk, 'percent')
  const known = riskWithheld
    ? message('needed.now-risk-withheld', { horizon, risk })
    : halfWidthNow === undefined
      ? message('needed.now-risk-not-reached', { horizon, risk })
      : message('needed.now-risk', {
          restorations: count(at.restorations),
          patients: count(at.patients),
          horizon,
          risk,
          half: number(at.halfWidthNow, 'points-size'),
        })
  const comparison =
    comparisonNow === undefined
      ? []
      : [
          message('needed.now-comparison', {
            horizon: years(at.comparisonNow.years),
            half: number(at.comparisonNow.halfWidth, 'points-size'),
            group: count(at.comparisonNow.group),
            against: count(at.comparisonNow.against),
          }),
        ]
  return [own ? known : fewSentence(result, at), ...comparison]
}

function fewSentence({ scenarios }: NeededResult, at: Path<NeededResult>): Words {
  return message('needed.few', {
    events: count(at.events),
    horizon: years(at.horizonYears),
    risks: listOf(scenarios.map((_one, i) => number(at.scenarios[i]!.risk, 'percent'))),
  })
}

/** Codes as the words of a message may choose by them. */
const withheldWord = {
  'one-way': 'alone',
  overlap: 'overlap',
  'immortal-time': 'afterwards',
  'too-short': 'other',
} as const

interface Target {
  readonly what: Message
  readonly reachedOf: (scenario: NeededScenario) => Reached | undefined
  readonly placeOf: (scenario: Path<NeededScenario>) => Path<Reached>
}

function targetsOf(at: Path<NeededResult>): readonly Target[] {
  const horizon = years(at.horizonYears)
  return [
    {
      what: message('needed.what-risk', { horizon, points: number(at.within, 'points-size') }),
      reachedOf: ({ risksWidth }) => risksWidth,
      placeOf: ({ risksWidth }) => risksWidth,
    },
    {
      what: message('needed.what-comparison', {
        horizon,
        points: number(at.smallestDifference, 'points-size'),
      }),
      reachedOf: ({ comparisonsWidth }) => comparisonsWidth,
      placeOf: ({ comparisonsWidth }) => comparisonsWidth,
    },
    {
      what: message('needed.what-power', {
        horizon,
        points: number(at.difference, 'points-size'),
        power: number(at.power, 'level'),
      }),
      reachedOf: ({ power }) => power,
      placeOf: ({ power }) => power,
    },
  ]
}

/** One sentence for each target; those of assumed risks stand in the table only. */
function leadSentences(result: NeededResult, at: Path<NeededResult>): readonly Words[] {
  const [scenario] = result.scenarios
  if (scenario === undefined || !scenario.own) return []
  return targetsOf(at).flatMap((target) => reachedSentence(target, scenario, at) ?? [])
}

function reachedSentence(
  { what, reachedOf, placeOf }: Target,
  scenario: NeededScenario,
  at: Path<NeededResult>,
): Words | undefined {
  const reached = reachedOf(scenario)
  const place = placeOf(at.scenarios[0]!)
  if (reached === undefined) return undefined
  if (reached.years === undefined) return message('needed.reached-never', { what })
  if (reached.years === 0) return message('needed.reached-now', { what })
  return message('needed.reached-in', {
    what,
    years: number(place.years, 'years'),
    restorations: count(place.restorations),
  })
}

function nextLook({ nextLookYears, scenarios }: NeededResult, at: Path<NeededResult>): Words {
  if (nextLookYears !== undefined) {
    return message('needed.next-look', { years: number(at.nextLookYears, 'years') })
  }
  return scenarios[0]!.own ? message('needed.next-look-never') : message('needed.caution-extrapolation')
}

/** Every target under every risk taken. */
export function neededTable(result: NeededResult, at: Path<NeededResult>): Table {
  return table('needed', message('needed.table'), {
    columns: [
      textColumn(message('needed.to-reach')),
      numberColumn(message('needed.risk-column')),
      textColumn(message('needed.years')),
      textColumn(message('table.range')),
      numberColumn(message('needed.restorations')),
    ],
    rows: targetsOf(at).flatMap(({ what, reachedOf, placeOf }) =>
      result.scenarios.flatMap((scenario, i) => {
        const reached = reachedOf(scenario)
        if (reached === undefined) return []
        const place = at.scenarios[i]!
        return [[wordCell(what), numberCell(place.risk, 'percent'), ...reachedCells(reached, placeOf(place))]]
      }),
    ),
    notes: [message('needed.table-note')],
  })
}

function reachedCells(reached: Reached, at: Path<Reached>): readonly Cell[] {
  const { range } = reached
  const above = message('needed.range-above')
  const now = message('needed.now')
  const end = (key: 'from' | 'to') =>
    range?.[key] === undefined ? above : range[key] === 0 ? now : number(at.range[key], 'years')
  const cellOf = (years: number | undefined): Cell =>
    years === undefined ? wordCell(above) : years === 0 ? wordCell(now) : numberCell(at.years, 'years')
  return [
    cellOf(reached.years),
    wordCell(
      range?.from === undefined
        ? above
        : range.to === 0
          ? now
          : message('needed.range', { from: end('from'), to: end('to') }),
    ),
    reached.restorations === undefined || reached.years === 0 ? emptyCell : numberCell(at.restorations),
  ]
}

function groupTable(result: NeededResult, at: Path<NeededResult>): Table {
  return table(
    'needed-group',
    message('needed.table-group', { points: number(at.smallestDifference, 'points-size') }),
    {
      columns: [
        numberColumn(message('table.practices')),
        numberColumn(message('needed.risk-column')),
        textColumn(message('needed.years')),
        textColumn(message('table.range')),
        numberColumn(message('needed.restorations')),
      ],
      rows: result.scenarios.flatMap(({ studyGroup = [] }, i) =>
        studyGroup.map(({ reached }, k) => {
          const place = at.scenarios[i]!.studyGroup[k]!
          return [
            numberCell(place.practices),
            numberCell(at.scenarios[i]!.risk, 'percent'),
            ...reachedCells(reached, place.reached),
          ]
        }),
      ),
      notes: [message('needed.table-note')],
    },
  )
}

function assumptionsTable({ assumptions }: NeededResult, at: Path<NeededResult>): Table {
  const horizon = years(at.horizonYears)
  const own = at.assumptions
  return table('needed-assumptions', message('needed.assumptions'), {
    columns: [textColumn(message('needed.assumption-column')), numberColumn(message('needed.value'))],
    rows: [
      [wordCell(message('needed.assumption.pace')), numberCell(own.perYear)],
      [wordCell(message('needed.assumption.per-patient')), numberCell(own.perPatient, 'ratio')],
      [
        wordCell(message('needed.assumption.ratio', { own: assumptions.ratioOwn ? 'yes' : 'other' })),
        numberCell(own.ratio, 'ratio'),
      ],
      [
        wordCell(message('needed.assumption.followed', { horizon })),
        numberCell(own.followedShare, 'percent'),
      ],
      [wordCell(message('needed.assumption.gap')), numberCell(own.yearsBetweenLooks, 'years')],
      [wordCell(message('needed.assumption.seen')), numberCell(own.seenUntilYears, 'years')],
      ...(assumptions.shareOfGroup === undefined
        ? []
        : [[wordCell(message('needed.assumption.group')), numberCell(own.shareOfGroup, 'percent')]]),
    ],
  })
}
