import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { createRequire } from 'node:module'
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

const names = readdirSync(join(root, 'notebooks'))
  .filter((one) => one.endsWith('.ipynb'))
  .map((one) => one.replace('.ipynb', ''))

/** Address of the page of a notebook of the project, as it was run. */
function pageOf(name: string): string {
  const file = join(scratch, `${name}.html`)
  const head = ['Data set: north', 'Plan: none was given']
  writeFileSync(
    file,
    notebookHtml(readNotebook(join(root, 'notebooks', `${name}.ipynb`)), { code: true, head }),
  )
  return pathToFileURL(file).href
}

describeInChromium('pages of notebooks on a telephone', (context) => {
  it('scroll nothing sideways, each notebook of the project', async () => {
    const page = await context().newPage()
    await page.setViewportSize(phone)
    for (const name of names) {
      await page.goto(pageOf(name))
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
    const shown = await page.evaluate<readonly string[]>(`
      [...document.querySelectorAll('.output .picture')]
        .filter((picture) => picture.getClientRects().length > 0)
        .map((picture) => picture.className)`)
    expect(shown).toEqual(['picture column', 'picture column'])
    const widths = await page.evaluate<readonly number[]>(`
      [...document.querySelectorAll('.picture.column svg')]
        .map((picture) => picture.clientWidth / picture.viewBox.baseVal.width)`)
    expect(Math.min(...widths)).toBeGreaterThan(0.9)
    await page.close()
  }, 120_000)
})

const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8')
const sizes = { desktop: { width: 1280, height: 900 }, telephone: phone } as const

describeInChromium('pages of notebooks for everyone', (context) => {
  // Colours do not depend on the width, nor the layout on the colours.
  it.each([
    ['desktop', 'light'],
    ['telephone', 'dark'],
  ] as const)(
    'have no violation that axe finds (%s, %s)',
    async (size, scheme) => {
      const page = await context().newPage()
      await page.setViewportSize(sizes[size])
      await page.emulateMedia({ colorScheme: scheme })
      for (const name of names) {
        await page.goto(pageOf(name))
        await page.evaluate(axe)
        const found = await page.evaluate<{ violations: { id: string; nodes: { html: string }[] }[] }>(
          'axe.run()',
        )
        expect([
          name,
          ...found.violations.map(({ id, nodes }) => `${id}: ${nodes[0]?.html.slice(0, 300)}`),
        ]).toEqual([name])
      }
      await page.close()
    },
    240_000,
  )

  it('are dark where the system is, text, parts and figures', async () => {
    const page = await context().newPage()
    const coloursOf = async (scheme: 'light' | 'dark') => {
      await page.emulateMedia({ colorScheme: scheme })
      return page.evaluate<readonly string[]>(`[
        getComputedStyle(document.body).backgroundColor,
        getComputedStyle(document.querySelector('.holdfast-part')).backgroundColor,
        getComputedStyle(document.querySelector('.picture.page svg text')).fill,
      ]`)
    }
    await page.goto(pageOf('04-one-tightening-against-two'))
    const [light, dark] = [await coloursOf('light'), await coloursOf('dark')]
    expect(light.slice(0, 2)).toEqual(['rgb(255, 255, 255)', 'rgb(255, 255, 255)'])
    expect(dark.slice(0, 2)).toEqual(['rgb(19, 25, 31)', 'rgb(19, 25, 31)'])
    expect(dark[2]).not.toBe(light[2])
    await page.close()
  }, 60_000)

  it('can be worked with the keyboard alone: each stop is seen, and nothing that scrolls is out of reach', async () => {
    const page = await context().newPage()
    await page.setViewportSize(sizes.desktop)
    for (const name of names) {
      await page.goto(pageOf(name))
      const stops = await page.evaluate<number>(
        `[...document.querySelectorAll('a[href],button,input,select,summary,[tabindex="0"]')].filter((one) => one.getClientRects().length > 0).length`,
      )
      for (let stop = 0; stop < stops; stop++) {
        await page.keyboard.press('Tab')
        const seen = await page.evaluate<string>('getComputedStyle(document.activeElement).outlineStyle')
        expect([name, stop, seen]).toEqual([name, stop, expect.not.stringMatching('none')])
      }
      const outOfReach = await page.evaluate<readonly string[]>(`
        [...document.querySelectorAll('main *')]
          .filter((one) => one.scrollWidth > one.clientWidth + 1 && getComputedStyle(one).overflowX === 'auto' && one.tabIndex < 0)
          .map((one) => one.className)`)
      expect([name, ...outOfReach]).toEqual([name])
    }
    await page.close()
  }, 120_000)
})
