import { type IStylesOptions, LineRuleType } from 'docx'
import { groupMarks, neutralInk } from '../../charts/theme.js'
import type { DocumentLayout } from '../model/document.js'

/** Twentieths of a point in a millimetre. */
const twipsPerMm = 1440 / 25.4

const inTwips = (millimetres: number): number => Math.round(millimetres * twipsPerMm)

/** Text of 160 mm, whichever the paper, so that tables and figures are alike on each. */
export const docxPage = Object.freeze({
  textWidth: inTwips(160),
  textWidthMm: 160,
  /** Tallest a figure may be, so that its caption fits on its page. */
  figureHeightMm: 205,
})

/** Papers, with margins that leave room for text of the same width and height. */
export const docxPapers = Object.freeze({
  a4: paper(210, 297),
  letter: paper(215.9, 279.4),
})

function paper(widthMm: number, heightMm: number) {
  const side = Math.round((inTwips(widthMm) - docxPage.textWidth) / 2)
  const end = inTwips((heightMm - 247) / 2)
  return Object.freeze({
    width: inTwips(widthMm),
    height: inTwips(heightMm),
    margin: Object.freeze({ top: end, bottom: end, left: side, right: side }),
  })
}

/** Size of the text of tables in half points. */
export const tableTextHalfPoints = 16

/** Names of the styles that we define beside those that Word knows. */
export const docxStyleNames = Object.freeze({
  lead: 'Lead',
  note: 'Note',
  care: 'ReadWithCare',
  cell: 'TableText',
  headCell: 'TableHead',
  generated: 'GeneratedMark',
  summary: 'SummaryLine',
  kicker: 'Kicker',
  figure: 'FigureLine',
})

/** Spelling that Word checks a language by. */
const spellings: Readonly<Record<string, string>> = { en: 'en-GB', de: 'de-DE', es: 'es-ES', fr: 'fr-FR' }

/** Lines are measured in parts of their own height; without saying so, some readers take them as points. */
const lineRule = LineRuleType.AUTO
const ink = (colour: string): string => colour.slice(1)
const text = ink(neutralInk.text.light)
const quiet = ink(neutralInk.quiet.light)
const accent = ink(groupMarks.single!.ink.light)
const warning = ink(neutralInk.warning.light)

/**
 * Styles of the document. A report is set in 10.5 points; a manuscript in 12 points, double spaced, as journals ask.
 * Both use a serif face that every office program has or stands in for.
 */
export function docxStyles(layout: DocumentLayout, language = 'en'): IStylesOptions {
  const manuscript = layout === 'manuscript'
  const leaflet = layout === 'leaflet'
  const size = manuscript ? 24 : leaflet ? 19 : 21
  const line = manuscript ? 480 : leaflet ? 245 : 288
  const body = { basedOn: 'Normal', next: 'Normal', quickFormat: true }
  const heading = (points: number, before: number) => ({
    run: { font: 'Times New Roman', size: points * 2, bold: true, color: text },
    paragraph: {
      spacing: { before: leaflet ? before / 3 : before, after: leaflet ? 40 : 120, line: 264, lineRule },
      keepNext: true,
      keepLines: true,
    },
  })
  return {
    default: {
      document: {
        run: {
          font: 'Times New Roman',
          size,
          color: text,
          language: { value: spellings[language] ?? language },
        },
        paragraph: { spacing: { after: manuscript ? 0 : leaflet ? 60 : 120, line, lineRule } },
      },
      title: {
        run: { font: 'Times New Roman', size: 40, bold: true, color: text },
        paragraph: { spacing: { before: 0, after: 120, line: 264, lineRule } },
      },
      heading1: heading(15, 360),
      heading2: heading(12, 240),
      listParagraph: { paragraph: { spacing: { after: 80, line: manuscript ? 480 : 276, lineRule } } },
    },
    paragraphStyles: [
      style(
        'Caption',
        body,
        { size: 18, bold: true, color: text },
        { spacing: { before: 200, after: 80, line: 252, lineRule } },
      ),
      style(docxStyleNames.lead, body, { size: size + 3 }, { spacing: { after: 160, line, lineRule } }),
      style(
        docxStyleNames.note,
        body,
        { size: 17, color: quiet },
        { spacing: { before: 60, after: 60, line: 240, lineRule } },
      ),
      style(docxStyleNames.care, body, { size: size - 2 }, { spacing: { after: 60, line: 264, lineRule } }),
      style(
        docxStyleNames.cell,
        body,
        { size: tableTextHalfPoints },
        { spacing: { before: 30, after: 30, line: 228, lineRule } },
      ),
      style(
        docxStyleNames.headCell,
        body,
        { size: tableTextHalfPoints, bold: true },
        { spacing: { before: 40, after: 40, line: 228, lineRule }, keepNext: true },
      ),
      style(
        docxStyleNames.generated,
        body,
        { size: 17, bold: true, color: warning },
        { alignment: 'center' },
      ),
      style(
        docxStyleNames.summary,
        body,
        { size: 20, color: quiet },
        { spacing: { after: 40, line: 264, lineRule } },
      ),
      style(
        docxStyleNames.kicker,
        body,
        { size: 18, bold: true, color: accent, allCaps: true },
        {
          spacing: { after: 60, line: 264, lineRule },
        },
      ),
      style(
        docxStyleNames.figure,
        body,
        {},
        { spacing: { before: 240, after: 60, line: 240, lineRule }, keepNext: true },
      ),
    ],
  }
}

type ParagraphStyle = NonNullable<IStylesOptions['paragraphStyles']>[number]

function style(
  id: string,
  base: Pick<ParagraphStyle, 'basedOn' | 'next' | 'quickFormat'>,
  run: NonNullable<ParagraphStyle['run']>,
  paragraph: NonNullable<ParagraphStyle['paragraph']>,
): ParagraphStyle {
  return { id, name: id.replace(/(?<=[a-z])(?=[A-Z])/g, ' '), ...base, run, paragraph }
}
