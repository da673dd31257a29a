import { firstLanguage } from '../../messages/catalogue.js'
import { message } from '../../messages/message.js'
import { type Speaker, speaker } from '../../messages/speaker.js'
import type { AuditResult } from '../../questions/audit.js'
import { paragraph } from '../../questions/words/blocks.js'
import { type DocumentLength, documentLengths, documentName, startName } from '../formats/formats.js'
import type { DocumentLink, ReportDocument } from '../model/document.js'
import { languageAmong } from '../model/documentLanguages.js'
import { wordedBlocks } from '../model/worded.js'
import { labelsOf, oftenSentences } from '../wording/index.js'
import type { ReportOptions } from './auditDocument.js'
import { mainFigure } from './summaryDocument.js'
import { questionOfSummary, summaryAbout, summaryTitle, verdictOf } from './summaryWords.js'

/** The page to open first: the question, the answer with its figure, and the way to the documents. */
export function startDocument(audit: AuditResult, options: ReportOptions): ReportDocument {
  const by = speaker(options.language)
  const { generated } = audit.summary.source
  const answers = [...oftenSentences(audit).slice(0, 1), ...verdictOf(audit)]
  return {
    layout: 'start',
    title: by.phrase(summaryTitle(audit)),
    kicker: labelsOf(by).kicker,
    summary: by.phrase(summaryAbout(audit)),
    generated,
    date: options.date,
    sections: [
      {
        id: 'answer',
        title: by.text(questionOfSummary(audit)),
        blocks: [
          ...wordedBlocks(
            answers.map((one) => paragraph(one, 'lead')),
            by,
            { generated, full: true },
          ),
          ...mainFigure(audit, by),
        ],
      },
    ],
    ...(by.language === firstLanguage ? {} : { language: by.language }),
    links: documentLengths.map((length) => linkTo(length, by)),
  }
}

function linkTo(length: DocumentLength, by: Speaker): DocumentLink {
  const name = message(`documents.${length}`)
  const english = languageAmong(by.language, length) !== by.language
  return {
    file: documentName(length, 'html'),
    name: by.text(english ? message('documents.in-english', { name }) : name),
    about: by.text(message(`documents.about-${length}`)),
  }
}

/** A document with the way to the other lengths of the same evidence. */
export function withLinks(
  length: DocumentLength,
  document: ReportDocument,
  language = firstLanguage,
): ReportDocument {
  const by = speaker(language)
  const start = { file: startName, name: by.text(message('documents.start')), about: '' }
  return {
    ...document,
    links: [start, ...documentLengths.filter((one) => one !== length).map((one) => linkTo(one, by))],
  }
}
