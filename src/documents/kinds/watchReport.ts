import { isoFromDay } from '../../core/calendar.js'
import { message, type Words } from '../../messages/message.js'
import { foreign } from '../../messages/phrase.js'
import { speaker } from '../../messages/speaker.js'
import type { WatchResult } from '../../questions/watching/answer.js'
import { watchParts } from '../../questions/watching/section.js'
import { count, pathsOf } from '../../questions/words/place.js'
import type { WrittenReport } from '../writeReport.js'
import { type OwnPage, type OwnPageOptions, type PartOfPage, writeOwnPage } from './ownPage.js'

/** Cautions beside the answer. */
const cautions: readonly Words[] = [
  message('watch.caution-cause'),
  message('watch.caution-device'),
  message('watch.caution-people'),
]

/** The page of it. */
export function watchPage(result: WatchResult, source: OwnPageOptions['source']): OwnPage {
  const at = pathsOf(result)
  const { now, devices, people, notLooked } = watchParts(result, at)
  const parts: readonly PartOfPage[] = [
    { id: 'answer', title: message('watch.section-now'), blocks: now, cautions },
    { id: 'devices', title: message('watch.section-devices'), blocks: devices },
    { id: 'people', title: message('watch.section-people'), blocks: people },
    { id: 'not-looked', title: message('watch.section-not-looked'), blocks: notLooked },
  ]
  const last = result.nowBefore?.lastDay
  return {
    kind: 'watch',
    title: message('watch.title', { records: foreign(source.title) }),
    kicker: message('watch.kicker'),
    summary:
      last === undefined
        ? message('watch.summary-undated', { restorations: count(at.restorations) })
        : message('watch.summary', {
            restorations: count(at.restorations),
            end: isoFromDay(Math.round(last)),
          }),
    parts,
  }
}

/**
 * Writes the page of a practice watched over time, for inside the practice.
 *
 * @throws UsageError `folder-in-use` where the folder holds anything but an earlier report
 */
export function writeWatchReport(result: WatchResult, options: OwnPageOptions): Promise<WrittenReport> {
  return writeOwnPage(watchPage(result, options.source), result, options)
}

/** What was seen in a few lines for a terminal: the sentences that lead each part. */
export function watchInLines(result: WatchResult): readonly string[] {
  const { now, devices, notLooked } = watchParts(result, pathsOf(result))
  return [now, devices, notLooked].flatMap((blocks) =>
    blocks.flatMap((block) =>
      block.kind === 'paragraph' && block.tone !== 'note' ? [speaker().text(block.content)] : [],
    ),
  )
}
