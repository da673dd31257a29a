import type { Block, Section } from '../model/document.js'
import type { ReferenceList } from '../model/referenceList.js'
import type { SectionContext } from './context.js'

/** What the sections of a manuscript are made from: those of the report, and the works cited so far. */
export interface ManuscriptContext extends SectionContext {
  readonly references: ReferenceList
}

/** The tables and figures of a section of the report that a manuscript takes over, in the order asked for. */
export function takenFrom(section: Pick<Section, 'blocks'>, ids: readonly string[]): readonly Block[] {
  return ids.flatMap((id) => section.blocks.filter((block) => 'id' in block && block.id === id))
}
