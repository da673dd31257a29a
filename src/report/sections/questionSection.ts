import type { Message } from '../../messages/message.js'
import { speaker } from '../../messages/speaker.js'
import { blocksOf, type QuestionKind } from '../../questions/registry.js'
import type { Section } from '../document.js'
import { wordedBlocks } from '../worded.js'
import type { SectionContext } from './context.js'

/** A section made of the answers to some questions; without blocks where none could be asked. */
export function questionSection(
  id: string,
  title: Message,
  kinds: readonly QuestionKind[],
): (context: SectionContext) => Section {
  return ({ audit }) => {
    const by = speaker()
    const blocks = blocksOf(kinds, audit, { definition: audit.definition, settings: audit.settings })
    return {
      id,
      title: by.text(title),
      blocks: wordedBlocks(blocks, by, {
        generated: audit.summary.source.generated,
        full: audit.settings.detail === 'full',
      }),
    }
  }
}
