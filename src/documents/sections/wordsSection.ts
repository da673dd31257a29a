import { patientArray } from '../../charts/patientArray.js'
import { isNumber } from '../../core/estimate.js'
import { message } from '../../messages/message.js'
import { speaker } from '../../messages/speaker.js'
import type { AuditResult } from '../../questions/audit.js'
import { type Figure, figure } from '../../questions/words/blocks.js'
import { comparisonForPatient, patientEvent, riskForPatient, thingsOf } from '../kinds/leafletWords.js'
import { paragraph, type Section } from '../model/document.js'
import { wordedBlocks } from '../model/worded.js'
import { comparisonForPaper, headlineHorizon, riskForPaper } from '../wording/index.js'
import type { SectionContext } from './context.js'

/** The main results in words for the patient, with an array of 100 marks, and in a sentence each for a paper. */
export function wordsSection({ audit, cite }: SectionContext): Section {
  const { by } = cite
  return {
    id: 'words',
    title: by.text(message('leaflet.words-title')),
    blocks: [
      { kind: 'heading', text: by.text(message('leaflet.for-patient')) },
      paragraph(by.phrase(riskForPatient(audit))),
      ...wordedBlocks(arrayFigure(audit), by, { generated: audit.summary.source.generated, full: true }),
      paragraph(by.phrase(comparisonForPatient(audit))),
      { kind: 'heading', text: by.text(message('leaflet.for-paper')) },
      paragraph(by.phrase(riskForPaper(audit))),
      paragraph(comparisonForPaper(audit, cite)),
    ],
  }
}

/** The array of 100 marks: the risk at the horizon that leads, or what none seen leaves possible; none where neither is known or the risk is withheld. */
export function arrayFigure(audit: AuditResult): readonly Figure[] {
  if (audit.howOften.verdict === 'withheld') return []
  const { overall } = audit.incidence
  const horizon = overall.horizons[headlineHorizon(audit)]
  const atHorizon = overall.events > 0 && horizon !== undefined && isNumber(horizon.risk.estimate)
  const shown = atHorizon ? horizon.risk : overall.proportion
  if (!isNumber(shown.estimate)) return []
  return [
    figure('patient-array', message('leaflet.array', { things: thingsOf(audit) }), (options) =>
      patientArray(shown.estimate, shown.interval.upper, {
        ...options,
        endpoint: speaker(options.language).text(patientEvent(audit)),
        things: thingsOf(audit),
        ...(atHorizon ? { years: horizon.years } : {}),
      }),
    ),
  ]
}
