import { createCanvas, loadImage } from 'canvas'
import type { TopLevelSpec } from 'vega-lite'
import { describe, expect, test } from 'vitest'
import { attritionDiagram } from '../../src/charts/attritionDiagram.js'
import { renderPng, renderSvg } from '../../src/charts/render.js'
import { UsageError } from '../../src/core/errors.js'
import { retentionChart } from '../../src/questions/retention/chart.js'
import { fixtures } from '../documents/fixture.js'

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
    const [one, other] = [await renderPng(chart, { dpi: 96 }), await renderPng(chart, { dpi: 96 })]
    expect(Buffer.compare(one, other)).toBe(0)
  })

  test('draws its text in our font', async () => {
    const written = (text: string): object => ({
      mark: { type: 'text', text, fontSize: 20, font: 'DejaVu Sans Condensed' },
      data: { values: [{}] },
      background: '#ffffff',
      width: 200,
      height: 40,
    })
    const inked = async (text: string): Promise<number> =>
      inkedPixels(await renderPng(written(text), { dpi: 96 }))
    const [none, narrow, wide] = [await inked(' '), await inked('iiii'), await inked('WWWW')]
    expect(none).toBe(0)
    expect(narrow).toBeGreaterThan(50)
    expect(wide).toBeGreaterThan(2 * narrow)
  })

  test('an impossible size is refused', async () => {
    await expect(renderPng(chart, { dpi: 0 })).rejects.toThrow(/dots an inch cannot be made/)
  })
})

/** Pixels other than those of the most frequent colour, which is paper. */
async function inkedPixels(png: Uint8Array): Promise<number> {
  const picture = await loadImage(Buffer.from(png))
  const drawn = createCanvas(picture.width, picture.height).getContext('2d')
  drawn.drawImage(picture, 0, 0)
  const { data } = drawn.getImageData(0, 0, picture.width, picture.height)
  const counts = new Map<number, number>()
  for (const pixel of new Uint32Array(data.buffer)) counts.set(pixel, (counts.get(pixel) ?? 0) + 1)
  return data.length / 4 - Math.max(...counts.values())
}
