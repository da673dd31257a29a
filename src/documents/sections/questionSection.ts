import type { Message } from '../../messages/message.js'
import { blocksOf, type QuestionKind } from '../../questions/registry.js'
import { settingOf } from '../model/citation.js'
import type { Block, Section } from '../model/document.js'
import { wordedBlocks } from '../model/worded.js'
import type { SectionContext } from './context.js'

type Asked = Pick<SectionContext, 'audit' | 'cite'>

/** A section made of the answers to some questions; without blocks where none could be asked. */
export function questionSection(
  id: string,
  title: Message,
  kinds: readonly QuestionKind[],
): (context: Asked) => Section {
  return (context) => ({
    id,
    title: context.cite.by.text(title),
    blocks: questionBlocks(kinds, context),
  })
}

/** What is said of the answers to some questions. */
export function questionBlocks(kinds: readonly QuestionKind[], { audit, cite }: Asked): readonly Block[] {
  const blocks = blocksOf(kinds, audit, settingOf(audit))
  return wordedBlocks(blocks, cite.by, {
    generated: audit.summary.source.generated,
    full: audit.settings.detail === 'full',
  })
}
