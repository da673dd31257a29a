import { type Arguments, type MessageCode, message } from '../../messages/message.js'
import { type Speaker, speaker } from '../../messages/speaker.js'
import type { AuditResult } from '../../questions/audit.js'
import type { SectionSetting } from '../../questions/question.js'
import { type Path, pathsOf } from '../../questions/words/place.js'
import type { Phrase } from './document.js'

/** What the texts of a document are made with: who says them, and the places of the numbers that they cite. */
export interface Citations {
  /** Who says it: the language of the document. */
  readonly by: Speaker
  /** Places in the results. */
  readonly at: Path<AuditResult>
  /** A message in the language of the document. */
  say<Code extends MessageCode>(code: Code, ...parameters: Arguments<Code>): Phrase
  /** The same as plain text, for titles and heads of columns. */
  text<Code extends MessageCode>(code: Code, ...parameters: Arguments<Code>): string
}

/**
 * Opens the citations of an audit.
 *
 * @param by speaker of the document; default English
 */
export function citationsOf(audit: AuditResult, by = speaker()): Citations {
  return {
    by,
    at: pathsOf(audit),
    say: (code, ...parameters) => by.phrase(message(code, ...parameters)),
    text: (code, ...parameters) => by.text(message(code, ...parameters)),
  }
}

/** What sections of questions need to know of the audit besides their own result. */
export function settingOf(audit: AuditResult): SectionSetting {
  return { definition: audit.definition, settings: audit.settings, answers: audit }
}
