import { describe, expect, it } from 'vitest'
import { documentHtml } from '../../src/documents/formats/html.js'
import { findBrowser, pdfOfHtml } from '../../src/documents/formats/pdf.js'
import { pooledDocument } from '../../src/documents/kinds/pooledDocument.js'
import { shareDocument } from '../../src/documents/kinds/shareDocument.js'
import { siteDocument } from '../../src/documents/kinds/siteDocument.js'
import type { ReportDocument } from '../../src/documents/model/document.js'
import { gathered } from '../../src/pooling/coordinator/gather.js'
import { pooledResult } from '../../src/pooling/coordinator/groupResult.js'
import { fromWholeNumbers, layoutOf } from '../../src/pooling/protocol/layout.js'
import { listCode } from '../../src/pooling/protocol/listCode.js'
import { listHash } from '../../src/pooling/protocol/messages.js'
import { checkedTotals } from '../../src/pooling/site/ownPage.js'
import { answered, coordinator, listOf, readyPractice } from '../pooling/messagesOfGroup.js'
import { agreedOn, fifteenPractices, groupRows } from '../pooling/syntheticGroup.js'
import { drawFigures } from './drawFigures.js'
import { printedSheets } from './printedSheets.js'

const chromium = await findBrowser()
const date = '2026-02-01'
const agreed = agreedOn()

/** Blank below the text of each sheet, in millimetres. */
async function printed(document: ReportDocument): Promise<readonly number[]> {
  const html = documentHtml(document, await drawFigures(document))
  return printedSheets(await pdfOfHtml(html, { date })).map(({ emptyBelow }) => emptyBelow)
}

/** The documents of a group; all but three of the practices are open, so that forest and funnel are in the report. */
function documentsOf(sites: number): Readonly<Record<'report' | 'site' | 'share', ReportDocument>> {
  const rows = groupRows(agreed.protocol, fifteenPractices.slice(15 - sites))
  const group = rows.map((one, i) =>
    readyPractice(`Practice at the Bridge ${i}`, one, agreed, { open: sites > 6 && i > 2 }),
  )
  const list = listOf(
    group.map(({ ready }) => ready),
    agreed,
  )
  const steps = group.map(({ practice }) => answered(practice, list))
  const answers = steps.map(({ answer }) => answer)
  const sum = gathered(list, answers, coordinator)
  if (sum.state === 'waiting') throw new Error('waiting')
  const result = pooledResult(fromWholeNumbers(sum.totals.values, layoutOf(agreed.protocol)), agreed, {
    route: 'sums',
    listHash: listHash(list),
    sites: list.sites,
    generated: true,
    open: answers.flatMap(({ name, open }) => (open === null ? [] : [{ name, figures: open }])),
  })
  const { page } = checkedTotals([steps[0]!.practice], sum.totals)
  const about = { list, code: listCode(listHash(list)), call: list.sites[1]!.name }
  return {
    report: pooledDocument(result, { date, version: '0.1.0' }),
    site: siteDocument(page, { date }),
    share: shareDocument(about, { date, generated: true, name: list.sites[0]!.name }),
  }
}

describe.each([6, 15])('a group of %i practices', (sites) => {
  const documents = documentsOf(sites)
  it.each([
    { name: 'report', most: 8 },
    { name: 'site', most: 2 },
    { name: 'share', most: 2 },
  ] as const)(
    'prints its $name on at most $most pages, none but the last half empty',
    async ({ name, most }) => {
      if (chromium === undefined) {
        process.stderr.write('NOT RUN: printing. There is no Chromium; apt-get install chromium.\n')
        return
      }
      const blank = await printed(documents[name])
      expect(blank.length).toBeGreaterThan(0)
      expect(blank.length).toBeLessThanOrEqual(most)
      for (const one of blank.slice(0, -1)) expect(one).toBeLessThan(75)
    },
    120_000,
  )
})
