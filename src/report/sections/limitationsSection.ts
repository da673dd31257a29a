import { type Block, paragraph, type Section } from '../document.js'
import { limitationsOf } from '../limitations.js'
import { limitationLabels, limitationWords } from '../wording.js'
import type { SectionContext } from './context.js'

/** What limits the results, as far as the data set it off. */
export function limitationsSection(context: SectionContext): Section {
  return { id: 'limitations', title: limitationLabels.section, blocks: limitationBlocks(context) }
}

/** The limitations as a list with its opening. */
export function limitationBlocks({ audit, cite }: SectionContext): Block[] {
  const keys = limitationsOf(audit)
  if (keys.length === 0) return [paragraph([limitationLabels.none])]
  return [
    paragraph([limitationLabels.opening]),
    { kind: 'list', items: keys.map((key) => limitationWords[key](audit, cite)) },
  ]
}
