import { patientArray } from '../../charts/patientArray.js'
import { isNumber } from '../../core/estimate.js'
import { type Figure, paragraph, type Section } from '../document.js'
import {
  comparisonForPaper,
  comparisonForPatient,
  headlineHorizon,
  patientEvent,
  patientLabels,
  riskForPaper,
  riskForPatient,
} from '../wording.js'
import { captionedFigure, type SectionContext } from './context.js'

/** The main results in words for the patient, with an array of 100 marks, and in a sentence each for a paper. */
export function wordsSection(context: SectionContext): Section {
  const { audit, cite } = context
  return {
    id: 'words',
    title: patientLabels.wordsSection,
    blocks: [
      { kind: 'heading', text: patientLabels.forPatient },
      paragraph(riskForPatient(audit, cite)),
      ...arrayFigure(context),
      paragraph(comparisonForPatient(audit, cite)),
      { kind: 'heading', text: patientLabels.forPaper },
      paragraph(riskForPaper(audit, cite)),
      paragraph(comparisonForPaper(audit, cite)),
    ],
  }
}

/** The array of 100 marks: the risk at the horizon that leads, or what none seen leaves possible; none where neither is known. */
export function arrayFigure(context: SectionContext): readonly Figure[] {
  const { audit } = context
  const { overall } = audit.incidence
  const horizon = overall.horizons[headlineHorizon(audit)]
  const atHorizon = overall.events > 0 && horizon !== undefined && isNumber(horizon.risk.estimate)
  const shown = atHorizon ? horizon.risk : overall.proportion
  if (!isNumber(shown.estimate)) return []
  const endpoint = patientEvent(audit)
  return [
    captionedFigure('patient-array', patientLabels.arrayCaption, context, (options) =>
      patientArray(shown.estimate, shown.interval.upper, {
        ...options,
        endpoint,
        ...(atHorizon ? { years: horizon.years } : {}),
      }),
    ),
  ]
}
