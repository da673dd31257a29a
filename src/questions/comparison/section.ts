import { listOf, type Message, message, opening, type Part, type Words } from '../../messages/message.js'
import { fieldName } from '../../messages/names.js'
import { numberFormats } from '../../messages/numberFormats.js'
import { yearsAt } from '../howOften/section.js'
import type { SectionSetting } from '../question.js'
import {
  type Block,
  type Cell,
  emptyCell,
  estimateColumn,
  figure,
  heading,
  numberCell,
  numberColumn,
  paragraph,
  sentences,
  type Table,
  table,
  textColumn,
  wordCell,
} from '../words/blocks.js'
import { groupTitle } from '../words/groups.js'
import { count, number, type Path, valueAt } from '../words/place.js'
import type { ComparisonResult } from './answer.js'
import { objectionsOf } from './answerPart.js'
import { balanceChart, overlapChart } from './balanceChart.js'
import { sideOf } from './challenges.js'
import { curvesChart, forestChart } from './chart.js'
import type { Ranged } from './estimate.js'
import type { VerdictReason } from './verdict.js'
import { endpointName, groupName, rangeInBrackets, rangeText, yearsText } from './words.js'

/** What is said of the comparison: the answer, what it rests on, its figures and tables, and what speaks against it. */
export function comparisonBlocks(
  result: ComparisonResult,
  at: Path<ComparisonResult>,
  setting: SectionSetting,
): readonly Block[] {
  const shown = result.lead !== undefined && result.verdict !== 'cannot-be-known'
  const curves = message('comparison.figure', { endpoint: endpointName(setting.definition.endpoint) })
  return [
    paragraph(verdictSentence(result, at, setting), 'lead'),
    paragraph(countsSentence(result, at, setting)),
    ...objectionSentences(result, at, setting).map((one) => paragraph(one)),
    ...(shown && result.arms.length > 0 ? [armsTable(result, at, setting)] : []),
    ...(shown && result.curves.some(({ points }) => points.length > 1)
      ? [figure('comparison-curves', curves, (options) => curvesChart(result, setting, options))]
      : []),
    heading(message('comparison.challenges')),
    ...(shown && result.challenges.length > 0
      ? [
          figure('comparison-forest', forestCaption(result), (options) =>
            forestChart(result, { ...options, window: setting.definition.waitWindowMinutes }),
          ),
          challengesTable(result, at),
        ]
      : []),
    ...restSentences(result, at, setting).map((one) => paragraph(one)),
    ...(shown ? [estimateTable(result, at, setting), ...choiceTable(result, at)] : []),
    ...balanceFigures(result, setting),
  ]
}

/** What a reviewer asks of the one estimate: its error, degrees of freedom, P value, patients, losses of each group. */
function estimateTable(result: ComparisonResult, at: Path<ComparisonResult>, setting: SectionSetting): Table {
  const { group, against, endpoint } = namesOf(result, setting)
  const years = yearsAt(at.horizonYears)
  const rows: (readonly Cell[])[] = [
    [wordCell(message('comparison.estimate-error')), numberCell(at.lead.standardError, 'points-size')],
    [
      wordCell(message('comparison.estimate-degrees', { endpoint })),
      numberCell(at.lead.degreesOfFreedom, 'statistic'),
    ],
    [wordCell(message('comparison.estimate-p', { years })), numberCell(at.lead.pValue, 'p-value')],
    [
      wordCell(message('comparison.estimate-patients', { endpoint, years })),
      numberCell(at.lead.patientsWithEvent),
    ],
    ...(result.loss === undefined
      ? []
      : [
          [wordCell(message('comparison.estimate-lost', { group })), numberCell(at.loss.lost.group)],
          [
            wordCell(message('comparison.estimate-lost', { group: against })),
            numberCell(at.loss.lost.against),
          ],
        ]),
  ]
  return table('comparison-estimate', message('comparison.estimate'), {
    columns: [
      textColumn(message('comparison.estimate-column')),
      numberColumn(message('comparison.estimate-value')),
    ],
    rows,
  })
}

/** The model of the choice, term by term; none where nothing is allowed for. */
function choiceTable(result: ComparisonResult, at: Path<ComparisonResult>): readonly Block[] {
  const { choice = [], missing } = result
  if (choice.length === 0) return []
  return [
    table('comparison-model', message('comparison.model'), {
      columns: [
        textColumn(message('comparison.model-allowed')),
        textColumn(message('comparison.form')),
        numberColumn(message('comparison.model-missing')),
      ],
      rows: choice.map(({ key, form }, index) => {
        const place = at.choice[index]!.coefficients
        const gaps = missing.findIndex((one) => one.key === key)
        return [
          wordCell(opening(fieldName(key))),
          wordCell(
            form === 'levels'
              ? message('comparison.form.levels', { count: count(place) })
              : form === 'line'
                ? message('comparison.form.line')
                : message('comparison.form.spline', { count: count(place) }),
          ),
          gaps < 0 ? emptyCell : numberCell(at.missing[gaps]!.share, 'percent'),
        ]
      }),
      notes: [message('comparison.model-note', { imputations: count(at.imputations) })],
    }),
  ]
}

/** How alike the groups were and are, and how far who got which way could be foretold. */
function balanceFigures(result: ComparisonResult, setting: SectionSetting): readonly Block[] {
  const { balance, groups } = result
  // Where nothing is recorded to allow for, there is nothing to even out.
  if (balance === undefined || balance.rows.length === 0) return []
  const balanced = { groups, balance }
  return [
    figure('comparison-balance', message('comparison.balance'), (options) => balanceChart(balanced, options)),
    figure(
      'comparison-overlap',
      message('comparison.overlap', { group: namesOf(result, setting).group }),
      (options) => overlapChart(balanced, setting, options),
    ),
  ]
}

interface Names {
  readonly group: Part
  readonly against: Part
  readonly endpoint: Part
}

function namesOf({ groups }: ComparisonResult, { definition }: SectionSetting): Names {
  return {
    group: groupName(groups.group, groups.by, definition),
    against: groupName(groups.against, groups.by, definition),
    endpoint: endpointName(definition.endpoint),
  }
}

/** The verdict in words: no direction unless there is one, and the reason. */
export function verdictSentence(
  result: ComparisonResult,
  at: Path<ComparisonResult>,
  setting: SectionSetting,
): Words {
  const { verdict, horizonYears, reason } = result
  const names = namesOf(result, setting)
  const why = reasonOf(reason, horizonYears === undefined ? '' : yearsAt(at.horizonYears))
  if (verdict === 'cannot-be-compared' || verdict === 'cannot-be-known' || horizonYears === undefined) {
    const { group, against } = names
    return verdict === 'cannot-be-compared'
      ? message('comparison.cannot-be-compared', { group, against, why })
      : message('comparison.cannot-be-known', { group, against, why })
  }
  const figures = {
    ...names,
    years: yearsAt(at.horizonYears),
    interval: rangeInBrackets(at.lead.difference, at.level),
  }
  if (verdict === 'open') {
    const points = number(at.lead.difference.estimate, 'points')
    return sentences(message('comparison.open', { ...figures, points }), why, rangeSentence(result, at))
  }
  const points = number(at.lead.difference.estimate, 'points-size')
  return sentences(
    verdict === 'lower'
      ? message('comparison.lower', { ...figures, points })
      : message('comparison.higher', { ...figures, points }),
    rangeSentence(result, at),
    numberNeededSentence(result, at, setting),
  )
}

/** Why the verdict is what it is. */
export function reasonOf(reason: VerdictReason, years: Part): Message {
  return reason === 'few-events'
    ? message('comparison.reason.few-events', { years })
    : message(`comparison.reason.${reason}`)
}

/** What the days between looks leave open, where that is more than matters; the one estimate is a place between, too. */
function rangeSentence(
  { rangeLeads, ends, lead }: ComparisonResult,
  at: Path<ComparisonResult>,
): Part | undefined {
  if (!rangeLeads || ends === undefined || lead === undefined) return undefined
  const places = [at.ends.afterLastLook.estimate, at.lead.difference.estimate, at.ends.found.estimate]
  const [from, , to] = places.sort((one, other) => valueAt(one) - valueAt(other))
  return message('comparison.range-leads', { from: number(from!, 'points'), to: number(to!, 'points') })
}

/** How many restorations stand for one more, or one fewer; only where there is a direction. */
function numberNeededSentence(
  result: ComparisonResult,
  at: Path<ComparisonResult>,
  setting: SectionSetting,
): Part | undefined {
  const { verdict, numberNeeded, horizonYears } = result
  if (numberNeeded === undefined || horizonYears === undefined) return undefined
  const { group, against, endpoint } = namesOf(result, setting)
  return message('comparison.number-needed', {
    group,
    against,
    direction: verdict === 'lower' ? 'lower' : 'other',
    endpoint,
    years: yearsAt(at.horizonYears),
    number: count(at.numberNeeded.estimate),
    from: count(at.numberNeeded.lower),
    to: count(at.numberNeeded.upper),
  })
}

/** How many are compared with how many. */
export function comparedSentence(at: Path<ComparisonResult>, setting: SectionSetting): Message {
  return message('comparison.counts', {
    group: count(at.restorations.group),
    groupEvents: count(at.events.group),
    against: count(at.restorations.against),
    againstEvents: count(at.events.against),
    patients: count(at.patients),
    endpoint: endpointName(setting.definition.endpoint),
  })
}

/** Of whom it speaks, by what plan, and how sure the groups are. */
export function countsSentence(
  result: ComparisonResult,
  at: Path<ComparisonResult>,
  setting: SectionSetting,
): Words {
  const { exposure, groups, lead, overlap, verdict } = result
  const claims = lead !== undefined && verdict !== 'cannot-be-compared' && verdict !== 'cannot-be-known'
  return sentences(
    comparedSentence(at, setting),
    claims && overlap !== undefined && overlap.oneWayOnly > 0
      ? message('comparison.no-weight', { share: number(at.overlap.oneWayOnly, 'percent') })
      : undefined,
    groups.by === 'chart' ? message('comparison.exposure-charted') : undefined,
    exposure === undefined
      ? undefined
      : message('comparison.exposure-measured', {
          share: number(at.exposure.measuredShare, 'percent'),
          charted: count(at.exposure.charted),
          documented: count(at.exposure.documented),
        }),
    ...planSentences(result, at),
  )
}

/** The plan, and the horizon in its place where too few were at risk at that of the plan. */
function planSentences(
  { plan, horizonYears }: ComparisonResult,
  at: Path<ComparisonResult>,
): readonly (Message | undefined)[] {
  if (plan === undefined) return []
  const figures = {
    years: yearsAt(at.plan.horizonYears),
    points: number(at.plan.smallestDifference, 'points-size'),
  }
  return [
    plan.source === 'file'
      ? message('comparison.by-plan', {
          ...figures,
          written: plan.written ?? '',
          sha256: plan.sha256.slice(0, 12),
        })
      : message('comparison.by-default', figures),
    horizonYears === undefined || horizonYears === plan.horizonYears
      ? undefined
      : message('comparison.horizon-used', {
          years: yearsAt(at.horizonYears),
          points: number(at.smallestDifference, 'points-size'),
        }),
  ]
}

/** The objections of the answer, at most three. */
export function objectionSentences(
  result: ComparisonResult,
  at: Path<ComparisonResult>,
  setting: SectionSetting,
): readonly Words[] {
  return objectionsOf(result).map((one) => objectionSentence(result, at, one.code, setting))
}

/** One objection of the answer. */
function objectionSentence(
  result: ComparisonResult,
  at: Path<ComparisonResult>,
  code: ComparisonResult['challenges'][number]['code'],
  setting: SectionSetting,
): Words {
  const index = result.challenges.findIndex((one) => one.code === code)
  const challenge = result.challenges[index]!
  const named = message(`comparison.challenge.${code}`)
  if (challenge.estimate === undefined || challenge.lower === undefined) {
    return message('comparison.objection.contradicts-bare', { challenge: named })
  }
  const place = at.challenges[index] as unknown as Path<Ranged>
  const figures = { points: number(place.estimate, 'points'), interval: rangeInBrackets(place, at.level) }
  if (code === 'negative-control') {
    return message('comparison.objection.negative-control', {
      ...figures,
      endpoint: endpointName(
        setting.settings.plan?.negativeControl === 'none'
          ? 'veneer_chipping'
          : (setting.settings.plan?.negativeControl ?? 'veneer_chipping'),
      ),
    })
  }
  return challenge.effect === 'contradicts'
    ? message('comparison.objection.contradicts', { ...figures, challenge: named })
    : message('comparison.objection.weakens', {
        ...figures,
        challenge: named,
        // Losses in excess weaken where the direction stands, too.
        holds: sideOf(valueAt(place)) === 0 ? 'yes' : 'other',
      })
}

/** Weighted risks of both groups at each horizon. */
export function armsTable(
  result: ComparisonResult,
  at: Path<ComparisonResult>,
  setting: SectionSetting,
): Table {
  const names = namesOf(result, setting)
  const titles = {
    group: groupTitle(result.groups.group, setting.definition),
    against: groupTitle(result.groups.against, setting.definition),
  }
  return table('comparison-arms', message('comparison.arms', names), {
    columns: [
      textColumn(message('comparison.horizon')),
      estimateColumn(titles.group, 'percent'),
      estimateColumn(titles.against, 'percent'),
      estimateColumn(message('comparison.difference'), 'points'),
      textColumn(message('comparison.at-risk')),
    ],
    rows: result.arms.map(({ years }, index) => {
      const arm = at.arms[index]!
      return [
        wordCell(yearsText(years)),
        rangedCell(arm.group, 'percent'),
        rangedCell(arm.against, 'percent'),
        rangedCell(arm.difference, 'points'),
        wordCell([count(arm.atRisk.group), ' / ', count(arm.atRisk.against)]),
      ]
    }),
    notes: [
      message('comparison.arms-note', { least: String(setting.settings.leastAtRisk) }),
      ...otherHorizons(result, at),
    ],
  })
}

/** What to think of a time whose interval excludes zero where that of the answer does not. */
function otherHorizons(
  { reason, arms, horizonYears }: ComparisonResult,
  at: Path<ComparisonResult>,
): readonly Words[] {
  if (reason !== 'interval-holds-zero' || horizonYears === undefined) return []
  const others = arms.flatMap(({ years, difference }, index) =>
    years !== horizonYears && difference.lower * difference.upper > 0 ? [yearsAt(at.arms[index]!.years)] : [],
  )
  if (others.length === 0) return []
  return [
    message('comparison.other-horizon', {
      years: listOf(others),
      horizon: yearsAt(at.horizonYears),
    }),
  ]
}

/** A cell with an estimate and its range under it. */
export function rangedCell(place: Path<Ranged>, format: 'percent' | 'points'): Cell {
  const plain = (at: Path<number>): { readonly number: string } => ({
    number: numberFormats[format].plain(number(at, format).value),
  })
  const { lower, upper } = valueAt(place)
  return {
    content: number(place.estimate, format),
    ...(lower === upper ? {} : { under: rangeText(place, format) }),
    csv: [plain(place.estimate), plain(place.lower), plain(place.upper)],
  }
}

/** Caption of the forest. */
export function forestCaption({ horizonYears }: ComparisonResult): Words {
  return message('comparison.forest', { years: yearsText(horizonYears ?? 3) })
}

/** Everything that was tried against the lead, on one quantity. */
export function challengesTable(result: ComparisonResult, at: Path<ComparisonResult>): Table {
  return table('comparison-challenges', message('comparison.challenges'), {
    columns: [
      textColumn(message('comparison.tried')),
      estimateColumn(message('comparison.difference'), 'points'),
      textColumn(message('comparison.effect')),
    ],
    rows: result.challenges.flatMap(({ code, effect, estimate, lower, upper, visits, confounding }, index) =>
      // What has figures of another kind has sentences instead.
      visits !== undefined || confounding !== undefined
        ? []
        : [
            [
              wordCell(message(`comparison.challenge.${code}`)),
              estimate === undefined || lower === undefined || upper === undefined
                ? { ...emptyCell, csv: [{ text: '' }, { text: '' }, { text: '' }] }
                : rangedCell(at.challenges[index] as unknown as Path<Ranged>, 'points'),
              wordCell(message(`comparison.effect.${effect}`)),
            ],
          ],
    ),
  })
}

/** How the groups were made alike, and what else was looked at. */
export function restSentences(
  result: ComparisonResult,
  at: Path<ComparisonResult>,
  setting: SectionSetting,
): readonly Words[] {
  const { adjustedFor, leftOut, missing, overlap, within } = result
  // Where nothing can be known, an interval would pass for knowledge.
  const ends = result.verdict === 'cannot-be-known' ? undefined : result.ends
  const endpoint = endpointName(setting.definition.endpoint)
  const said: Words[] = []
  if (adjustedFor.length > 0 && overlap !== undefined) {
    said.push(
      message('comparison.adjusted-for', {
        names: listOf(adjustedFor.map(fieldName)),
        oneWay: overlap.oneWayOnly === 0 ? 'none' : 'other',
        share: number(at.overlap.oneWayOnly, 'percent'),
      }),
    )
  }
  if (missing.length > 0) {
    said.push(
      message('comparison.imputed', {
        names: listOf(missing.map(({ key }) => fieldName(key))),
        imputations: count(at.imputations),
      }),
    )
  }
  if (leftOut.length > 0) {
    const names = leftOut.map(({ key, reason }) =>
      message(`comparison.left-out.${reason}`, { name: fieldName(key) }),
    )
    said.push(message('comparison.left-out', { names: listOf(names) }))
  }
  if (ends !== undefined) {
    said.push(
      message('comparison.ends', {
        after: number(at.ends.afterLastLook.estimate, 'points'),
        afterInterval: rangeInBrackets(at.ends.afterLastLook, at.level),
        found: number(at.ends.found.estimate, 'points'),
        foundInterval: rangeInBrackets(at.ends.found, at.level),
      }),
    )
  }
  if (within?.difference !== undefined) {
    said.push(
      message('comparison.within', {
        patients: count(at.within.patients),
        discordant: count(at.within.discordant),
        endpoint,
        points: number(at.within.difference.estimate, 'points'),
        interval: rangeInBrackets(at.within.difference, at.level),
      }),
    )
  } else if (within !== undefined) {
    said.push(
      message('comparison.within-few', {
        patients: count(at.within.patients),
        discordant: count(at.within.discordant),
        endpoint,
      }),
    )
  }
  return [...said, ...contextSentences(result, at, setting)]
}

/** How often each group was looked at, and how strong something unmeasured would have to be. */
function contextSentences(
  result: ComparisonResult,
  at: Path<ComparisonResult>,
  setting: SectionSetting,
): readonly Words[] {
  if (result.verdict === 'cannot-be-compared' || result.verdict === 'cannot-be-known') return []
  const names = namesOf(result, setting)
  return result.challenges.flatMap(({ visits, confounding }, index): readonly Words[] => {
    if (visits !== undefined) {
      const place = at.challenges[index]!.visits
      return [
        message('comparison.visits', {
          group: names.group,
          against: names.against,
          groupRate: number(place.group, 'ratio'),
          againstRate: number(place.against, 'ratio'),
          difference: number(place.difference.estimate, 'correlation'),
          interval: rangeInBrackets(place.difference, at.level, 'correlation'),
        }),
      ]
    }
    if (confounding === undefined) return []
    const place = at.challenges[index]!.confounding
    return [
      sentences(
        message('comparison.confounding', {
          endpoint: names.endpoint,
          eValue: number(place.eValue, 'ratio'),
          holds: confounding.eValueOfLimit > 1 ? 'other' : 'yes',
          limit: number(place.eValueOfLimit, 'ratio'),
        }),
        confounding.strongest === undefined
          ? undefined
          : message('comparison.confounding-strongest', {
              name: fieldName(confounding.strongest.key),
              withChoice: number(place.strongest.withChoice, 'ratio'),
              withOutcome: number(place.strongest.withOutcome, 'ratio'),
              endpoint: names.endpoint,
            }),
      ),
    ]
  })
}
