import { createRequire } from 'node:module'
import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { dodged } from '../../src/charts/dodge.js'
import { textWidth, widestText, wrapText } from '../../src/charts/textWidth.js'

const require = createRequire(import.meta.url)

/** Measures with the font itself, through the canvas that Vega uses too. */
function measurer(weight: 'normal' | 'bold'): (text: string) => number {
  const { createCanvas, GlobalFonts } = require('canvas') as typeof import('canvas')
  const file = weight === 'bold' ? 'DejaVuSansCondensed-Bold' : 'DejaVuSansCondensed'
  GlobalFonts.registerFromPath(require.resolve(`dejavu-fonts-ttf/ttf/${file}.ttf`), `measured ${weight}`)
  const context = createCanvas(10, 10).getContext('2d')
  context.font = `100px measured ${weight}`
  return (text) => context.measureText(text).width
}

describe.each(['normal', 'bold'] as const)('widths of the %s font', (weight) => {
  const measured = measurer(weight)

  test('agree letter by letter with the font', () => {
    for (let code = 32; code < 127; code++) {
      const letter = String.fromCharCode(code)
      expect(Math.abs(textWidth(letter, 100, weight) - measured(letter))).toBeLessThan(0.11)
    }
  })

  test('are never too small for the other letters that we print', () => {
    for (const letter of 'éßüñçåø−–…→←≥·†“”’жд漢') {
      expect(textWidth(letter, 100, weight)).toBeGreaterThanOrEqual(measured(letter) - 19)
    }
    const sentence = 'Rückgang −3.9 (−6.5 to −1.2), “très élevé”…'
    expect(textWidth(sentence, 100, weight)).toBeGreaterThanOrEqual(measured(sentence))
  })
})

describe('wrapping', () => {
  test('keeps every line within the room and loses no letter', () => {
    fc.assert(
      fc.property(
        fc.array(fc.string({ minLength: 1, maxLength: 30 }), { maxLength: 12 }),
        fc.integer({ min: 20, max: 300 }),
        (words, room) => {
          const text = words.join(' ')
          const lines = wrapText(text, room, 10)
          expect(widestText(lines, 10)).toBeLessThanOrEqual(room)
          expect(lines.join('').replace(/\s/g, '')).toBe(text.replace(/\s/g, ''))
        },
      ),
      { numRuns: 200 },
    )
  })

  test('shows by an ellipsis that lines were cut', () => {
    const lines = wrapText('one two three four five six', 40, 10, { mostLines: 2 })
    expect(lines).toHaveLength(2)
    expect(lines[1]).toMatch(/…$/)
    expect(widestText(lines, 10)).toBeLessThanOrEqual(40)
  })

  test('gives one empty line for no text', () => {
    expect(wrapText('', 100, 10)).toEqual([''])
  })
})

describe('moving labels apart', () => {
  test('never lets two overlap, keeps their order and, where there is room, the frame', () => {
    fc.assert(
      fc.property(
        fc.array(
          fc.record({
            wish: fc.double({ min: 0, max: 300, noNaN: true }),
            height: fc.integer({ min: 8, max: 40 }),
          }),
          {
            minLength: 1,
            maxLength: 7,
          },
        ),
        (labels) => {
          const middles = dodged(
            labels.map((label) => label.wish),
            labels.map((label) => label.height),
            300,
          )
          const order = labels.map((_, index) => index).sort((a, b) => middles[a]! - middles[b]!)
          for (let position = 1; position < order.length; position++) {
            const [above, below] = [order[position - 1]!, order[position]!]
            const gap = middles[below]! - middles[above]!
            expect(gap).toBeGreaterThanOrEqual((labels[above]!.height + labels[below]!.height) / 2 - 1e-9)
            expect(labels[above]!.wish).toBeLessThanOrEqual(labels[below]!.wish)
          }
          for (const [index, middle] of middles.entries()) {
            expect(middle - labels[index]!.height / 2).toBeGreaterThanOrEqual(-1e-9)
            expect(middle + labels[index]!.height / 2).toBeLessThanOrEqual(300 + 1e-9)
          }
        },
      ),
    )
  })

  test('leaves labels alone that do not touch', () => {
    expect(dodged([200, 20], [10, 10], 300)).toEqual([200, 20])
  })
})
