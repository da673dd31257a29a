import type { AssumptionKey, ComparisonVariant, FairComparison } from '../../analysis/fairComparison.js'
import type { ChartSpecification } from '../../charts/specification.js'
import type { FigureOptions } from '../../charts/theme.js'
import { assumptionWords, scaleNames, variantNameAt } from '../../charts/variantWords.js'
import { printable } from '../../charts/words.js'
import { captionedTable, type TableParts } from '../captioned.js'
import { estimateCell, estimateColumn, numberCell, numberColumn, textColumn, wordCell } from '../cells.js'
import { type Cell, type Figure, foreign, type Table } from '../document.js'
import { type FairCaption, fairLabels, formatOfScale } from '../wording.js'
import { captionedFigure, type SectionContext } from './context.js'
import { warningNotes } from './warningNotes.js'

/** A table of the fair comparison by its name. */
export function fairTable(id: FairCaption, parts: TableParts): Table {
  return captionedTable(id, fairLabels.captions[id], parts)
}

/** A figure of the fair comparison in its two sizes. */
export function fairFigure(
  id: FairCaption,
  context: SectionContext,
  draw: (options: FigureOptions) => ChartSpecification,
): Figure {
  return captionedFigure(id, fairLabels.captions[id], context, draw)
}

/** Kinds of scale that share a table. */
const scalesOf = {
  'fair-differences': (scale: string) => scale === 'risk-difference',
  'fair-ratios': (scale: string) => scale.endsWith('ratio'),
  'fair-means': (scale: string) => scale.endsWith('mean-difference') || scale === 'time-lost-difference',
} as const

/** Every variant on one kind of scale, with what it allows for and what it takes for granted. */
export function variantTable(context: SectionContext, id: keyof typeof scalesOf): Table | undefined {
  const fair = context.audit.fair!
  const chosen = fair.variants
    .map((variant, index) => ({ variant, index }))
    .filter(({ variant }) => scalesOf[id](variant.scale))
  if (chosen.length === 0) return undefined
  const { columns } = fairLabels
  const title =
    id === 'fair-differences' ? columns.difference : id === 'fair-ratios' ? columns.ratio : columns.mean
  const format = formatOfScale(chosen[0]!.variant.scale)
  const name = (variant: ComparisonVariant): string => variantNameAt(variant, fair.horizonYears)
  const sets = [...new Set(chosen.map(({ variant }) => allowedFor(variant)))].filter((set) => set !== '')
  const letters = assumptionLetters(chosen.map(({ variant }) => variant))
  return fairTable(id, {
    columns: [
      textColumn(columns.variant),
      estimateColumn(title, format),
      textColumn(columns.allowsFor),
      textColumn(columns.assumes),
      numberColumn(columns.restorations),
      numberColumn(columns.events),
    ],
    rows: chosen.map(({ variant, index }) => {
      const at = `fair.variants.${index}.contrast`
      return [
        nameCell(
          variant,
          fair.lead.variant === variant.key ? `${name(variant)} ${leadMark(fair)}`.trim() : name(variant),
          id,
        ),
        estimateCell(context.cite, at, format),
        allowedCell(variant, sets),
        assumptionCell(variant, letters),
        numberCell(context.cite, `${at}.n`, 'count'),
        numberCell(context.cite, `${at}.events`, 'count'),
      ]
    }),
    notes: [
      ...(sets.length === 0 ? [] : [[foreign(sets.map((set, i) => `${i + 1}: ${set}`).join('; ')), '.']]),
      [
        [...letters].map(([assumption, letter]) => `${letter}: ${assumptionWords[assumption]}`).join('; ') +
          '.',
      ],
      ...warningNotes(
        context.audit,
        chosen.map(({ variant }) => ({ group: name(variant), warnings: variant.contrast.warnings })),
      ),
    ],
  })
}

/** What a variant allows for besides follow-up, competing events and patients. */
function allowedFor({ adjustedFor }: ComparisonVariant): string {
  return adjustedFor.map(printable).join(', ')
}

/** Number of what a variant allows for, which the note under the table spells out; in CSV the words. */
function allowedCell(variant: ComparisonVariant, sets: readonly string[]): Cell {
  const allowed = allowedFor(variant)
  return {
    content: [allowed === '' ? '–' : String(sets.indexOf(allowed) + 1)],
    csv: [{ text: allowed === '' ? '–' : allowed }],
  }
}

/** A letter for each assumption that occurs, in the order in which they occur. */
function assumptionLetters(variants: readonly ComparisonVariant[]): ReadonlyMap<AssumptionKey, string> {
  const letters = new Map<AssumptionKey, string>()
  for (const assumption of variants.flatMap(({ assumes }) => assumes)) {
    if (!letters.has(assumption)) letters.set(assumption, String.fromCharCode(97 + letters.size))
  }
  return letters
}

/** Letters of what a variant takes for granted, which the note under the table spells out; in CSV the words. */
function assumptionCell({ assumes }: ComparisonVariant, letters: ReadonlyMap<AssumptionKey, string>): Cell {
  return {
    content: [
      assumes
        .map((assumption) => letters.get(assumption)!)
        .sort()
        .join(' '),
    ],
    csv: [{ text: assumes.map((assumption) => assumptionWords[assumption]).join('; ') }],
  }
}

/** Marks the row that leads; nothing where none does. */
function leadMark({ lead }: FairComparison): string {
  return lead.kind === 'estimate' || lead.kind === 'range' ? fairLabels.leads : ''
}

/** Name of a variant; where the scales of a table differ, with its scale. */
function nameCell(variant: ComparisonVariant, name: string, id: keyof typeof scalesOf): Cell {
  const mixed = id === 'fair-means' || variant.scale === 'subdistribution-hazard-ratio'
  return wordCell(mixed ? `${name}: ${scaleNames[variant.scale].toLowerCase()}` : name)
}
