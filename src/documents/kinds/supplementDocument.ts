import { firstLanguage } from '../../messages/catalogue.js'
import { message } from '../../messages/message.js'
import { speaker } from '../../messages/speaker.js'
import type { AuditResult } from '../../questions/audit.js'
import { type Block, paragraph, type ReportDocument } from '../model/document.js'
import { languageOf } from '../model/documentLanguages.js'
import { auditDocument, type ReportOptions } from './auditDocument.js'
import { shortReport } from './shortReport.js'

/** Sections that the report has whole. */
const inReport: readonly string[] = ['answer', 'limitations', 'cautions']

/** Everything that the report leaves out, each once. */
export function supplementDocument(audit: AuditResult, options: ReportOptions): ReportDocument {
  const by = speaker(languageOf(options.language, 'supplement'))
  const evidence = auditDocument(audit, options)
  const shown = new Set(shortReport(audit, options).sections.flatMap(({ blocks }) => blocks.map(keyOf)))
  const translated: readonly Block[] =
    by.language === firstLanguage ? [] : [paragraph(by.phrase(message('document.translated')), 'note')]
  const sections = evidence.sections
    .filter(({ id }) => !inReport.includes(id))
    .map(({ id, title, blocks }) => ({
      id,
      title,
      blocks: [
        ...withoutBareHeadings(blocks.filter((block) => !shown.has(keyOf(block)))),
        ...(id === 'provenance' ? translated : []),
      ],
    }))
  return {
    ...evidence,
    kicker: by.text(message('documents.supplement')),
    numbering: 'S',
    sections: sections.filter(({ blocks }) => blocks.length > 0),
  }
}

/** Tables and figures are known by name, text by what it says. */
function keyOf(block: Block): string {
  return 'id' in block ? block.id : JSON.stringify(block)
}

function withoutBareHeadings(blocks: readonly Block[]): readonly Block[] {
  return blocks.filter(
    (block, index) => block.kind !== 'heading' || !['heading', undefined].includes(blocks[index + 1]?.kind),
  )
}
