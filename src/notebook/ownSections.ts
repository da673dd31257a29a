import { wordedBlocks } from '../documents/model/worded.js'
import { speaker } from '../messages/speaker.js'
import { alone, type OwnResult, ownBlocksOf, ownQuestionOf } from '../questions/registry.js'
import { sectionOutput } from './auditSections.js'
import type { MimeBundle } from './mimeOutput.js'

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
