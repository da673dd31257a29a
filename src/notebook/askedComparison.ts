import { upperFirst } from '../charts/words.js'
import { type Block, paragraph } from '../documents/model/document.js'
import { wordedBlocks } from '../documents/model/worded.js'
import { message } from '../messages/message.js'
import { speaker, warningOf } from '../messages/speaker.js'
import type { AskedComparison } from '../questions/comparison/asked.js'
import { comparisonBlocks } from '../questions/comparison/section.js'
import { groupTitle } from '../questions/words/groups.js'
import { pathsOf } from '../questions/words/place.js'
import { sectionOutput } from './auditSections.js'
import type { MimeBundle } from './mimeOutput.js'

/** What is said of a comparison that was asked for by itself: what to beware of, then what the report would say of it. */
export function askedBlocks(result: AskedComparison): readonly Block[] {
  const { warnings, generated, definition, settings } = result.asked
  const by = speaker()
  const said = wordedBlocks(
    comparisonBlocks(result, pathsOf(result), { definition, settings, answers: {} }),
    by,
    {
      generated,
      full: true,
    },
  )
  const care = warnings.map((one) => paragraph(by.phrase(warningOf(one)), 'note'))
  // The answer first: what to beware of stands right below it.
  return [...said.slice(0, 1), ...care, ...said.slice(1)]
}

/** What was set against what. */
export function askedTitle({ groups, asked }: AskedComparison): string {
  const [group, against] = [groups.group, groups.against].map((one) => groupTitle(one, asked.definition))
  const words = speaker().text(message('asked.compared', { group: group!, against: against! }))
  return upperFirst(words)
}

/** The same as the output of a cell. */
export function askedBundle(result: AskedComparison): Promise<MimeBundle> {
  const section = { id: 'comparison', title: askedTitle(result), blocks: askedBlocks(result) }
  return sectionOutput(section, result.asked.generated)
}
