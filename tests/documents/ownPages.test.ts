import { writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { beforeAll, describe, expect, it, test } from 'vitest'
import { buildCohort, type Cohort } from '../../src/cohort/cohort.js'
import { randomStream } from '../../src/core/random.js'
import { documentHtml } from '../../src/documents/formats/html.js'
import { findBrowser, pdfOfHtml } from '../../src/documents/formats/pdf.js'
import { ownDocument } from '../../src/documents/kinds/ownPage.js'
import type { ReportDocument } from '../../src/documents/model/document.js'
import { whatIsNeeded } from '../../src/questions/needed/answer.js'
import { watchPractice } from '../../src/questions/watching/answer.js'
import { readRecords } from '../../src/records/read/readDataset.js'
import { steadyPractice } from '../../src/verification/simulation/steadyPractice.js'
import { practice, times } from '../questions/practice.js'
import { drawFigures } from './drawFigures.js'

const chromium = await findBrowser()
const date = '2026-05-04'
const usual = {
  crownsPerYear: 150,
  years: 8,
  risk: 0.1,
  frailtyVariance: 0.5,
  lossPerYear: 0.04,
  shareRepeated: 0.5,
}

const practices: Readonly<Record<string, () => Promise<Cohort> | Cohort>> = {
  demo: async () =>
    buildCohort(await readRecords(join(import.meta.dirname, '../../data-demo'), { today: 20_700 })),
  steady: () => buildCohort(steadyPractice(usual, randomStream(8))),
  'one crown': () => practice(times(1, { checks: [400, 1200] })),
  'no event': () =>
    practice([...times(20, { checks: [400, 1200] }), ...times(20, { checks: [400, 1200], repeated: true })]),
}

describe.each(Object.entries(practices))('the pages on the own records of a practice: %s', (name, made) => {
  let documents: Readonly<Record<'needed' | 'watch', ReportDocument>>
  beforeAll(async () => {
    const cohort = await made()
    const about = { source: cohort.summary.source, date }
    documents = {
      needed: ownDocument(whatIsNeeded(cohort), about),
      watch: ownDocument(watchPractice(cohort), about),
    }
  })

  it('have words in every part, and no table or picture without content', () => {
    for (const document of Object.values(documents)) {
      for (const { blocks } of document.sections) {
        expect(blocks.length).toBeGreaterThan(0)
        for (const block of blocks) {
          if (block.kind === 'table') expect(block.rows.length).toBeGreaterThan(0)
          if (block.kind === 'figure') expect(block.page.description).toMatch(/\d/)
        }
      }
    }
  })

  // The largest on both papers, the others on one: a sheet more or less is the same there.
  test.each(name === 'demo' ? (['A4', 'letter'] as const) : (['letter'] as const))(
    'take at most three sheets each on %s',
    async (paper) => {
      if (chromium === undefined) return
      for (const [kind, document] of Object.entries(documents)) {
        const html = documentHtml(document, await drawFigures(document), paper)
        const pdf = await pdfOfHtml(html, { date })
        const folder = process.env.HOLDFAST_KEEP_PAGES
        if (folder !== undefined) writeFileSync(join(folder, `${kind}-${name}-${paper}.pdf`), pdf)
        const sheets = Buffer.from(pdf)
          .toString('latin1')
          .match(/\/Type\s*\/Page\b(?!s)/g)?.length
        expect(sheets, kind).toBeLessThanOrEqual(3)
      }
    },
    120_000,
  )
})
