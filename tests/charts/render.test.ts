import { inflateSync } from 'node:zlib'
import type { TopLevelSpec } from 'vega-lite'
import { describe, expect, test } from 'vitest'
import { attritionDiagram } from '../../src/charts/attritionDiagram.js'
import { pngFromSvg, renderPng, renderSvg } from '../../src/charts/render.js'
import { retentionChart } from '../../src/charts/retentionChart.js'
import { UsageError } from '../../src/core/errors.js'
import { fixtures } from '../report/fixture.js'

const usual = fixtures.usual!()
const chart = retentionChart(usual.retention)

test('our own type of a specification is one that Vega-Lite accepts', () => {
  const accepted: TopLevelSpec = chart
  expect(accepted.$schema).toContain('vega-lite')
})

describe('SVG', () => {
  test('is the same, byte for byte, when drawn again and after other charts', async () => {
    const first = await renderSvg(chart)
    await renderSvg(attritionDiagram(usual.summary))
    expect(await renderSvg(chart)).toBe(first)
  })

  test('is one picture with a text alternative and real text', async () => {
    const svg = await renderSvg(chart)
    expect(svg).toMatch(/^<svg role="img" aria-label="Curves of the share free of first screw loosening/)
    expect(svg).toContain('>Repeated in window</text>')
    expect(svg).not.toContain('graphics-')
    expect(svg).not.toMatch(/\d\.\d{4,}/)
    expect(svg).not.toMatch(/NaN|undefined|Infinity/)
  })

  test('shows markup in a name as text', async () => {
    const hostile = fixtures.hostile!()
    for (const one of [retentionChart(hostile.retention), attritionDiagram(hostile.summary)]) {
      const svg = await renderSvg(one)
      expect(svg).not.toContain('<script')
      expect(svg).toContain('&lt;')
      expect(svg).not.toContain('\u202e')
    }
  })

  test.each(Object.keys(fixtures))('can be drawn for %s', async (name) => {
    const svg = await renderSvg(retentionChart(fixtures[name]!().retention, { size: 'column' }))
    expect(svg).not.toMatch(/NaN|Infinity|>null<|>undefined</)
  })

  test('a specification that cannot be drawn is refused with the mend', async () => {
    const wrong = { mark: 'line', encoding: { x: { field: 'a', type: 'no-such-type' } }, data: { name: 1 } }
    await expect(renderSvg({ ...wrong, layer: [{ mark: 'blob' }] })).rejects.toThrow(UsageError)
  })
})

describe('PNG', () => {
  test('has the asked width at the asked resolution, and says so', async () => {
    const png = Buffer.from(await renderPng(chart, { widthMm: 90, dpi: 300 }))
    expect(png.subarray(1, 4).toString()).toBe('PNG')
    expect(png.readUInt32BE(16)).toBe(1063)
    const at = png.indexOf('pHYs')
    expect(png.readUInt32BE(at + 4)).toBe(Math.round(300 / 0.0254))
    expect(at).toBe(37)
  })

  test('is the same, byte for byte', async () => {
    const svg = await renderSvg(chart)
    const [one, other] = [await pngFromSvg(svg, { dpi: 96 }), await pngFromSvg(svg, { dpi: 96 })]
    expect(Buffer.compare(one, other)).toBe(0)
  })

  test('draws its text: without its font the picture would differ', async () => {
    const svg = await renderSvg(chart)
    const textless = svg.replace(/<text[^>]*>[^<]*<\/text>/g, '')
    const [withText, without] = [await pngFromSvg(svg, { dpi: 96 }), await pngFromSvg(textless, { dpi: 96 })]
    expect(inkedBytes(withText)).toBeGreaterThan(inkedBytes(without) * 1.02)
  })

  test('an impossible size is refused', async () => {
    await expect(renderPng(chart, { dpi: 0 })).rejects.toThrow(/dots an inch cannot be made/)
  })
})

/** Bytes of colour other than those of white paper; rows are unfiltered. */
function inkedBytes(png: Uint8Array): number {
  const buffer = Buffer.from(png)
  const parts: Buffer[] = []
  for (let at = 8; at < buffer.length; ) {
    const length = buffer.readUInt32BE(at)
    if (buffer.toString('latin1', at + 4, at + 8) === 'IDAT')
      parts.push(buffer.subarray(at + 8, at + 8 + length))
    at += 12 + length
  }
  return inflateSync(Buffer.concat(parts)).reduce((sum, byte) => sum + (byte === 255 ? 0 : 1), 0)
}
