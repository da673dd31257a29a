import { expect, test } from 'vitest'
import { documentHtml } from '../../src/documents/formats/html.js'
import { findBrowser, pdfOfHtml } from '../../src/documents/formats/pdf.js'
import { leafletDocument } from '../../src/documents/kinds/leafletDocument.js'
import { auditCohort } from '../../src/questions/audit.js'
import { practice, times } from '../questions/practice.js'
import { drawFigures } from './drawFigures.js'

const chromium = await findBrowser()

/** The longest text that a leaflet can have: a comparison that stays open, some never checked. */
const audit = auditCohort(
  practice([
    ...times(120, { checks: [400, 1300] }),
    ...times(14, { loose: 500 }),
    ...times(110, { checks: [400, 1300], repeated: true }),
    ...times(9, { loose: 600, repeated: true }),
    ...times(20, { checks: [] }),
  ]),
)

test('the leaflet prints on one page', async () => {
  if (chromium === undefined) {
    process.stderr.write('NOT RUN: printing the leaflet. There is no Chromium; apt-get install chromium.\n')
    return
  }
  const document = leafletDocument(audit, { date: '2026-05-04', version: '0.1.0', comparison: true })
  const html = documentHtml(document, await drawFigures(document))
  const pdf = Buffer.from(await pdfOfHtml(html, { date: '2026-05-04' })).toString('latin1')
  expect(pdf.match(/\/Type\s*\/Page\b(?!s)/g)).toHaveLength(1)
}, 60_000)
