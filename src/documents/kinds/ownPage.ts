import type { Message, Words } from '../../messages/message.js'
import { message } from '../../messages/message.js'
import { speaker } from '../../messages/speaker.js'
import type { AuditResult } from '../../questions/audit.js'
import type { NeededResult } from '../../questions/needed/answer.js'
import type { AnalysisSettings } from '../../questions/plan/settings.js'
import type { WatchResult } from '../../questions/watching/answer.js'
import type { Block } from '../../questions/words/blocks.js'
import type { ReportDocument, Section } from '../model/document.js'
import { wordedBlocks } from '../model/worded.js'
import { type WritingOptions, type WrittenReport, writeReportFolder } from '../writeReport.js'

/** What a page on the practice's own records needs to know besides its answer. */
export interface OwnPageOptions extends WritingOptions {
  readonly date: string
  readonly version: string
  readonly source: AuditResult['summary']['source']
  readonly definition: AuditResult['definition']
  readonly settings: AnalysisSettings
}

/** A part of such a page; one without blocks is left out. */
export interface PartOfPage {
  readonly id: string
  readonly title: Message
  readonly blocks: readonly Block[]
  /** Cautions that stand beside it. */
  readonly cautions?: readonly Words[]
}

/** What such a page holds. */
export interface OwnPage {
  readonly kind: 'needed' | 'watch'
  readonly title: Words
  readonly kicker: Message
  readonly summary: Words
  readonly parts: readonly PartOfPage[]
}

/**
 * Writes a page on one question of the practice's own records, and beside it what belongs to a report.
 *
 * @throws UsageError `folder-in-use` where the folder holds anything but an earlier report
 */
export function writeOwnPage(
  page: OwnPage,
  results: NeededResult | WatchResult,
  options: OwnPageOptions,
): Promise<WrittenReport> {
  const { source, definition, settings, version } = options
  const provenance = { source, definition, settings }
  return writeReportFolder(
    { kind: page.kind, document: ownDocument(page, options), results, provenance, version },
    options,
  )
}

/** Such a page as a document. */
export function ownDocument(
  page: OwnPage,
  { source, date }: Pick<OwnPageOptions, 'source' | 'date'>,
): ReportDocument {
  const by = speaker()
  const worded = (blocks: readonly Block[]): Section['blocks'] =>
    wordedBlocks(blocks, by, { generated: source.generated, full: true })
  return {
    title: by.phrase(page.title),
    kicker: by.text(page.kicker),
    summary: by.phrase(page.summary),
    generated: source.generated,
    date,
    sections: page.parts
      .filter(({ blocks }) => blocks.length > 0)
      .map(({ id, title, blocks, cautions }) => ({
        id,
        title: by.text(title),
        blocks: worded(blocks),
        ...(cautions === undefined
          ? {}
          : {
              aside: {
                title: by.text(message('changes.read-with-care')),
                blocks: worded([{ kind: 'list', items: cautions }]),
              },
            }),
      })),
  }
}
