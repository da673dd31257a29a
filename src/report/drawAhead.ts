import type { AuditResult } from '../analysis/audit.js'
import type { PictureDrawer } from '../charts/pictureDrawer.js'
import { citationsOf } from './citation.js'
import { type PngWish, pngWidth } from './pictures.js'
import { cohortSection } from './sections/cohortSection.js'
import { comparisonSection } from './sections/comparisonSection.js'
import { incidenceSection } from './sections/incidenceSection.js'
import { qualitySection } from './sections/qualitySection.js'
import { retentionSection } from './sections/retentionSection.js'

/** Sections whose figures the first part of an audit decides. */
const sections = [
  incidenceSection,
  retentionSection,
  comparisonSection,
  cohortSection,
  qualitySection,
] as const

/**
 * Begins to draw what the first part of an audit shows, while the rest is still being computed.
 */
export function drawAhead(
  described: AuditResult,
  drawer: Pick<PictureDrawer, 'drawAhead'>,
  wish: PngWish = () => false,
): void {
  const context = { audit: described, cite: citationsOf(described), version: '' }
  const blocks = sections.flatMap((section) => section(context).blocks)
  for (const size of ['page', 'column'] as const) {
    for (const block of blocks) {
      if (block.kind === 'figure') drawer.drawAhead(block[size], pngWidth(block.id, size, wish))
    }
  }
}
