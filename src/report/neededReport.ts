import { message, type Words } from '../messages/message.js'
import { foreign } from '../messages/phrase.js'
import { speaker } from '../messages/speaker.js'
import type { NeededResult } from '../questions/needed/answer.js'
import { neededParts } from '../questions/needed/section.js'
import { count, pathsOf, years } from '../questions/place.js'
import { type OwnPageOptions, type PartOfPage, writeOwnPage } from './ownPage.js'
import type { WrittenReport } from './writeReport.js'

/** Cautions beside the answer. */
const cautions: readonly Words[] = [
  message('needed.caution-extrapolation'),
  message('needed.caution-looks'),
  message('needed.caution-stop'),
]

/**
 * Writes what a practice needs to know more: its page, and beside it what belongs to a report.
 *
 * @throws UsageError `folder-in-use` where the folder holds anything but an earlier report
 */
export async function writeNeededReport(
  result: NeededResult,
  options: OwnPageOptions,
): Promise<WrittenReport> {
  const at = pathsOf(result)
  const { answer, picture, group, rests } = neededParts(result, at)
  const parts: readonly PartOfPage[] = [
    { id: 'answer', title: message('needed.section-answer'), blocks: answer, cautions },
    { id: 'picture', title: message('needed.section-picture'), blocks: picture },
    { id: 'group', title: message('needed.section-group'), blocks: group },
    { id: 'rests', title: message('needed.section-rests'), blocks: rests },
  ]
  return writeOwnPage(
    {
      kind: 'needed',
      title: message('needed.title', { records: foreign(options.source.title) }),
      kicker: message('needed.kicker'),
      summary: message('needed.summary', {
        restorations: count(at.restorations),
        events: count(at.events),
        horizon: years(at.horizonYears),
      }),
      parts,
    },
    result,
    options,
  )
}

/**
 * What is needed in a few lines for a terminal: the sentences that lead its page.
 *
 * @example neededInLines(whatIsNeeded(cohort)).length // => 6
 */
export function neededInLines(result: NeededResult): readonly string[] {
  const { answer } = neededParts(result, pathsOf(result))
  return answer.flatMap((block) => (block.kind === 'paragraph' ? [speaker().text(block.content)] : []))
}
