import { message, type Words } from '../../../messages/message.js'
import { foreign } from '../../../messages/phrase.js'
import { type Speaker, speaker } from '../../../messages/speaker.js'
import type { AuditResult } from '../../../questions/audit.js'
import { comparedSentence } from '../../../questions/comparison/section.js'
import { count, number, pathsOf } from '../../../questions/words/place.js'
import type { ReportDocument } from '../../model/document.js'
import { oftenSentences } from '../../wording/index.js'
import type { ReportOptions } from '../auditDocument.js'
import { curvesFigure, incidenceFigure } from '../summaryDocument.js'
import {
  comparisonOf,
  nextSteps,
  objectionsOfSummary,
  questionOfSummary,
  summaryAbout,
  summaryTable,
  summaryTitle,
  verdictOf,
} from '../summaryWords.js'
import { slideDeck } from './deck.js'

/** What slides need to know besides the results. */
export interface SlidesOptions extends ReportOptions {
  /** Language of the text; default `en`. */
  readonly language?: string
}

/** Six slides for the screen of a study club, from the same results as the report. */
export function slidesDocument(audit: AuditResult, options: SlidesOptions): ReportDocument {
  const by: Speaker = speaker(options.language)
  const { source } = audit.summary
  const [often, ...beside] = oftenSentences(audit)
  const compared = comparisonOf(audit)
  return slideDeck(
    {
      title: summaryTitle(audit),
      about: summaryAbout(audit),
      question: questionOfSummary(audit),
      who: whoOf(audit),
      often: often!,
      beside,
      oftenFigures: incidenceFigure(audit, by),
      verdict: verdictOf(audit),
      comparisonFigures: curvesFigure(audit, by),
      ...(compared === undefined ? {} : { comparisonTable: summaryTable(audit) }),
      overturn: [...objectionsOfSummary(audit), ...beside],
      next: nextSteps(audit),
      notes: [message('slides.source', { source: foreign(source.title) }), message('slides.note')],
    },
    by,
    { generated: source.generated, date: options.date },
  )
}

function whoOf(audit: AuditResult): readonly Words[] {
  const at = pathsOf(audit)
  const compared = comparisonOf(audit)
  return [
    summaryAbout(audit),
    message('slides.followed', {
      restorationYears: number(at.howOften.restorationYears, 'restoration-years'),
      events: count(at.howOften.events),
      one: message(`endpoint.one.${audit.definition.endpoint}`),
    }),
    ...(compared === undefined ? [] : [comparedSentence(compared.at, compared.setting)]),
  ]
}
