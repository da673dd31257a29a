import { linePlot } from '../../charts/linePlot.js'
import type { PlotLine, PlotMark } from '../../charts/linePlotShape.js'
import { roundAxis } from '../../charts/plotAxis.js'
import type { ChartSpecification } from '../../charts/specification.js'
import { type FigureOptions, frameOf, groupMark, neutralInk } from '../../charts/theme.js'
import { markReading } from '../../charts/words.js'
import { dayFromIso } from '../../core/calendar.js'
import { isNumber, type Quantity } from '../../core/estimate.js'
import { message, type Part } from '../../messages/message.js'
import { foreign } from '../../messages/phrase.js'
import { quantityWords, type Speaker, speaker } from '../../messages/speaker.js'
import type { ClinicChange, ProtocolChangeResult, SideOfChange } from './answer.js'

/**
 * Vega-Lite specification of a run chart of one clinic: the rate of the endpoint within the time followed by quarter of
 * delivery, the rates before and after the change, and the change itself.
 *
 * @param of one clinic, or the answer for all, of which the first clinic that changed is drawn (else the first)
 * @param options size (default page), generated (default false), language (default en)
 * @example runChart(protocolChange(cohort)).description.slice(0, 40) // => "clinic_C: events per 100 restoration-yea"
 */
export function runChart(
  of: ClinicChange | ProtocolChangeResult,
  options: FigureOptions = {},
): ChartSpecification {
  const clinic =
    'clinics' in of ? (of.clinics.find(({ change }) => change !== undefined) ?? of.clinics[0]!) : of
  const by = speaker(options.language)
  const { change } = clinic
  const drawn = clinic.quarters.flatMap((quarter) =>
    isNumber(quarter.ratePer100Years)
      ? [{ ...quarter, x: yearOf(quarter.from) + 0.125, y: quarter.ratePer100Years }]
      : [],
  )
  const ink = groupMark('all').ink.light
  const first = yearOf(clinic.quarters[0]!.from)
  const last = yearOf(clinic.quarters.at(-1)!.from) + 0.25
  const changeYear = change === undefined ? undefined : yearOf(change.from)
  const means: readonly PlotLine[] =
    change === undefined || changeYear === undefined
      ? []
      : [
          ...sideRate(change.before.ratePer100Years, first, changeYear),
          ...sideRate(change.after.ratePer100Years, changeYear, last),
        ]
  const heading = message('protocol-change.chart', {
    clinic: foreign(clinic.clinic),
    years: message('quantity.years', { years: clinic.followedYears }),
  })
  return linePlot({
    ...frameOf(options),
    heading: by.text(heading),
    description: by.text(
      message('protocol-change.chart-description', { heading, quarters: inWords(clinic, by) }),
    ),
    lines: [
      { label: '', color: ink, dash: [1, 0], points: drawn, interpolate: 'linear', band: false, thin: true },
      ...means,
    ],
    marks: drawn.map(
      ({ x, y, from, restorations }): PlotMark => ({
        x,
        y,
        reading: markReading(
          by.text(message('protocol-change.chart-quarter', { from: dayFromIso(from)! })),
          by.text(message('protocol-change.chart-rate', { rate: by.number(y, 'rate') })),
          by.text(message('protocol-change.chart-restorations', { restorations })),
        ),
        color: ink,
        shape: 'circle',
        open: restorations < fewRestorations,
      }),
    ),
    spans: [],
    rules:
      changeYear === undefined
        ? []
        : [
            {
              axis: 'x',
              at: changeYear,
              text: by.text(message('protocol-change.chart-changed', { from: dayFromIso(change!.from)! })),
              dash: [4, 3],
            },
          ],
    x: roundAxis(Math.floor(first), Math.ceil(last), {
      title: by.text(message('protocol-change.chart-axis')),
      format: (year) => by.number(year, 'calendar-year'),
      whole: true,
    }),
    y: roundAxis(0, headroom * Math.max(1, ...drawn.map(({ y }) => y)), {
      title: '',
      format: (rate) => by.number(rate, 'plain'),
    }),
    notes: [
      ...(means.length > 0 ? [by.text(message('protocol-change.chart-means'))] : []),
      ...(drawn.some(({ restorations }) => restorations < fewRestorations)
        ? [by.text(message('protocol-change.chart-open', { restorations: fewRestorations }))]
        : []),
    ],
  })
}

/** Keeps the words on the change clear of the highest mark. */
const headroom = 1.12

/** Quarters with fewer restorations have an open mark. */
const fewRestorations = 10

function yearOf(iso: string): number {
  return Number(iso.slice(0, 4)) + (Number(iso.slice(5, 7)) - 1) / 12 + (Number(iso.slice(8, 10)) - 1) / 365
}

function sideRate(rate: Quantity, from: number, to: number): readonly PlotLine[] {
  if (!isNumber(rate)) return []
  const points = [from, to].map((x) => ({ x, y: rate }))
  return [
    { label: '', color: neutralInk.warning.light, dash: [6, 3], points, interpolate: 'linear', band: false },
  ]
}

function inWords({ change, quarters }: ClinicChange, by: Speaker): Part {
  const counted = message('protocol-change.chart-counted', {
    quarters: quarters.length,
    from: dayFromIso(quarters[0]!.from)!,
  })
  if (change === undefined) return counted
  const side = ({ share, ratePer100Years }: SideOfChange) =>
    message('protocol-change.chart-side', {
      share: quantityWords(share, 'percent', by),
      rate: quantityWords(ratePer100Years, 'rate', by),
    })
  const { before, after } = change
  const from = dayFromIso(change.from)!
  const sides = message('protocol-change.chart-sides', { from, before: side(before), after: side(after) })
  return by.text([counted, ' ', sides])
}
