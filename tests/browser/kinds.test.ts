import { readFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import { join } from 'node:path'
import { pathToFileURL } from 'node:url'
import { describe, expect, test } from 'vitest'
import { describeInChromium } from './chromium.js'

const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8')
const reports = join(import.meta.dirname, '../../reports')
const kinds = ['case-series', 'leaflet', 'protocol', 'changes'] as const

describeInChromium('every kind of document in the browser', (context) => {
  describe.each(kinds)('the example of %s', (kind) => {
    const address = pathToFileURL(join(reports, `example-${kind}`, 'report.html')).href

    test.each(['light', 'dark', 'print'] as const)('has no violation that axe finds (%s)', async (mode) => {
      const page = await context().newPage()
      try {
        await page.emulateMedia({
          media: mode === 'print' ? 'print' : 'screen',
          colorScheme: mode === 'dark' ? 'dark' : 'light',
        })
        await page.goto(address)
        await page.evaluate(axe)
        const found = await page.evaluate<{ violations: { id: string; nodes: { html: string }[] }[] }>(
          'axe.run()',
        )
        expect(found.violations.map(({ id, nodes }) => `${id}: ${nodes[0]?.html}`)).toEqual([])
      } finally {
        await page.close()
      }
    })

    test('has no horizontal scroll at 390 pixels', async () => {
      const page = await context().newPage()
      try {
        await page.setViewportSize({ width: 390, height: 800 })
        await page.goto(address)
        const wide = await page.evaluate<number>(
          'document.documentElement.scrollWidth - document.documentElement.clientWidth',
        )
        expect(wide).toBeLessThanOrEqual(0)
      } finally {
        await page.close()
      }
    })
  })
})
