import { readFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import type { BrowserContext } from 'playwright-core'
import { describe, expect, test } from 'vitest'
import { attritionDiagram } from '../../src/charts/attritionDiagram.js'
import { completenessChart } from '../../src/charts/completenessChart.js'
import { renderSvg } from '../../src/charts/render.js'
import type { ChartSpecification } from '../../src/charts/specification.js'
import type { FigureOptions } from '../../src/charts/theme.js'
import type { AuditResult } from '../../src/questions/audit.js'
import { hazardRatioChart } from '../../src/questions/crudeComparison/chart.js'
import { incidenceChart } from '../../src/questions/incidence/chart.js'
import { retentionChart } from '../../src/questions/retention/chart.js'
import { fixtures } from '../documents/fixture.js'
import { describeInChromium, layoutFaults, type TextBox } from './chromium.js'

const require = createRequire(import.meta.url)

/** The font that ships with the toolkit, so that the test does not hang on the fonts of the machine. */
const fontFaces = (['', '-Bold'] as const)
  .map((weight) => {
    const file = require.resolve(`dejavu-fonts-ttf/ttf/DejaVuSansCondensed${weight}.ttf`)
    const data = readFileSync(file).toString('base64')
    return `@font-face{font-family:"DejaVu Sans Condensed";font-weight:${weight === '' ? 400 : 700};src:url(data:font/ttf;base64,${data})}`
  })
  .join('')

function chartsOf(audit: AuditResult, options: FigureOptions): ChartSpecification[] {
  const { comparison } = audit
  return [
    retentionChart(audit.retention, options),
    retentionChart(audit.retention, { ...options, groups: ['all', 'single', 'repeated in the window'] }),
    incidenceChart(audit.retention, options),
    attritionDiagram(audit.summary, options),
    completenessChart(audit.summary.quality.completeness, options),
    ...(comparison === undefined ? [] : [hazardRatioChart(comparison, options)]),
  ]
}

/** Faults of every figure of a page that holds several. */
async function faultsOf(context: BrowserContext, svgs: readonly string[]): Promise<readonly string[]> {
  const page = await context.newPage()
  try {
    await page.setContent(`<style>${fontFaces}</style>${svgs.join('\n')}`)
    await page.evaluate('document.fonts.ready')
    const measured = await page.evaluate<{ frame: TextBox; boxes: TextBox[] }[]>(measure)
    expect(measured).toHaveLength(svgs.length)
    return measured.flatMap(({ frame, boxes }) => {
      expect(boxes.length).toBeGreaterThan(2)
      return layoutFaults(boxes, frame)
    })
  } finally {
    await page.close()
  }
}

/** Runs in the page, so it is given as text. */
const measure = `[...document.querySelectorAll('svg')].map((svg) => {
  const box = (element) => {
    const { left, right, top, bottom } = element.getBoundingClientRect()
    return { text: element.textContent, left, right, top, bottom }
  }
  return { frame: { ...box(svg), text: '' }, boxes: [...svg.querySelectorAll('text')].map(box) }
})`

describeInChromium('figures in the browser', (context) => {
  describe.each(['column', 'page', 'screen'] as const)('at the size of a %s', (size) => {
    test.each(Object.keys(fixtures))('no text of %s overlaps another or leaves its frame', async (name) => {
      const charts = chartsOf(fixtures[name]!(), { size, generated: true })
      const svgs: string[] = []
      for (const chart of charts) svgs.push(await renderSvg(chart))
      expect(await faultsOf(context(), svgs)).toEqual([])
    })
  })

  test('the check sees an overlap and a text outside', async () => {
    const svg =
      '<svg width="200" height="60" xmlns="http://www.w3.org/2000/svg"><text x="10" y="30">one</text><text x="18" y="30">two</text><text x="150" y="30">far too long a text</text></svg>'
    expect(await faultsOf(context(), [svg])).toEqual([
      '“far too long a text” leaves the frame',
      '“one” overlaps “two”',
    ])
  })
})
