import { firstLanguage } from '../../messages/catalogue.js'
import { type Message, message, type Words } from '../../messages/message.js'
import { speaker } from '../../messages/speaker.js'
import type { AuditResult } from '../../questions/audit.js'
import { paragraph, type Block as UnwordedBlock } from '../../questions/words/blocks.js'
import type { Block, ReportDocument, Section } from '../model/document.js'
import { wordedBlocks } from '../model/worded.js'
import { arrayFigure } from '../sections/wordsSection.js'
import type { ReportOptions } from './auditDocument.js'
import {
  adviceForPatient,
  comparisonForPatient,
  leafletSummary,
  leafletTitle,
  limitsForPatient,
  riskForPatient,
} from './leafletWords.js'

/** What a leaflet needs to know besides the results. */
export interface LeafletOptions extends ReportOptions {
  /** Language of the text; default `en`. */
  readonly language?: string
  /** Whether the two ways of tightening are set beside each other; default no. */
  readonly comparison?: boolean
}

/** What a leaflet says, whichever edition it is of. */
export interface LeafletParts {
  readonly title: Words
  readonly summary: Words
  readonly risk: Words
  readonly array: readonly UnwordedBlock[]
  readonly advice: readonly Words[]
  /** Absent where nothing was compared, or no comparison was asked for. */
  readonly compared?: Words
  readonly limits: readonly Words[]
}

/** One page for patients: how often as a natural frequency, what to do, and what the numbers cannot tell. */
export function leafletDocument(audit: AuditResult, options: LeafletOptions): ReportDocument {
  const { source, neverChecked } = audit.summary
  return leafletOf(
    {
      title: leafletTitle(audit),
      summary: leafletSummary(audit),
      risk: riskForPatient(audit),
      array: arrayFigure(audit),
      advice: adviceForPatient(audit),
      ...(options.comparison !== true || audit.tightening === undefined
        ? {}
        : { compared: comparisonForPatient(audit) }),
      limits: limitsForPatient({ generated: source.generated, neverChecked: neverChecked > 0 }),
    },
    { ...options, generated: source.generated },
  )
}

/** A leaflet from what it says. */
export function leafletOf(
  parts: LeafletParts,
  { generated, date, language }: Pick<LeafletOptions, 'date' | 'language'> & { readonly generated: boolean },
): ReportDocument {
  const by = speaker(language)
  const worded = (...blocks: readonly UnwordedBlock[]): readonly Block[] =>
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
    title: by.phrase(parts.title),
    kicker: by.text(message('leaflet.kicker')),
    summary: by.phrase(parts.summary),
    generated,
    date,
    language: by.language,
    sections: [
      section('answer', message('leaflet.often'), worded(paragraph(parts.risk, 'lead'), ...parts.array)),
      listed('means', message('leaflet.means'), parts.advice),
      ...(parts.compared === undefined
        ? []
        : [section('compared', message('leaflet.compared'), worded(paragraph(parts.compared)))]),
      listed('limits', message('leaflet.limits'), [
        ...parts.limits,
        ...(by.language === firstLanguage ? [] : [message('document.translated')]),
      ]),
      listed('contact', message('leaflet.contact'), [
        message('leaflet.contact-practice'),
        message('leaflet.contact-nights'),
      ]),
    ],
  }
}
