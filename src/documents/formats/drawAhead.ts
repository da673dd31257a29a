import type { PictureDrawer } from '../../charts/pictureDrawer.js'
import type { AuditResult } from '../../questions/audit.js'
import { citationsOf } from '../model/citation.js'
import { cohortSection } from '../sections/cohortSection.js'
import { qualitySection } from '../sections/qualitySection.js'
import { questionBlocks } from '../sections/questionSection.js'
import { type PngWish, pngWidth } from './pictures.js'

/** Sections whose figures the first part of an audit decides. */
const sections = [cohortSection, qualitySection] as const

/**
 * Begins to draw what the first part of an audit shows, while the rest is still being computed.
 */
export function drawAhead(
  described: AuditResult,
  drawer: Pick<PictureDrawer, 'drawAhead'>,
  wish: PngWish = () => false,
): void {
  const context = { audit: described, cite: citationsOf(described), version: '' }
  const blocks = [
    ...questionBlocks(['incidence', 'retention', 'comparison'], context),
    ...sections.flatMap((section) => section(context).blocks),
  ]
  for (const size of ['page', 'column'] as const) {
    for (const block of blocks) {
      if (block.kind === 'figure') drawer.drawAhead(block[size], pngWidth(block.id, size, wish))
    }
  }
}
