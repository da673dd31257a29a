import type { CohortSummary } from '../cohort/attrition.js'
import { message } from '../messages/message.js'
import { type Speaker, speaker } from '../messages/speaker.js'
import { edgePx, framedWithFoot, headingLayers, headingLines, plotWidth, textLayer } from './frame.js'
import type { ChannelDefinition, ChartLayer, ChartSpecification } from './specification.js'
import { widestText, wrapText } from './textWidth.js'
import { type FigureOptions, figureMeasures, neutralInk } from './theme.js'
import { markReading, printable } from './words.js'

/** How complete one field is, as the cohort hands it on. */
export type ChartedField = CohortSummary['quality']['completeness'][number]

interface FieldRow {
  readonly label: string
  readonly share: number
  readonly text: string
}

/**
 * Vega-Lite specification of how complete the fields are: a bar for each field that is not known in every row, least
 * complete first. Fields that are complete are counted in the heading only.
 *
 * @param fields completeness of every field that the source has
 * @param options size (default page), generated (default false)
 * @example completenessChart(records.quality.completeness).description.slice(0, 40) // => "Fields not known in every row (31 of 65 "
 */
export function completenessChart(
  fields: readonly ChartedField[],
  options: FigureOptions = {},
): ChartSpecification {
  const size = options.size ?? 'page'
  const measures = figureMeasures[size]
  const { textPx, smallTextPx, leadPx, widthPx } = measures
  const by = speaker(options.language)
  const rows = incompleteFields(fields, by)
  const narrow = size === 'column'
  const labels = rows.map((row) =>
    wrapText(row.label, widthPx * (narrow ? 0.44 : 0.4), smallTextPx, { mostLines: 2 }),
  )
  const heading = headingLines(headingOf(fields.length - rows.length, fields.length, by), size)
  const margins = {
    left: Math.ceil(edgePx + Math.max(40, widestText(labels.flat(), smallTextPx) + 10)),
    right: Math.ceil(edgePx + widestText([...rows.map((row) => row.text), '100%'], smallTextPx) + 10),
    top: edgePx + heading.length * leadPx + 8,
    bottom: 0,
  }
  const width = plotWidth(size, margins)
  const places = rowPlaces(labels, leadPx)
  const height = places.bottom
  const footTop = height + smallTextPx + 13 + leadPx + 6
  return framedWithFoot({
    size,
    language: by.language,
    margins,
    foot: { notes: [], generated: options.generated ?? false, topPx: footTop },
    plotHeightPx: height,
    heading: heading.join(' '),
    description: `${heading.join(' ')} ${rows.map((row) => `${row.label}: ${row.text}`).join('. ')}.`,
    layers: [
      barLayer(rows, places.middles),
      ...rowTexts(rows, labels, places.middles, { smallTextPx, right: width + margins.right - edgePx }),
      ...headingLayers(heading, measures, margins),
      textLayer({
        text: by.text(message('chart.share-known')),
        x: narrow ? widthPx / 2 - margins.left : width / 2,
        y: height + smallTextPx + 13 + leadPx / 2,
        align: 'center',
        sizePx: textPx,
      }),
    ],
  })
}

/** The name of each field before its bar, the share and its denominator behind. */
function rowTexts(
  rows: readonly FieldRow[],
  labels: readonly (readonly string[])[],
  middles: readonly number[],
  place: { readonly smallTextPx: number; readonly right: number },
): ChartLayer[] {
  const style = { align: 'right', sizePx: place.smallTextPx } as const
  return rows.flatMap((row, index) => {
    const lines = labels[index]!
    return [
      ...lines.map((text, line) =>
        textLayer({
          ...style,
          text,
          x: -8,
          y: middles[index]! + (line - (lines.length - 1) / 2) * place.smallTextPx * 1.15,
        }),
      ),
      textLayer({ ...style, text: row.text, x: place.right, y: middles[index]! }),
    ]
  })
}

function headingOf(complete: number, fields: number, by: Speaker): string {
  return by.text(
    complete === fields
      ? message('chart.fields-complete', { fields })
      : message('chart.fields-incomplete', { complete, fields }),
  )
}

function incompleteFields(fields: readonly ChartedField[], by: Speaker): FieldRow[] {
  return fields
    .filter((field) => field.unknown > 0)
    .map((field) => {
      const rows = field.known + field.unknown
      return {
        label: `${field.table}: ${printable(field.field)}`,
        share: field.known / rows,
        text: by.text(
          message('chart.field-share', {
            share: by.number(field.known / rows, 'percent'),
            rows: by.number(rows, 'count'),
          }),
        ),
      }
    })
    .sort((a, b) => a.share - b.share || (a.label < b.label ? -1 : 1))
}

function rowPlaces(labels: readonly (readonly string[])[], leadPx: number) {
  const middles: number[] = []
  let bottom = 0
  for (const lines of labels) {
    const height = lines.length * leadPx + 4
    middles.push(bottom + height / 2)
    bottom += height
  }
  return { middles, bottom: Math.max(bottom, 10) }
}

function barLayer(rows: readonly FieldRow[], middles: readonly number[]): ChartLayer {
  const x: ChannelDefinition = {
    field: 'from',
    type: 'quantitative',
    scale: { domain: [0, 1], nice: false, zero: false },
    axis: { title: null, values: [0, 0.5, 1], format: '.0%', grid: true },
  }
  return {
    name: 'known',
    data: {
      values: rows.map((row, index) => ({
        from: 0,
        known: row.share,
        top: middles[index]! - 5,
        bottom: middles[index]! + 5,
        reading: markReading(row.label, row.text),
      })),
    },
    mark: { type: 'rect', color: neutralInk.quiet.light, opacity: 1 },
    encoding: {
      x,
      x2: { field: 'known' },
      y: { field: 'top', type: 'quantitative', scale: null, axis: null },
      y2: { field: 'bottom' },
      tooltip: { field: 'reading', type: 'nominal' },
    },
  }
}
