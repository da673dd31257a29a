import type { PictureDrawer } from '../../charts/pictureDrawer.js'
import { speaker } from '../../messages/speaker.js'
import type { AuditResult } from '../../questions/audit.js'
import type { QuestionKind } from '../../questions/registry.js'
import { citationsOf } from '../model/citation.js'
import type { Block } from '../model/document.js'
import { languageAmong } from '../model/documentLanguages.js'
import { wordedBlocks } from '../model/worded.js'
import { questionBlocks } from '../sections/questionSection.js'
import { arrayFigure } from '../sections/wordsSection.js'
import { type PngWish, pngWidth } from './pictures.js'

/** Questions whose figures a report shows, by the part of an audit that decides them; in each part, what is shown first. */
const questionsWithFigures = {
  described: ['incidence', 'retention', 'comparison', 'attrition', 'quality'],
  compared: ['tightening', 'trend'],
} as const satisfies Readonly<Record<string, readonly QuestionKind[]>>

/** How pictures are wanted that are drawn ahead. */
export interface DrawnAhead {
  /** Language of the report; default English. */
  readonly language?: string
  /** Figures that are drawn as PNG too; default none. */
  readonly wish?: PngWish
}

/**
 * Begins to draw what a part of an audit decides while the next is at work: what was described while the rest is being computed,
 * and what was compared while the documents are being worded.
 */
export function drawAhead(
  part: keyof typeof questionsWithFigures,
  audit: AuditResult,
  drawer: Pick<PictureDrawer, 'drawAhead'>,
  { language, wish = () => false }: DrawnAhead = {},
): void {
  const by = speaker(languageAmong(language, 'report'))
  const asked = questionBlocks(questionsWithFigures[part], { audit, cite: citationsOf(audit, by) })
  const { generated } = audit.summary.source
  const blocks: readonly Block[] =
    part === 'compared'
      ? [...asked, ...wordedBlocks(arrayFigure(audit), by, { generated, full: true })]
      : asked
  for (const size of ['page', 'column'] as const) {
    for (const block of blocks) {
      if (block.kind === 'figure') drawer.drawAhead(block[size], pngWidth(block.id, size, wish))
    }
  }
}
