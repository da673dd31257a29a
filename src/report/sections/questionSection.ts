import type { AuditResult } from '../../analysis/audit.js'
import type { Message } from '../../messages/message.js'
import { speaker } from '../../messages/speaker.js'
import { blocksOf, type QuestionKind } from '../../questions/registry.js'
import type { Block, Section } from '../document.js'
import { wordedBlocks } from '../worded.js'
import type { SectionContext } from './context.js'

/** A section made of the answers to some questions; without blocks where none could be asked. */
export function questionSection(
  id: string,
  title: Message,
  kinds: readonly QuestionKind[],
): (context: Pick<SectionContext, 'audit'>) => Section {
  return ({ audit }) => ({ id, title: speaker().text(title), blocks: questionBlocks(kinds, audit) })
}

/** What is said of the answers to some questions. */
export function questionBlocks(kinds: readonly QuestionKind[], audit: AuditResult): readonly Block[] {
  const blocks = blocksOf(kinds, audit, { definition: audit.definition, settings: audit.settings })
  return wordedBlocks(blocks, speaker(), {
    generated: audit.summary.source.generated,
    full: audit.settings.detail === 'full',
  })
}
