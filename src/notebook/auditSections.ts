import { sectionFragment } from '../documents/formats/fragment.js'
import { auditDocument } from '../documents/kinds/auditDocument.js'
import { documentOfKind } from '../documents/kinds/auditKinds.js'
import { silentWithFewEvents } from '../documents/kinds/shortReport.js'
import { plainText, type ReportDocument, type Section } from '../documents/model/document.js'
import { wordedBlocks } from '../documents/model/worded.js'
import { message } from '../messages/message.js'
import { speaker } from '../messages/speaker.js'
import type { AuditResult } from '../questions/audit.js'
import { fewEventsBelow } from '../questions/howOften/fewEvents.js'
import { alone, type OwnResult, ownBlocksOf, ownQuestionOf } from '../questions/registry.js'
import { drawnSvg } from './drawing.js'
import type { MimeBundle } from './mimeOutput.js'
import { wantsNarrow } from './narrowCharts.js'
import { version } from './version.js'

/** A section of a document made of an audit, and whether its data are generated; undefined where none has that name. */
export function auditSection(
  audit: AuditResult,
  id: string,
): { readonly section: Section; readonly generated: boolean } | undefined {
  for (const { sections, generated } of documentsOf(audit)) {
    const section = sections.find((one) => one.id === id)
    if (section !== undefined) return { section, generated }
  }
  return undefined
}

/** A section of a document made of an audit as the output of a cell; undefined where none has that name. */
export async function sectionBundle(audit: AuditResult, id: string): Promise<MimeBundle | undefined> {
  const found = auditSection(audit, id)
  if (found !== undefined) return sectionOutput(found.section, found.generated)
  // A section that a report has where more is known is no mistake of the cell.
  if (!silentWithFewEvents.includes(id)) return undefined
  const { events } = audit.incidence.overall
  const silent = speaker().text(message('shown.silent-section', { events, least: fewEventsBelow }))
  return { 'text/markdown': silent, 'text/plain': silent }
}

/** A section as the output of a cell. */
export async function sectionOutput(section: Section, generated: boolean): Promise<MimeBundle> {
  const html = await sectionFragment(section, { generated, draw: drawnSvg, narrow: wantsNarrow() })
  return { 'text/html': withoutDeadLinks(html), 'text/plain': sectionText(section) }
}

/** Names of the sections of an audit: those of its report, then those that only its whole evidence or the draft of a manuscript has. */
export function sectionNames(audit: AuditResult): readonly string[] {
  return [...new Set(documentsOf(audit).flatMap(({ sections }) => sections.map((one) => one.id)))]
}

function documentsOf(audit: AuditResult): readonly ReportDocument[] {
  const options = { date: '', version }
  return [
    documentOfKind(audit, 'audit', options),
    auditDocument(audit, options),
    documentOfKind(audit, 'case-series', options),
  ]
}

/** Links to other sections lead nowhere in a cell: their words stay. */
function withoutDeadLinks(html: string): string {
  return html.replace(/<a href="#([^"]*)"[^>]*>(.*?)<\/a>/g, (link, target: string, words: string) =>
    html.includes(`id="${target}"`) ? link : words,
  )
}

/** The running text of a section, for terminals. */
function sectionText(section: Section): string {
  return section.blocks
    .map((block) => (block.kind === 'paragraph' ? plainText(block.content) : ''))
    .filter((text) => text !== '')
    .join('\n')
}

/** What is said of the answer to a question on the practice's own records, as its page has it. */
export function ownBundle(result: OwnResult): Promise<MimeBundle> {
  const { kind, generated } = result
  const { title } = ownQuestionOf(result)
  const blocks = wordedBlocks(ownBlocksOf(result), speaker(), { generated, full: true })
  return sectionOutput({ id: kind, title: speaker().text(title), blocks }, generated)
}

/** What is said of the answer to a question of the audit that was asked by itself, as the report has it. */
export function answerBundle(result: object): Promise<MimeBundle> {
  const { title, blocks, generated } = alone(result)!
  const say = speaker()
  const worded = wordedBlocks(blocks, say, { generated, full: true })
  return sectionOutput({ id: 'answer', title: say.text(title), blocks: worded }, generated)
}
