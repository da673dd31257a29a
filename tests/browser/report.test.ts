import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { pathToFileURL } from 'node:url'
import type { BrowserContext, Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { renderAuditHtml } from '../documents/auditHtml.js'
import { fixtures } from '../documents/fixture.js'
import { describeInChromium } from './chromium.js'

const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8')
const shapes = ['usual', 'no events', 'nothing estimable', 'hostile'] as const

describeInChromium('the report in the browser', (context) => {
  let folder = ''
  const address = (shape: string): string =>
    pathToFileURL(join(folder, `${shape.replaceAll(' ', '-')}.html`)).href

  beforeAll(async () => {
    folder = mkdtempSync(join(tmpdir(), 'pages-'))
    for (const shape of shapes) {
      const html = await renderAuditHtml(fixtures[shape]!(), { date: '2026-05-04', version: '0.1.0' })
      writeFileSync(join(folder, `${shape.replaceAll(' ', '-')}.html`), html)
    }
  })

  afterAll(() => {
    rmSync(folder, { recursive: true, force: true })
  })

  describe.each(shapes)('of %s', (shape) => {
    test.each([390, 1280])('has no horizontal scroll at %i pixels and asks for nothing', async (width) => {
      await withPage(context(), async (page) => {
        const requests: string[] = []
        page.on('request', (request) => requests.push(request.url()))
        const refusals: string[] = []
        page.on('console', (message) => refusals.push(message.text()))
        await page.setViewportSize({ width, height: 900 })
        await page.goto(address(shape))
        expect(await page.evaluate('document.documentElement.scrollWidth')).toBe(width)
        expect(requests).toEqual([address(shape)])
        expect(refusals).toEqual([])
      })
    })
  })

  describe.each(['usual', 'hostile'] as const)('of %s', (shape) => {
    test.each(['light', 'dark', 'print'] as const)('has no violation that axe finds (%s)', async (mode) => {
      await withPage(context(), async (page) => {
        await page.emulateMedia({
          media: mode === 'print' ? 'print' : 'screen',
          colorScheme: mode === 'dark' ? 'dark' : 'light',
        })
        await page.goto(address(shape))
        await page.evaluate(axe)
        const found = await page.evaluate<{ violations: { id: string; nodes: { html: string }[] }[] }>(
          'axe.run()',
        )
        expect(found.violations.map(({ id, nodes }) => `${id}: ${nodes[0]?.html}`)).toEqual([])
      })
    })
  })

  test('shows malicious text as text and runs nothing', async () => {
    await withPage(context(), async (page) => {
      let alerts = 0
      page.on('dialog', (dialog) => {
        alerts++
        void dialog.dismiss()
      })
      await page.goto(address('hostile'))
      expect(alerts).toBe(0)
      expect(await page.evaluate('document.scripts.length')).toBe(1)
      expect(await page.evaluate("document.querySelector('h1').textContent")).toContain(
        '</script><script>alert(1)</script>',
      )
    })
  })

  test('shows the narrow figures on a small screen and the wide ones on a large one', async () => {
    await withPage(context(), async (page) => {
      await page.goto(address('usual'))
      for (const [width, shown, hidden] of [
        [390, 'column', 'page'],
        [1280, 'page', 'column'],
      ] as const) {
        await page.setViewportSize({ width, height: 900 })
        const display = (kind: string) =>
          page.evaluate(`getComputedStyle(document.querySelector('.picture.${kind}')).display`)
        expect(await display(shown)).toBe('block')
        expect(await display(hidden)).toBe('none')
      }
    })
  })

  test('can be used by keyboard: the first stop leads to the answer', async () => {
    await withPage(context(), async (page) => {
      await page.goto(address('usual'))
      await page.keyboard.press('Tab')
      expect(await page.evaluate('document.activeElement.getAttribute("href")')).toBe('#answer')
      await page.keyboard.press('Tab')
      expect(await page.evaluate('document.activeElement.closest("nav") !== null')).toBe(true)
    })
  })
})

async function withPage(context: BrowserContext, use: (page: Page) => Promise<void>): Promise<void> {
  const page = await context.newPage()
  try {
    await use(page)
  } finally {
    await page.close()
  }
}
