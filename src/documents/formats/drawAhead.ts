import type { PictureDrawer } from '../../charts/pictureDrawer.js'
import type { AuditResult } from '../../questions/audit.js'
import type { QuestionKind } from '../../questions/registry.js'
import { citationsOf } from '../model/citation.js'
import { questionBlocks } from '../sections/questionSection.js'
import { type PngWish, pngWidth } from './pictures.js'

/** Questions whose figures the first part of an audit decides. */
const answeredAtOnce: readonly QuestionKind[] = [
  'incidence',
  'retention',
  'comparison',
  'attrition',
  'quality',
]

/**
 * Begins to draw what the first part of an audit shows, while the rest is still being computed.
 */
export function drawAhead(
  described: AuditResult,
  drawer: Pick<PictureDrawer, 'drawAhead'>,
  wish: PngWish = () => false,
): void {
  const blocks = questionBlocks(answeredAtOnce, { audit: described, cite: citationsOf(described) })
  for (const size of ['page', 'column'] as const) {
    for (const block of blocks) {
      if (block.kind === 'figure') drawer.drawAhead(block[size], pngWidth(block.id, size, wish))
    }
  }
}
