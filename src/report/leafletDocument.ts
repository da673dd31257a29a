import type { AuditResult } from '../analysis/audit.js'
import { type Message, message, type Words } from '../messages/message.js'
import { speaker } from '../messages/speaker.js'
import { paragraph } from '../questions/blocks.js'
import type { ReportOptions } from './auditDocument.js'
import type { Block, ReportDocument, Section } from './document.js'
import {
  adviceForPatient,
  comparisonForPatient,
  leafletSummary,
  leafletTitle,
  limitsForPatient,
  riskForPatient,
} from './leafletWords.js'
import { arrayFigure } from './sections/wordsSection.js'
import { wordedBlocks } from './worded.js'

/** What a leaflet needs to know besides the results. */
export interface LeafletOptions extends ReportOptions {
  /** Language of the text; default `en`. */
  readonly language?: string
}

/** One page for patients: how often as a natural frequency, what to do, and what the numbers cannot tell. */
export function leafletDocument(audit: AuditResult, options: LeafletOptions): ReportDocument {
  const by = speaker(options.language)
  const { generated } = audit.summary.source
  const worded = (...blocks: Parameters<typeof wordedBlocks>[0]): readonly Block[] =>
    wordedBlocks(blocks, by, { generated, full: true })
  const section = (id: string, title: Message, blocks: readonly Block[]): Section => ({
    id,
    title: by.text(title),
    blocks,
  })
  const listed = (id: string, title: Message, items: readonly Words[]): Section =>
    section(id, title, worded({ kind: 'list', items }))
  return {
    layout: 'leaflet',
    title: by.phrase(leafletTitle(audit)),
    kicker: by.text(message('leaflet.kicker')),
    summary: by.phrase(leafletSummary(audit)),
    generated,
    date: options.date,
    sections: [
      section('answer', message('leaflet.often'), [
        ...worded(paragraph(riskForPatient(audit), 'lead')),
        ...arrayFigure(audit, by),
      ]),
      listed('means', message('leaflet.means'), adviceForPatient(audit)),
      ...(audit.tightening === undefined
        ? []
        : [section('compared', message('leaflet.compared'), worded(paragraph(comparisonForPatient(audit))))]),
      listed('limits', message('leaflet.limits'), limitsForPatient(audit)),
      listed('contact', message('leaflet.contact'), [
        message('leaflet.contact-practice'),
        message('leaflet.contact-nights'),
      ]),
    ],
  }
}
