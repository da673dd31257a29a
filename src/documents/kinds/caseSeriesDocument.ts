import { message } from '../../messages/message.js'
import { speaker } from '../../messages/speaker.js'
import type { AuditResult } from '../../questions/audit.js'
import { citationsOf } from '../model/citation.js'
import type { ReportDocument, Section } from '../model/document.js'
import { openReferenceList } from '../model/referenceList.js'
import { checklistSection } from '../sections/manuscriptChecklist.js'
import type { ManuscriptContext } from '../sections/manuscriptContext.js'
import { manuscriptResultsSection } from '../sections/manuscriptResults.js'
import {
  abstractSection,
  declarationsSection,
  discussionSection,
  introductionSection,
  manuscriptMethodsSection,
  referencesSection,
} from '../sections/manuscriptSections.js'
import { methodsSection, provenanceSection } from '../sections/methodSections.js'
import { questionBlocks } from '../sections/questionSection.js'
import { manuscriptTitle } from '../wording/manuscriptWords.js'
import type { ReportOptions } from './auditDocument.js'

const by = speaker()

/**
 * Draft of a case series for a journal, from the results of an audit: title, structured abstract, methods from what was
 * really done with works cited, results with tables and figures, limitations that the data set off, references, and the
 * items of STROBE with their places. What records cannot know is left to the author in marked places.
 */
export function caseSeriesDocument(audit: AuditResult, options: ReportOptions): ReportDocument {
  const cite = citationsOf(audit)
  const context: ManuscriptContext = {
    audit,
    cite,
    version: options.version,
    references: openReferenceList(),
  }
  const text = [
    abstractSection(context),
    introductionSection(),
    manuscriptMethodsSection(context),
    manuscriptResultsSection(context),
    discussionSection(context),
    declarationsSection(),
  ]
  return {
    layout: 'manuscript',
    title: by.phrase(manuscriptTitle(audit)),
    kicker: by.text(message('manuscript.kicker')),
    summary: by.phrase(message('manuscript.summary')),
    generated: audit.summary.source.generated,
    date: options.date,
    sections: [...text, referencesSection(context), checklistSection(text), supplementSection(context)],
  }
}

/** What a referee asks for: what was wrong with the records, the method of each number, settings and checksums. */
function supplementSection(context: ManuscriptContext): Section {
  const quality = questionBlocks(['quality'], context)
  const methods = methodsSection(context).blocks.filter((block) => block.kind === 'table')
  return {
    id: 'supplement',
    title: by.text(message('manuscript.section.supplement')),
    blocks: [...quality, ...methods, ...provenanceSection(context).blocks],
  }
}
