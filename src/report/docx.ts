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
import JSZip from 'jszip'
import { numbersOf } from './contents.js'
import { phrase, plainText, type ReportDocument, type Section } from './document.js'
import { blockChildren, listNumbering, paragraph, type WordContext } from './docxBlocks.js'
import { docxPage, docxStyleNames, docxStyles } from './docxStyle.js'
import { bookmarked, phraseRuns } from './docxText.js'
import type { PictureFile, PicturesUnderWay } from './pictures.js'
import { labels } from './wording.js'

/**
 * A document as Word file (ECMA-376): styles for headings and captions, tables with repeated heads, pictures with text
 * alternatives, numbers of captions as fields. A manuscript has numbered lines and double spacing. Equal documents give
 * equal bytes.
 *
 * @param pictures every figure in both sizes; Word takes those of the page, and is written while they are drawn
 */
export async function documentDocx(
  document: ReportDocument,
  pictures: PicturesUnderWay,
): Promise<Uint8Array> {
  const context = { numbers: numbersOf(document) }
  const file = new Document({
    title: plainText(document.title),
    creator: labels.maker,
    lastModifiedBy: labels.maker,
    description: document.kicker,
    styles: docxStyles(document.layout ?? 'report'),
    numbering: { config: [numbering(listNumbering.bullets), numbering(listNumbering.numbers)] },
    sections: [
      {
        properties: {
          page: {
            size: { width: docxPage.width, height: docxPage.height },
            margin: marginsAll(docxPage.margin),
          },
          ...(document.layout === 'manuscript'
            ? { lineNumbers: { countBy: 1, restart: LineNumberRestartFormat.CONTINUOUS } }
            : {}),
        },
        ...(document.generated ? { headers: { default: generatedHeader() } } : {}),
        footers: { default: pageFooter() },
        children: [
          ...headChildren(document),
          ...document.sections.flatMap((section) => sectionChildren(section, context)),
          paragraph([labels.footer], docxStyleNames.note),
        ],
      },
    ],
  })
  return closed(await Packer.toBuffer(file), document.date, await pictures.files.page)
}

function headChildren(document: ReportDocument): FileChild[] {
  return [
    paragraph([document.kicker], docxStyleNames.kicker),
    new Paragraph({ heading: HeadingLevel.TITLE, children: phraseRuns(document.title) }),
    paragraph(phrase`${document.summary}.`, docxStyleNames.summary),
    paragraph([`${labels.made} ${document.date}`], docxStyleNames.summary),
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

function generatedHeader(): Header {
  return new Header({ children: [paragraph([labels.generatedStrip], docxStyleNames.generated)] })
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

function marginsAll(margin: number) {
  return { top: margin, right: margin, bottom: margin, left: margin, header: 700, footer: 700 }
}

/**
 * The same package with the clock of the machine taken out: the day of making stands in the properties, the files in
 * the archive carry the first day that a ZIP archive knows. Pictures, which are compressed already, are stored where
 * their figures hold their place.
 */
async function closed(
  bytes: Uint8Array,
  date: string,
  pictures: readonly PictureFile[],
): Promise<Uint8Array> {
  const pngs = new Map(pictures.map(({ id, png }) => [id, png]))
  const zip = await JSZip.loadAsync(bytes)
  const fresh = new JSZip()
  const made = `${/^\d{4}-\d{2}-\d{2}$/.test(date) ? date : '1980-01-01'}T00:00:00Z`
  for (const [name, entry] of Object.entries(zip.files)) {
    if (entry.dir) continue
    const options = { date: new Date('1980-01-01T00:00:00Z'), createFolders: false }
    if (name === 'docProps/core.xml') {
      const properties = await entry.async('string')
      fresh.file(name, properties.replace(/\d{4}-\d{2}-\d{2}T[\d:.]+Z/g, made), options)
    } else if (name.endsWith('.png')) {
      fresh.file(name, pngs.get(await entry.async('string'))!, { ...options, compression: 'STORE' })
    } else {
      fresh.file(name, await entry.async('uint8array'), options)
    }
  }
  return fresh.generateAsync({ type: 'uint8array', compression: 'DEFLATE', compressionOptions: { level: 6 } })
}
