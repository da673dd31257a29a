import { describe, expect, it } from 'vitest'
import { documentOfKind } from '../../src/documents/kinds/auditKinds.js'
import { slidesDocument } from '../../src/documents/kinds/slides/slidesDocument.js'
import { summaryDocument } from '../../src/documents/kinds/summaryDocument.js'
import { supplementDocument } from '../../src/documents/kinds/supplementDocument.js'
import { outsideDocument } from '../../src/documents/outside/outsideDocument.js'
import { outsideLeaflet } from '../../src/documents/outside/outsideLeaflet.js'
import { releasedOf } from '../../src/documents/outside/released.js'
import { auditCohort } from '../../src/questions/audit.js'
import { richPractice } from './richPractice.js'

const options = { date: '2026-01-31', version: '0.0.0' }
const all = richPractice()
const one = auditCohort(all)
const part = auditCohort(all.where({ bruxism: 'none' }))

/** Every document by what is searched in it: the words of a part, in the language of the document. */
const documents = {
  report: (audit: typeof one) => documentOfKind(audit, 'audit', options),
  'case series': (audit: typeof one) => documentOfKind(audit, 'case-series', options),
  leaflet: (audit: typeof one) => documentOfKind(audit, 'leaflet', options),
  summary: (audit: typeof one) => summaryDocument(audit, options),
  supplement: (audit: typeof one) => supplementDocument(audit, options),
  slides: (audit: typeof one) => slidesDocument(audit, options),
  'summary to hand on': (audit: typeof one) => outsideDocument(releasedOf(audit), options),
  'leaflet to hand on': (audit: typeof one) => outsideLeaflet(releasedOf(audit), options),
}

describe('documents of a chosen part of the records', () => {
  it.each(Object.entries(documents))('say so: %s', (_name, make) => {
    const words = /chosen part of the records|part of the records that was chosen/
    expect(JSON.stringify(make(part))).toMatch(words)
    expect(JSON.stringify(make(one))).not.toMatch(words)
  })

  it.each([
    ['de', 'ausgewählter Teil'],
    ['es', 'parte elegida'],
    ['fr', 'partie choisie'],
  ])('say so in %s', (language, words) => {
    const summary = summaryDocument(part, { ...options, language })
    const leaflet = documentOfKind(part, 'leaflet', { ...options, language })
    for (const document of [summary, leaflet]) expect(JSON.stringify(document)).toContain(words)
  })

  it('tell nobody outside how many were not chosen', () => {
    const released = releasedOf(part)
    const left = part.summary.attrition.steps.find(({ code }) => code === 'not-asked-for')!.leftOut
    expect(left).toBeGreaterThan(5)
    expect(Object.values(released)).not.toContain(left)
    expect(released.chosenPart).toBe(true)
  })
})
