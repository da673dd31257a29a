import { mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { pathToFileURL } from 'node:url'
import type { Page } from 'playwright-core'
import { afterAll, expect, it } from 'vitest'
import { runNotebook } from '../../dist/notebook/run.js'
import { readNotebook } from '../../src/notebook/notebookFile.js'
import { notebookHtml } from '../../src/notebook/notebookHtml.js'
import { describeInChromium } from './chromium.js'

const root = join(import.meta.dirname, '../..')
const scratch = mkdtempSync(join(tmpdir(), 'notebook-pages-'))
afterAll(() => rmSync(scratch, { recursive: true, force: true }))

const phone = { width: 390, height: 844 }

/** What is wider than the place that it has: of the page, of outputs, of tables and pictures. */
const tooWideScript = `
  [document.documentElement, ...document.querySelectorAll('.output, table, img, svg, .picture')]
    .filter((element) => element.getClientRects().length > 0)
    .filter((element) =>
      element.scrollWidth > element.clientWidth + 1 || element.getBoundingClientRect().right > innerWidth + 1)
    .map((element) => element.tagName + '.' + (element.getAttribute('class') ?? ''))`

const tooWide = (page: Page): Promise<readonly string[]> => page.evaluate<readonly string[]>(tooWideScript)

describeInChromium('pages of notebooks on a telephone', (context) => {
  it('scroll nothing sideways, each notebook of the project', async () => {
    const page = await context().newPage()
    await page.setViewportSize(phone)
    for (const name of readdirSync(join(root, 'notebooks')).filter((one) => one.endsWith('.ipynb'))) {
      const file = join(scratch, `${name}.html`)
      writeFileSync(file, notebookHtml(readNotebook(join(root, 'notebooks', name)), { code: true }))
      await page.goto(pathToFileURL(file).href)
      expect([name, ...(await tooWide(page))]).toEqual([name])
    }
    await page.close()
  }, 120_000)

  it('show charts that were drawn for their width, and tables row by row', async () => {
    const cells = [
      "const cohort = buildCohort(await openRecords(process.env.HOLDFAST_DATA ?? ''))",
      'retentionChart(retention(cohort))',
      "incidence(cohort, { by: 'region' })",
    ].map((source) => ({ cell_type: 'code', metadata: {}, source, outputs: [], execution_count: null }))
    const path = join(scratch, 'narrow.ipynb')
    writeFileSync(path, JSON.stringify({ nbformat: 4, nbformat_minor: 5, metadata: {}, cells }))
    const { notebook, failure } = await runNotebook(path, {
      environment: { HOLDFAST_DATA: join(root, 'data-demo') },
      narrow: true,
    })
    expect(failure).toBeUndefined()
    const file = join(scratch, 'narrow.html')
    writeFileSync(file, notebookHtml(notebook, { code: false }))
    const page = await context().newPage()
    await page.setViewportSize(phone)
    await page.goto(pathToFileURL(file).href)
    expect(await tooWide(page)).toEqual([])
    const widths = await page.evaluate<readonly number[]>(`
      [...document.querySelectorAll('.output img')]
        .filter((image) => image.getClientRects().length > 0)
        .map((image) => image.clientWidth / image.naturalWidth)`)
    expect(widths).toHaveLength(1)
    expect(widths[0]).toBeGreaterThan(0.9)
    expect(await page.locator('.picture.column svg').isVisible()).toBe(true)
    expect(await page.locator('.picture.page svg').isVisible()).toBe(false)
    await page.close()
  }, 120_000)
})
