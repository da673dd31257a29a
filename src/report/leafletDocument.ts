import type { AuditResult } from '../analysis/audit.js'
import type { ReportOptions } from './auditDocument.js'
import { citationsOf } from './citation.js'
import { paragraph, type ReportDocument, type Section } from './document.js'
import { arrayFigure } from './sections/wordsSection.js'
import {
  adviceForPatient,
  comparisonForPatient,
  contactBlanks,
  leafletSummary,
  leafletTitle,
  limitsForPatient,
  patientLabels,
  riskForPatient,
} from './wording.js'

/** One page for patients: how often as a natural frequency, what to do, and what the numbers cannot tell. */
export function leafletDocument(audit: AuditResult, options: ReportOptions): ReportDocument {
  const cite = citationsOf(audit)
  const context = { audit, cite, version: options.version }
  const listed = (id: string, title: string, items: Section['blocks']): Section => ({
    id,
    title,
    blocks: items,
  })
  return {
    layout: 'leaflet',
    title: leafletTitle(audit),
    kicker: patientLabels.kicker,
    summary: leafletSummary(audit, cite),
    generated: audit.summary.source.generated,
    date: options.date,
    sections: [
      listed('answer', patientLabels.often, [
        paragraph(riskForPatient(audit, cite), 'lead'),
        ...arrayFigure(context),
      ]),
      listed('means', patientLabels.means, [{ kind: 'list', items: adviceForPatient(audit) }]),
      ...(audit.tightening === undefined
        ? []
        : [listed('compared', patientLabels.compared, [paragraph(comparisonForPatient(audit, cite))])]),
      listed('limits', patientLabels.limits, [{ kind: 'list', items: limitsForPatient(audit) }]),
      listed('contact', patientLabels.contact, [{ kind: 'list', items: contactBlanks }]),
    ],
  }
}
