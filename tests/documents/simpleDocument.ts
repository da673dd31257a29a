import { type Block, phrase, type ReportDocument } from '../../src/documents/model/document.js'

/** A document of one section with one block. */
export function simpleDocument(block: Block): ReportDocument {
  return {
    layout: 'report',
    title: phrase`A title`,
    kicker: 'A kicker',
    summary: phrase`A summary`,
    generated: false,
    date: '2026-05-04',
    sections: [{ id: 'one', title: 'One', blocks: [block] }],
  }
}
