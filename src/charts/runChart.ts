import type { ClinicChange } from '../analysis/protocolChange.js'
import { isNumber, type Quantity } from '../core/estimate.js'
import { formatNumber, formatPercent, formatQuantity, formatRate } from '../core/format.js'
import { linePlot } from './linePlot.js'
import type { PlotLine, PlotMark } from './linePlotShape.js'
import { roundAxis } from './plotAxis.js'
import type { ChartSpecification } from './specification.js'
import { type FigureOptions, groupMark, neutralInk } from './theme.js'
import { countedNoun, markReading, printable, yearsInWords } from './words.js'

/**
 * Vega-Lite specification of a run chart of one clinic: the rate of the endpoint within the time followed by quarter of
 * delivery, the rates before and after the change, and the change itself.
 *
 * @param clinic quarters of one clinic with its change
 * @param options size (default page), generated (default false)
 */
export function runChart(clinic: ClinicChange, options: FigureOptions = {}): ChartSpecification {
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
  const heading = `${printable(clinic.clinic)}: events per 100 restoration-years within ${yearsInWords(clinic.followedYears)}, by quarter of delivery`
  return linePlot({
    size: options.size ?? 'page',
    generated: options.generated ?? false,
    heading,
    description: `${heading}. ${inWords(clinic)}`,
    lines: [
      { label: '', color: ink, dash: [1, 0], points: drawn, interpolate: 'linear', band: false, thin: true },
      ...means,
    ],
    marks: drawn.map(
      ({ x, y, from, restorations }): PlotMark => ({
        x,
        y,
        reading: markReading(
          `Quarter from ${from}`,
          `${formatRate(y)} per 100 restoration-years`,
          countedNoun(restorations, 'restoration'),
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
        : [{ axis: 'x', at: changeYear, text: `changed from ${change!.from}`, dash: [4, 3] }],
    x: roundAxis(Math.floor(first), Math.ceil(last), {
      title: 'Delivered in',
      format: (year) => formatNumber(year, 0),
      whole: true,
    }),
    y: roundAxis(0, headroom * Math.max(1, ...drawn.map(({ y }) => y)), {
      title: '',
      format: (rate) => formatNumber(rate, Number.isInteger(rate) ? 0 : 1),
    }),
    notes: [
      ...(means.length > 0 ? ['Dashed: rate of all quarters before, and of all after.'] : []),
      ...(drawn.some(({ restorations }) => restorations < fewRestorations)
        ? [`Open mark: fewer than ${fewRestorations} restorations.`]
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

function inWords({ change, quarters }: ClinicChange): string {
  const counted = `${quarters.length} quarters from ${quarters[0]!.from}.`
  if (change === undefined) return counted
  const side = ({ share, ratePer100Years }: typeof change.before): string =>
    `${formatQuantity(share, formatPercent)} tightened again, rate ${formatQuantity(ratePer100Years, formatRate)}`
  return `${counted} Before ${change.from}: ${side(change.before)}; from then on: ${side(change.after)}.`
}
