import type { NeededResult } from '../../questions/needed/answer.js'
import type { WatchResult } from '../../questions/watching/answer.js'
import { neededInLines } from '../kinds/neededReport.js'
import { watchInLines } from '../kinds/watchReport.js'

/**
 * What is needed, or what was seen while watching, in a few lines for a terminal: the sentences that lead its page.
 *
 * @example inLines(watchPractice(cohort)).length // => 7
 */
export function inLines(result: NeededResult | WatchResult): readonly string[] {
  return result.kind === 'needed' ? neededInLines(result) : watchInLines(result)
}
