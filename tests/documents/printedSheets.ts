import { inflateSync } from 'node:zlib'

/** One printed sheet, in millimetres. */
export interface PrintedSheet {
  /** Blank from the lowest line of text to the lower margin. */
  readonly emptyBelow: number
  /** Longest stretch of the sheet's text beside which the right half of the sheet has none. */
  readonly rightHalfEmpty: number
  /** Smallest text, in points. */
  readonly smallest: number
  /** Size of the page's text over that of the style sheet; below 1 where the browser made the page smaller to fit what is too wide. */
  readonly shrunk: number
}

/** A matrix of PDF: a, b, c, d, e, f. */
type Matrix = readonly [number, number, number, number, number, number]

interface Mark {
  readonly x: number
  /** Points from the upper edge. */
  readonly y: number
  readonly size: number
  readonly scale: number
}

const millimetre = 72 / 25.4

/** Margins of a printed page, as the style sheet has them. */
const margins = { top: 18, bottom: 16 }

/** Sizes in points to which one CSS pixel comes in print. */
const pixel = 0.75

/**
 * Where the text of each page of a PDF stands, read from the drawing operators of the file as the browser writes them:
 * q, Q and cm keep the matrix, Tf the size, Tm and Td the place, Tj draws (ISO 32000-1, 8.4 and 9.4).
 */
export function printedSheets(pdf: Uint8Array): readonly PrintedSheet[] {
  const bytes = Buffer.from(pdf)
  const text = bytes.toString('latin1')
  return [...text.matchAll(/\n\d+ 0 obj\s*<<\/Type \/Page\b([\s\S]*?)endobj/g)].map(([, page]) => {
    const [width, height] = /MediaBox \[0 0 ([\d.]+) ([\d.]+)\]/.exec(page!)!.slice(1).map(Number)
    const stream = streamOf(bytes, text, /\/Contents (\d+) 0 R/.exec(page!)![1]!)
    return sheetOf(stream, width!, height!)
  })
}

function streamOf(bytes: Buffer, text: string, object: string): string {
  const at = text.indexOf(`\n${object} 0 obj`)
  const length = Number(/\/Length (\d+)/.exec(text.slice(at, at + 200))![1])
  const start = text.indexOf('stream', at) + 'stream'.length
  const first = start + (text[start] === '\r' ? 2 : 1)
  return inflateSync(bytes.subarray(first, first + length)).toString('latin1')
}

function sheetOf(stream: string, width: number, height: number): PrintedSheet {
  const marks = marksOf(stream, height)
  const [top, bottom] = [margins.top * millimetre, height - margins.bottom * millimetre]
  const inner = marks.filter(({ y }) => y > top && y < bottom)
  const lowest = Math.max(top, ...inner.map(({ y }) => y))
  const right = [top, ...inner.filter(({ x }) => x > width * 0.55).map(({ y }) => y), lowest].sort(
    (one, other) => one - other,
  )
  const steps = right.slice(1).map((y, i) => y - right[i]!)
  return {
    emptyBelow: (bottom - lowest) / millimetre,
    rightHalfEmpty: Math.max(0, ...steps) / millimetre,
    smallest: Math.min(...marks.map(({ size }) => size)),
    shrunk: Math.max(...inner.map(({ scale }) => scale)) / pixel,
  }
}

function marksOf(stream: string, height: number): readonly Mark[] {
  const marks: Mark[] = []
  const kept: Matrix[] = []
  let matrix: Matrix = [1, 0, 0, 1, 0, 0]
  let line: Matrix = matrix
  let size = 0
  for (const one of stream.split('\n')) {
    const words = one.split(' ')
    const numbers = words.map(Number)
    const six = numbers.slice(0, 6) as unknown as Matrix
    const operator = words.at(-1)
    if (operator === 'q') kept.push(matrix)
    else if (operator === 'Q') matrix = kept.pop()!
    else if (operator === 'cm') matrix = product(six, matrix)
    else if (operator === 'Tf') size = numbers[1]!
    else if (operator === 'Tm') line = six
    else if (operator === 'Tj') {
      if (words[2] === 'Td') line = product([1, 0, 0, 1, numbers[0]!, numbers[1]!], line)
      const [, , , down, x, y] = product(line, matrix)
      const scale = Math.abs(down)
      marks.push({ x, y: height - y, size: size * scale, scale })
    }
  }
  return marks
}

function product(one: Matrix, other: Matrix): Matrix {
  const [a, b, c, d, e, f] = one
  const [p, q, r, s, t, u] = other
  return [a * p + b * r, a * q + b * s, c * p + d * r, c * q + d * s, e * p + f * r + t, e * q + f * s + u]
}
