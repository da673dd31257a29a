import {
  AlignmentType,
  Document,
  type FileChild,
  Footer,
  Header,
  HeadingLevel,
  LevelFormat,
  LineNumberRestartFormat,
  Packer,
  PageNumber,
  Paragraph,
  TextRun,
} from 'docx'
import { numbersOf } from '../model/contents.js'
import { phrase, plainText, type ReportDocument, type Section } from '../model/document.js'
import { frameWords, maker } from '../model/frameWords.js'
import { blockChildren, listNumbering, paragraph, type WordContext } from './docxBlocks.js'
import { docxPapers, docxStyleNames, docxStyles } from './docxStyle.js'
import { bookmarked, phraseRuns } from './docxText.js'
import type { PaperName } from './formats.js'
import { closedPackage } from './officePackage.js'
import type { PicturesUnderWay } from './pictures.js'

/**
 * A document as Word file (ECMA-376): styles for headings and captions, tables with repeated heads, pictures with text
 * alternatives, numbers of captions as fields. A manuscript has numbered lines and double spacing. Equal documents give
 * equal bytes.
 *
 * @param pictures every figure in both sizes, with the PNG of those of the page, which Word takes
 * @param paper paper of the pages; default A4
 */
export async function documentDocx(
  document: ReportDocument,
  pictures: PicturesUnderWay,
  paper: PaperName = 'a4',
): Promise<Uint8Array> {
  const words = frameWords(document.language)
  const context = { numbers: numbersOf(document), words }
  const file = new Document({
    title: plainText(document.title),
    creator: maker,
    lastModifiedBy: maker,
    description: document.kicker,
    styles: docxStyles(document.layout ?? 'report', document.language),
    numbering: { config: [numbering(listNumbering.bullets), numbering(listNumbering.numbers)] },
    sections: [
      {
        properties: {
          page: {
            size: { width: docxPapers[paper].width, height: docxPapers[paper].height },
            margin: { ...docxPapers[paper].margin, header: 700, footer: 700 },
          },
          ...(document.layout === 'manuscript'
            ? { lineNumbers: { countBy: 1, restart: LineNumberRestartFormat.CONTINUOUS } }
            : {}),
        },
        ...(document.generated ? { headers: { default: generatedHeader(words.generated) } } : {}),
        footers: { default: pageFooter() },
        children: [
          ...headChildren(document),
          ...document.sections.flatMap((section) => sectionChildren(section, context)),
          paragraph([words.footer], docxStyleNames.note),
        ],
      },
    ],
  })
  const pngs = new Map((await pictures.files.page).map(({ id, png }) => [id, png]))
  return closedPackage(await Packer.toBuffer(file), document.date, (id) => pngs.get(id))
}

function headChildren(document: ReportDocument): FileChild[] {
  return [
    paragraph([document.kicker], docxStyleNames.kicker),
    new Paragraph({ heading: HeadingLevel.TITLE, children: phraseRuns(document.title) }),
    paragraph(phrase`${document.summary}.`, docxStyleNames.summary),
    paragraph([frameWords(document.language).made(document.date)], docxStyleNames.summary),
  ]
}

function sectionChildren(section: Section, context: WordContext): FileChild[] {
  const { aside } = section
  return [
    new Paragraph({
      heading: HeadingLevel.HEADING_1,
      children: [bookmarked(section.id, [new TextRun(section.title)])],
    }),
    ...section.blocks.flatMap((block) => blockChildren(block, context)),
    ...(aside === undefined
      ? []
      : [
          new Paragraph({ heading: HeadingLevel.HEADING_2, children: [new TextRun(aside.title)] }),
          ...aside.blocks.flatMap((block) => blockChildren(block, context, docxStyleNames.care)),
        ]),
  ]
}

function numbering(reference: string) {
  const numbered = reference === listNumbering.numbers
  return {
    reference,
    levels: [
      {
        level: 0,
        format: numbered ? LevelFormat.DECIMAL : LevelFormat.BULLET,
        text: numbered ? '%1.' : '•',
        alignment: AlignmentType.START,
        style: { paragraph: { indent: { left: 400, hanging: 300 } } },
      },
    ],
  }
}

function generatedHeader(generated: string): Header {
  return new Header({ children: [paragraph([generated], docxStyleNames.generated)] })
}

function pageFooter(): Footer {
  return new Footer({
    children: [
      new Paragraph({
        style: docxStyleNames.note,
        alignment: AlignmentType.END,
        children: [new TextRun({ children: [PageNumber.CURRENT, ' / ', PageNumber.TOTAL_PAGES] })],
      }),
    ],
  })
}
