import { message, type Words } from '../../messages/message.js'
import { foreign } from '../../messages/phrase.js'
import { speaker } from '../../messages/speaker.js'
import type { NeededResult } from '../../questions/needed/answer.js'
import { neededParts } from '../../questions/needed/section.js'
import { count, pathsOf, years } from '../../questions/words/place.js'
import type { WrittenReport } from '../writeReport.js'
import { type OwnPage, type OwnPageOptions, type PartOfPage, writeOwnPage } from './ownPage.js'

/** Cautions beside the answer. */
const cautions: readonly Words[] = [
  message('needed.caution-extrapolation'),
  message('needed.caution-looks'),
  message('needed.caution-stop'),
]

/** The page of it. */
export function neededPage(result: NeededResult, source: OwnPageOptions['source']): OwnPage {
  const at = pathsOf(result)
  const { answer, picture, group, rests } = neededParts(result, at)
  const parts: readonly PartOfPage[] = [
    { id: 'answer', title: message('needed.section-answer'), blocks: answer, cautions },
    { id: 'picture', title: message('needed.section-picture'), blocks: picture },
    { id: 'group', title: message('needed.section-group'), blocks: group },
    { id: 'rests', title: message('needed.section-rests'), blocks: rests },
  ]
  return {
    kind: 'needed',
    title: message('needed.title', { records: foreign(source.title) }),
    kicker: message('needed.kicker'),
    summary: message('needed.summary', {
      restorations: count(at.restorations),
      events: count(at.events),
      horizon: years(at.horizonYears),
    }),
    parts,
  }
}

/**
 * Writes what a practice needs to know more: its page, and beside it what belongs to a report.
 *
 * @throws UsageError `folder-in-use` where the folder holds anything but an earlier report
 */
export function writeNeededReport(result: NeededResult, options: OwnPageOptions): Promise<WrittenReport> {
  return writeOwnPage(neededPage(result, options.source), result, options)
}

/** What is needed in a few lines for a terminal: the sentences that lead its page. */
export function neededInLines(result: NeededResult): readonly string[] {
  const { answer } = neededParts(result, pathsOf(result))
  return answer.flatMap((block) => (block.kind === 'paragraph' ? [speaker().text(block.content)] : []))
}
