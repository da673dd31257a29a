import { message } from '../messages/message.js'
import { speaker } from '../messages/speaker.js'
import { type OwnResult, ownBlocksOf } from '../questions/registry.js'
import type { ReportDocument, Section } from '../report/document.js'
import { sectionFragment } from '../report/fragment.js'
import { wordedBlocks } from '../report/worded.js'
import { sectionText } from './auditSections.js'
import { drawnSvg } from './drawing.js'
import type { MimeBundle } from './mimeOutput.js'
import { wantsNarrow } from './narrowCharts.js'

/** What is said of the answer to a question on the practice's own records, as its page has it. */
export async function ownBundle(result: OwnResult): Promise<MimeBundle> {
  const { kind, generated } = result
  const title = kind === 'needed' ? message('needed.section-answer') : message('watch.heading')
  const section: Section = {
    id: kind,
    title: speaker().text(title),
    blocks: wordedBlocks(ownBlocksOf(result), speaker(), { generated, full: true }),
  }
  const document: ReportDocument = {
    title: [],
    kicker: '',
    summary: [],
    generated,
    date: '',
    sections: [section],
  }
  const html = await sectionFragment(document, section, { draw: drawnSvg, narrow: wantsNarrow() })
  return { 'text/html': html, 'text/plain': sectionText(section) }
}
