import { firstLanguage } from '../../messages/catalogue.js'
import { message } from '../../messages/message.js'
import { speaker } from '../../messages/speaker.js'
import type { AuditResult } from '../../questions/audit.js'
import { citationsOf } from '../model/citation.js'
import { paragraph, type ReportDocument, type Section } from '../model/document.js'
import { madeOnce } from '../model/madeOnce.js'
import { answerSection } from '../sections/answerSection.js'
import type { SectionContext } from '../sections/context.js'
import {
  cautionsSection,
  definitionsSection,
  limitationsSection,
  methodsSection,
  provenanceSection,
} from '../sections/methodSections.js'
import { questionSection } from '../sections/questionSection.js'
import { wordsSection } from '../sections/wordsSection.js'
import { differenceSentence, labelsOf, reportSummary, reportTitle } from '../wording/index.js'

/** What a report needs to know besides the results. */
export interface ReportOptions {
  /** Date of making, printed as it is given; the only thing in which two reports of the same data differ. */
  readonly date: string
  /** Version of the toolkit. */
  readonly version: string
  /** Language of the text; default `en`. */
  readonly language?: string
}

/** Sections of the audit report, in order. To add a question, add its section here. */
const sections = [
  answerSection,
  questionSection('incidence', message('label.section.incidence'), ['incidence']),
  questionSection('series', message('series.title'), ['series']),
  questionSection('retention', message('label.section.retention'), ['retention']),
  questionSection('fair', message('comparison.title'), ['tightening']),
  questionSection('needed', message('needed.section-answer'), ['needed']),
  crudeSection,
  questionSection('hazard', message('hazard.title'), ['hazardOverTime']),
  questionSection('wait', message('wait.title'), ['wait']),
  questionSection('protocol-change', message('protocol-change.title'), ['protocolChange']),
  trendSection,
  questionSection('torque', message('torque.title'), ['torque', 'removalTorque']),
  questionSection('repeats', message('repeats.title'), ['repeats']),
  wordsSection,
  literatureSection,
  questionSection('clinics', message('clinics.title'), ['clinicFunnel']),
  questionSection('cohort', message('label.section.cohort'), ['attrition']),
  questionSection('described', message('label.section.described'), ['characteristics']),
  questionSection('quality', message('label.section.quality'), ['quality']),
  definitionsSection,
  methodsSection,
  limitationsSection,
  cautionsSection,
  provenanceSection,
] as const

const besideLiterature = questionSection('literature', message('literature.title'), ['literature'])

const overTheYears = questionSection('trend', message('trend.title'), ['trend'])

const crude = questionSection('comparison', message('label.section.comparison'), ['comparison'])

/** Without two groups the report says why nothing is compared. */
export function crudeSection(context: SectionContext): Section {
  const { audit, cite } = context
  const section = crude(context)
  if (audit.comparison !== undefined) return section
  return {
    ...section,
    blocks: [paragraph(differenceSentence(audit, cite)), paragraph(cite.say('contrast.unsettled'))],
  }
}

/** No year has a risk of its own where that of the practice is withheld. */
function trendSection(context: SectionContext): Section {
  const section = overTheYears(context)
  return context.audit.howOften.reason === 'left-out' ? { ...section, blocks: [] } : section
}

/** Nothing is set beside published figures where the risk of the practice is withheld. */
function literatureSection(context: SectionContext): Section {
  const section = besideLiterature(context)
  return context.audit.howOften.reason === 'left-out' ? { ...section, blocks: [] } : section
}

/** Everything that an audit has to say, in one document: what summary, report and supplement are made from. */
export const auditDocument = madeOnce((audit: AuditResult, options: ReportOptions): ReportDocument => {
  const cite = citationsOf(audit, speaker(options.language))
  const context = { audit, cite, version: options.version }
  return {
    title: reportTitle(audit, cite),
    kicker: labelsOf(cite.by).kicker,
    summary: reportSummary(audit, cite),
    generated: audit.summary.source.generated,
    date: options.date,
    ...(cite.by.language === firstLanguage ? {} : { language: cite.by.language }),
    sections: sections.map((section) => section(context)).filter(({ blocks }) => blocks.length > 0),
  }
})
