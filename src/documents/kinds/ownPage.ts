import { message } from '../../messages/message.js'
import { foreign } from '../../messages/phrase.js'
import { speaker } from '../../messages/speaker.js'
import type { AuditResult } from '../../questions/audit.js'
import type { AnalysisSettings } from '../../questions/plan/settings.js'
import type { PartOfPage } from '../../questions/question.js'
import { type OwnResult, ownQuestionOf } from '../../questions/registry.js'
import type { Block } from '../../questions/words/blocks.js'
import { pathsOf } from '../../questions/words/place.js'
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

/**
 * Writes the page of a question on the practice's own records, and beside it what belongs to a report.
 *
 * @throws UsageError `folder-in-use` where the folder holds anything but an earlier report
 */
export function writeOwnPage(result: OwnResult, options: OwnPageOptions): Promise<WrittenReport> {
  const { source, definition, settings, version } = options
  const provenance = { source, definition, settings }
  return writeReportFolder(
    { kind: result.kind, document: ownDocument(result, options), results: result, provenance, version },
    options,
  )
}

/** Such a page as a document. */
export function ownDocument(
  result: OwnResult,
  { source, date }: Pick<OwnPageOptions, 'source' | 'date'>,
): ReportDocument {
  const { page } = ownQuestionOf(result)
  const at = pathsOf(result)
  const by = speaker()
  return {
    title: by.phrase(page.title(foreign(source.title))),
    kicker: by.text(page.kicker),
    summary: by.phrase(page.summary(result, at)),
    generated: source.generated,
    date,
    sections: page
      .parts(result, at)
      .filter(({ blocks }) => blocks.length > 0)
      .map((part) => sectionOf(part, source.generated)),
  }
}

function sectionOf({ id, title, blocks, cautions }: PartOfPage, generated: boolean): Section {
  const by = speaker()
  const worded = (some: readonly Block[]): Section['blocks'] =>
    wordedBlocks(some, by, { generated, full: true })
  return {
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
  }
}

/**
 * What is needed, or what was seen while watching, in a few lines for a terminal: the sentences that lead its page.
 *
 * @example inLines(watchPractice(cohort)).length // => 7
 */
export function inLines(result: OwnResult): readonly string[] {
  const by = speaker()
  return ownQuestionOf(result)
    .page.parts(result, pathsOf(result))
    .filter(({ inTerminal }) => inTerminal === true)
    .flatMap(({ blocks }) =>
      blocks.flatMap((block) =>
        block.kind === 'paragraph' && block.tone !== 'note' ? [by.text(block.content)] : [],
      ),
    )
}
