import JSZip from 'jszip'
import { beforeAll, describe, expect, test } from 'vitest'
import { openPictureDrawer } from '../../src/charts/pictureDrawer.js'
import { beginPictures, pngsFor } from '../../src/documents/formats/pictures.js'
import { documentPptx } from '../../src/documents/formats/pptx.js'
import { slidesDocument } from '../../src/documents/kinds/slides/slidesDocument.js'
import { figuresOf, tablesOf } from '../../src/documents/model/contents.js'
import { plainText, type ReportDocument } from '../../src/documents/model/document.js'
import { type AuditResult, auditCohort } from '../../src/questions/audit.js'
import { practice, times } from '../questions/practice.js'
import { numbersIn } from './consistency.js'
import { everyAnalysis } from './everyAnalysis.js'
import { phrasesOf } from './wordChecks.js'

const options = { date: '2026-05-04', version: '0.1.0' }

const practices: Readonly<Record<string, () => AuditResult>> = {
  'every section': everyAnalysis,
  'no events': () =>
    auditCohort(
      practice([...times(20, { checks: [200, 900] }), ...times(22, { checks: [250, 800], repeated: true })]),
    ),
  'one crown': () => auditCohort(practice([{ checks: [400] }])),
}

async function written(document: ReportDocument): Promise<Uint8Array> {
  const drawer = openPictureDrawer()
  const wish = pngsFor(
    ['slides'],
    figuresOf(document).map(({ id }) => id),
  )
  const { files } = beginPictures(document, drawer, wish)
  const bytes = await documentPptx(document, await files.column)
  await drawer.close()
  return bytes
}

/** Text of a part as a reader sees it: runs joined, paragraphs apart. */
function textOf(xml: string): string {
  const entities: Readonly<Record<string, string>> = { amp: '&', lt: '<', gt: '>', quot: '"', apos: "'" }
  return [...xml.matchAll(/<a:p>(.*?)<\/a:p>/gs)]
    .map(([, paragraph]) => [...paragraph!.matchAll(/<a:t>(.*?)<\/a:t>/gs)].map(([, run]) => run).join(''))
    .join('\n')
    .replace(/&(amp|lt|gt|quot|apos);/g, (_, name: string) => entities[name]!)
}

describe.each(Object.entries(practices))('slides of a practice with %s', (_name, audited) => {
  let document: ReportDocument
  let zip: JSZip
  beforeAll(async () => {
    document = slidesDocument(audited(), options)
    zip = await JSZip.loadAsync(await written(document))
  }, 60_000)

  test('are six, each with its words, its numbers and its notes', async () => {
    const slides = Object.keys(zip.files).filter((name) => /^ppt\/slides\/slide\d+\.xml$/.test(name))
    expect(slides).toHaveLength(6)
    expect(document.sections.map(({ id }) => id)).toEqual([
      'title',
      'who',
      'often',
      'compared',
      'overturn',
      'next',
    ])
    for (const [index, section] of document.sections.entries()) {
      const text = textOf(await zip.file(`ppt/slides/slide${index + 1}.xml`)!.async('string'))
      expect(text).toContain(section.title)
      for (const phrase of section.blocks.filter(({ kind }) => kind !== 'figure').flatMap(phrasesOf)) {
        for (const one of numbersIn(phrase)) expect(text, one.path).toContain(one.text)
      }
      for (const block of section.blocks) {
        if (block.kind === 'paragraph') expect(text).toContain(plainText(block.content))
      }
      const notes = textOf(await zip.file(`ppt/notesSlides/notesSlide${index + 1}.xml`)!.async('string'))
      for (const block of section.aside!.blocks) {
        if (block.kind === 'paragraph') expect(notes).toContain(plainText(block.content))
      }
    }
  })

  test('hold real pictures with what they show in words, and no clock', async () => {
    const figures = figuresOf(document)
    const pictures = Object.keys(zip.files).filter((name) => /^ppt\/media\/.*\.png$/.test(name))
    expect(pictures).toHaveLength(figures.length)
    for (const name of pictures) {
      const png = await zip.file(name)!.async('nodebuffer')
      expect(png.subarray(1, 4).toString('latin1')).toBe('PNG')
      expect(png.readUInt32BE(16)).toBe(1063)
    }
    const xml = await Promise.all(
      Object.keys(zip.files)
        .filter((name) => /^ppt\/slides\/slide\d+\.xml$/.test(name))
        .map((name) => zip.file(name)!.async('string')),
    )
    for (const { column } of figures) {
      expect(xml.join('')).toContain(column.description.slice(0, 40).replaceAll('&', '&amp;'))
    }
    const core = await zip.file('docProps/core.xml')!.async('string')
    expect([...core.matchAll(/\d{4}-\d{2}-\d{2}T/g)].map(([day]) => day)).toEqual([
      '2026-05-04T',
      '2026-05-04T',
    ])
  })
})

test('equal documents give equal bytes, and every table is one of the summary', async () => {
  const document = slidesDocument(everyAnalysis(), options)
  const [one, other] = [await written(document), await written(document)]
  expect(Buffer.compare(one, other)).toBe(0)
  expect(tablesOf(document).map(({ id }) => id)).toEqual(['table-summary'])
}, 60_000)
