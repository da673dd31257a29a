import { type Block, paragraph, type Section } from '../model/document.js'
import { limitationsOf } from '../model/limitations.js'
import { labelsOf, limitationWords } from '../wording/index.js'
import type { SectionContext } from './context.js'

/** What limits the results, as far as the data set it off. */
export function limitationsSection(context: SectionContext): Section {
  return {
    id: 'limitations',
    title: labelsOf(context.cite.by).sections.limitations,
    blocks: limitationBlocks(context),
  }
}

/** The limitations as a list with its opening. */
export function limitationBlocks({ audit, cite }: SectionContext): Block[] {
  const keys = limitationsOf(audit)
  if (keys.length === 0) return [paragraph(cite.say('limitation.none'))]
  return [
    paragraph(cite.say('limitation.opening')),
    { kind: 'list', items: keys.map((key) => limitationWords[key](audit, cite)) },
  ]
}
