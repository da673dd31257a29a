import { describe, expect, test } from 'vitest'
import { groupMark, groupMarks, neutralInk } from '../../src/charts/theme.js'

/** Relative luminance and contrast by WCAG 2.2 (W3C 2023), sections "relative luminance" and "contrast ratio". */
function linear(hex: string): [number, number, number] {
  const channel = (at: number): number => {
    const value = Number.parseInt(hex.slice(at, at + 2), 16) / 255
    return value <= 0.04045 ? value / 12.92 : ((value + 0.055) / 1.055) ** 2.4
  }
  return [channel(1), channel(3), channel(5)]
}

const luminance = ([r, g, b]: readonly number[]): number => 0.2126 * r! + 0.7152 * g! + 0.0722 * b!

function contrast(one: string, other: string): number {
  const [a, b] = [luminance(linear(one)), luminance(linear(other))]
  return (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05)
}

/** Simulation of full colour-blindness in linear RGB: Machado, Oliveira and Fernandes 2009, table 1 (from memory). */
const colourBlindness: Readonly<Record<string, readonly (readonly number[])[]>> = {
  none: [
    [1, 0, 0],
    [0, 1, 0],
    [0, 0, 1],
  ],
  protanopia: [
    [0.152286, 1.052583, -0.204868],
    [0.114503, 0.786281, 0.099216],
    [-0.003882, -0.048116, 1.051998],
  ],
  deuteranopia: [
    [0.367322, 0.860646, -0.227968],
    [0.280085, 0.672501, 0.047413],
    [-0.01182, 0.04294, 0.968881],
  ],
  tritanopia: [
    [1.255528, -0.076749, -0.178779],
    [-0.078411, 0.930809, 0.147602],
    [0.004733, 0.691367, 0.3039],
  ],
}

/** A colour as seen with a colour-blindness. */
function seen(hex: string, kind: string): number[] {
  const rgb = linear(hex)
  return inOklab(colourBlindness[kind]!.map((row) => row[0]! * rgb[0] + row[1]! * rgb[1] + row[2]! * rgb[2]))
}

/** OKLab (Ottosson 2020) of linear RGB. */
function inOklab(rgb: readonly number[]): number[] {
  const [r, g, b] = rgb.map((value) => Math.min(1, Math.max(0, value))) as [number, number, number]
  const l = Math.cbrt(0.4122214708 * r + 0.5363325363 * g + 0.0514459929 * b)
  const m = Math.cbrt(0.2119034982 * r + 0.6806995451 * g + 0.1073969566 * b)
  const s = Math.cbrt(0.0883024619 * r + 0.2817188376 * g + 0.6299787005 * b)
  return [
    0.2104542553 * l + 0.793617785 * m - 0.0040720468 * s,
    1.9779984951 * l - 2.428592205 * m + 0.4505937099 * s,
    0.0259040371 * l + 0.7827717662 * m - 0.808675766 * s,
  ]
}

const distance = (a: readonly number[], b: readonly number[]): number =>
  Math.hypot(...a.map((value, index) => value - b[index]!))

const groups = Object.entries(groupMarks)

/** The groups that are compared with each other: by measured tightenings and by the chart. */
const comparedPairs = [
  ['single', 'repeated in the window'],
  ['single, by the chart', 'repeated, wait not recorded'],
] as const

describe.each(['light', 'dark'] as const)('palette on a %s surface', (mode) => {
  const surface = neutralInk.surface[mode]

  test.each(groups)('%s is clear enough for a mark and for its label', (_name, { ink }) => {
    expect(contrast(ink[mode], surface)).toBeGreaterThanOrEqual(4.5)
  })

  test('words are clear enough to read', () => {
    for (const ink of [neutralInk.text, neutralInk.quiet, neutralInk.warning]) {
      expect(contrast(ink[mode], surface)).toBeGreaterThanOrEqual(4.5)
      expect(contrast(ink[mode], neutralInk.panel[mode])).toBeGreaterThanOrEqual(4.5)
    }
    expect(contrast(neutralInk.frame[mode], surface)).toBeGreaterThanOrEqual(3)
  })

  test.each(Object.keys(colourBlindness))('the two compared groups are far apart (%s)', (kind) => {
    for (const pair of comparedPairs) {
      const [single, repeated] = pair.map((name) => seen(groupMark(name).ink[mode], kind))
      expect(distance(single!, repeated!)).toBeGreaterThan(0.12)
    }
  })

  test('the two compared groups differ in grey', () => {
    for (const pair of comparedPairs) {
      const [single, repeated] = pair.map((name) => groupMark(name).ink[mode])
      expect(contrast(single!, repeated!)).toBeGreaterThan(1.35)
    }
  })
})

/** Share of a line that is drawn, and the length after which its pattern begins anew. */
function pattern(dash: readonly number[]): { drawn: number; period: number } {
  const period = dash.reduce((sum, length) => sum + length, 0)
  return {
    drawn: dash.filter((_, index) => index % 2 === 0).reduce((sum, one) => sum + one, 0) / period,
    period,
  }
}

describe('without any colour', () => {
  const drawnTogether = groups.filter(([name]) => name !== 'all')
  const pairs = drawnTogether.flatMap(([name, one], index) =>
    drawnTogether
      .slice(index + 1)
      .map(([other, two]): [string, typeof one, typeof two] => [`${name} and ${other}`, one, two]),
  )

  test.each(pairs)('%s have lines that look different and points of another shape', (_names, one, two) => {
    const [first, second] = [pattern(one.dash), pattern(two.dash)]
    const solid = [first, second].filter(({ drawn }) => drawn === 1).length
    const periods = Math.max(first.period, second.period) / Math.min(first.period, second.period)
    const apart = Math.abs(first.drawn - second.drawn) >= 0.14 || periods >= 1.5
    expect(solid === 1 || apart).toBe(true)
    expect(one.shape).not.toBe(two.shape)
  })
})

/** Brettel, Viénot and Mollon 1997 as simplified by Viénot, Brettel and Mollon 1999 for dichromats, in linear RGB
 * (matrices from memory). A second simulation, so that the palette does not hang on one. */
const dichromacy: Readonly<Record<string, readonly (readonly number[])[]>> = {
  protanopia: [
    [0.11238, 0.88762, 0],
    [0.11238, 0.88762, 0],
    [0.00401, -0.00401, 1],
  ],
  deuteranopia: [
    [0.29275, 0.70725, 0],
    [0.29275, 0.70725, 0],
    [-0.02234, 0.02234, 1],
  ],
}

test.each(Object.entries(dichromacy))(
  'the two compared groups are far apart by another simulation (%s)',
  (_kind, matrix) => {
    for (const [mode, pair] of (['light', 'dark'] as const).flatMap((mode) =>
      comparedPairs.map((pair) => [mode, pair] as const),
    )) {
      const [single, repeated] = pair.map((name) => {
        const rgb = linear(groupMark(name).ink[mode])
        return inOklab(matrix.map((row) => row[0]! * rgb[0] + row[1]! * rgb[1] + row[2]! * rgb[2]))
      })
      expect(distance(single!, repeated!)).toBeGreaterThan(0.12)
    }
  },
)

test('a name that the theme does not know has the mark of other, even a name of an object method', () => {
  expect(groupMark('clinic 7')).toBe(groupMarks.other)
  expect(groupMark('constructor')).toBe(groupMarks.other)
})
