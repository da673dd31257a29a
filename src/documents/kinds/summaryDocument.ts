import { firstLanguage } from '../../messages/catalogue.js'
import { message } from '../../messages/message.js'
import { type Speaker, speaker } from '../../messages/speaker.js'
import type { AuditResult } from '../../questions/audit.js'
import { curvesChart } from '../../questions/comparison/chart.js'
import { endpointName } from '../../questions/comparison/words.js'
import { incidenceChart } from '../../questions/incidence/chart.js'
import {
  paragraph,
  type Block as UnwordedBlock,
  figure as unwordedFigure,
} from '../../questions/words/blocks.js'
import type { Block, Figure, ReportDocument, Section } from '../model/document.js'
import { languageOf } from '../model/documentLanguages.js'
import { wordedBlocks } from '../model/worded.js'
import { comparisonClaims, endpointOf, oftenSentences } from '../wording/index.js'
import type { ReportOptions } from './auditDocument.js'
import {
  comparisonOf,
  nextSteps,
  objectionsOfSummary,
  questionOfSummary,
  risesOverTime,
  summaryCounted,
  summaryTable,
  summaryTitle,
  surenessOfComparison,
  torqueReached,
  verdictOf,
} from './summaryWords.js'

/** What a summary needs to know besides the results. */
export interface SummaryOptions extends ReportOptions {
  /** Language of the text; default `en`. */
  readonly language?: string
}

/** One page: the question, the answer, one curve, one table, how sure, what speaks against it, what to do next. */
export function summaryDocument(audit: AuditResult, options: SummaryOptions): ReportDocument {
  const by = speaker(languageOf(options.language, 'summary'))
  const { generated } = audit.summary.source
  const worded = (...blocks: readonly UnwordedBlock[]): readonly Block[] =>
    wordedBlocks(blocks, by, { generated, full: true })
  const section = (id: string, title: string, blocks: readonly Block[]): Section => ({ id, title, blocks })
  const [often, ...beside] = oftenSentences(audit)
  const objections = objectionsOfSummary(audit)
  const sections = [
    section('answer', by.text(questionOfSummary(audit)), [
      ...worded(
        ...(often === undefined ? [] : [paragraph(often, 'lead')]),
        ...verdictOf(audit).map((one) => paragraph(one, 'lead')),
      ),
      ...mainFigure(audit, by),
      ...worded(summaryTable(audit)),
    ]),
    section(
      'sure',
      by.text(message('summary.sure')),
      worded({ kind: 'list', items: [...beside, ...surenessOfComparison(audit)] }),
    ),
    section(
      'objections',
      by.text(message('summary.objections')),
      worded({ kind: 'list', items: objections }),
    ),
    section(
      'next',
      by.text(message('summary.next')),
      worded({
        kind: 'list',
        items: [...nextSteps(audit), ...torqueReached(audit), message('summary.recall')],
      }),
    ),
    section(
      'cautions',
      by.text(message('summary.cautions-title')),
      worded(
        paragraph(message('summary.cautions')),
        ...(by.language === firstLanguage ? [] : [paragraph(message('document.translated'), 'note')]),
      ),
    ),
  ]
  return {
    layout: 'summary',
    title: by.phrase(summaryTitle(audit)),
    kicker: by.text(message('summary.kicker')),
    summary: by.phrase(summaryCounted(audit)),
    generated,
    date: options.date,
    language: by.language,
    sections: sections.filter(({ blocks }) =>
      blocks.some((block) => block.kind !== 'list' || block.items.length > 0),
    ),
  }
}

/** The one figure of the answer: the weighted curves of both groups where they may be shown, else the incidence. */
export function mainFigure(audit: AuditResult, by: Speaker): readonly Figure[] {
  const curves = curvesFigure(audit, by)
  return curves.length > 0 ? curves : incidenceFigure(audit, by)
}

/** The weighted curves of both groups; none where they may not be shown. */
export function curvesFigure(audit: AuditResult, by: Speaker): readonly Figure[] {
  const parts = comparisonOf(audit)
  if (
    parts === undefined ||
    !comparisonClaims(audit) ||
    !parts.result.curves.some(({ points }) => points.length > 1)
  ) {
    return []
  }
  const caption = message('comparison.figure', { endpoint: endpointName(audit.definition.endpoint) })
  const curves = unwordedFigure('comparison-curves', caption, (options) =>
    curvesChart(parts.result, parts.setting, options),
  )
  return drawn(curves, audit, by)
}

/** The incidence of all restorations over time; none where no risk can be drawn. */
export function incidenceFigure(audit: AuditResult, by: Speaker): readonly Figure[] {
  if (!risesOverTime(audit)) return []
  const incidence = unwordedFigure('incidence-all', message('summary.figure-incidence'), (options) =>
    incidenceChart(audit.retention, {
      ...options,
      groups: ['all'],
      window: audit.definition.waitWindowMinutes,
      endpoint: endpointOf(audit, by).name,
    }),
  )
  return drawn(incidence, audit, by)
}

function drawn(figure: UnwordedBlock, audit: AuditResult, by: Speaker): readonly Figure[] {
  const { generated } = audit.summary.source
  return wordedBlocks([figure], by, { generated, full: true }).filter((block) => block.kind === 'figure')
}
