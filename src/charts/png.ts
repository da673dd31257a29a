import { promisify } from 'node:util'
import { crc32, deflate } from 'node:zlib'

/** An opaque picture: four bytes a pixel (red, green, blue, alpha), row after row. */
export interface Pixels {
  readonly width: number
  readonly height: number
  readonly pixels: Uint8Array
}

const signature = Buffer.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a])
const compress = promisify(deflate)

/**
 * PNG (W3C 2003) of an opaque picture, with its resolution (chunk pHYs), so that it opens at its real size. Written
 * here because compression then runs beside the main thread, and because line art is smaller, and quicker to compress,
 * with a palette and without row filters.
 *
 * Where a picture has more than 256 colours, which only the edges of text and lines bring about, the rarest take the
 * nearest of the others.
 */
export async function pngOf(picture: Pixels, dpi: number): Promise<Uint8Array> {
  const { palette, rows } = indexed(picture)
  const header = Buffer.alloc(13)
  header.writeUInt32BE(picture.width, 0)
  header.writeUInt32BE(picture.height, 4)
  header.writeUInt8(8, 8)
  header.writeUInt8(3, 9)
  const resolution = Buffer.alloc(9)
  const dotsPerMetre = Math.round(dpi / 0.0254)
  resolution.writeUInt32BE(dotsPerMetre, 0)
  resolution.writeUInt32BE(dotsPerMetre, 4)
  resolution.writeUInt8(1, 8)
  const data = await compress(rows, { level: 4 })
  return Buffer.concat([
    signature,
    chunk('IHDR', header),
    chunk('pHYs', resolution),
    chunk('PLTE', palette),
    chunk('IDAT', data),
    chunk('IEND', Buffer.alloc(0)),
  ])
}

const mostInPalette = 256

/** Palette of three bytes a colour, and rows of one byte a pixel, each after a zero: no filter. */
function indexed(picture: Pixels): { readonly palette: Buffer; readonly rows: Buffer } {
  const { colours, counts, runs } = runsOf(picture)
  const order = Array.from(colours.keys()).sort((one, other) => counts[other]! - counts[one]! || one - other)
  const kept = order.slice(0, mostInPalette).map((place) => colours[place]!)
  const palette = Buffer.alloc(kept.length * 3)
  for (const [place, colour] of kept.entries()) palette.writeUIntLE(colour & 0xffffff, place * 3, 3)
  const finalPlaces = new Uint8Array(colours.length)
  for (const [rank, place] of order.entries()) {
    finalPlaces[place] = rank < mostInPalette ? rank : nearest(colours[place]!, kept)
  }
  const { width, height } = picture
  const rows = Buffer.alloc(height * (width + 1))
  let pixel = 0
  for (let run = 0; run < runs.length; run += 2) {
    const end = runs[run + 1]!
    const shift = Math.floor(pixel / width) + 1
    rows.fill(finalPlaces[runs[run]!]!, pixel + shift, end + shift)
    pixel = end
  }
  return { palette, rows }
}

interface ColourRuns {
  readonly colours: readonly number[]
  /** How many pixels have each. */
  readonly counts: readonly number[]
  /** Place of the colour of a run among the colours, and the pixel after its last, in turn; none crosses rows. */
  readonly runs: Uint32Array
}

/** Line art is runs of one colour. */
function runsOf({ width, height, pixels }: Pixels): ColourRuns {
  const every = coloursOf(pixels)
  const { colours, placeOf } = colourPlaces()
  const counts: number[] = []
  let runs = new Uint32Array(1 << 16)
  let used = 0
  const close = (colour: number, start: number, end: number): void => {
    const place = placeOf(colour)
    counts[place] = (counts[place] ?? 0) + end - start
    if (used === runs.length) {
      const larger = new Uint32Array(2 * used)
      larger.set(runs)
      runs = larger
    }
    runs[used++] = place
    runs[used++] = end
  }
  for (let y = 0; y < height; y++) {
    const rowEnd = (y + 1) * width
    let start = y * width
    let colour = every[start]!
    for (let pixel = start + 1; pixel < rowEnd; pixel++) {
      if (every[pixel] === colour) continue
      close(colour, start, pixel)
      start = pixel
      colour = every[pixel]!
    }
    close(colour, start, rowEnd)
  }
  return { colours, counts, runs: runs.subarray(0, used) }
}

/** Gives each new colour the next place; a table of those seen last spares most look-ups. */
function colourPlaces(): {
  readonly colours: readonly number[]
  readonly placeOf: (colour: number) => number
} {
  const known = new Map<number, number>()
  const colours: number[] = []
  const lastColour = new Float64Array(4096).fill(-1)
  const lastPlace = new Uint32Array(4096)
  const placeOf = (colour: number): number => {
    const slot = (colour ^ (colour >>> 11)) & 4095
    if (lastColour[slot] === colour) return lastPlace[slot]!
    const place = known.get(colour) ?? colours.length
    if (place === colours.length) {
      known.set(colour, place)
      colours.push(colour)
    }
    lastColour[slot] = colour
    lastPlace[slot] = place
    return place
  }
  return { colours, placeOf }
}

function nearest(colour: number, kept: readonly number[]): number {
  let best = 0
  let least = Number.POSITIVE_INFINITY
  for (let place = 0; place < kept.length; place++) {
    const other = kept[place]!
    const [red, green, blue] = [
      (colour & 0xff) - (other & 0xff),
      ((colour >>> 8) & 0xff) - ((other >>> 8) & 0xff),
      ((colour >>> 16) & 0xff) - ((other >>> 16) & 0xff),
    ]
    const distance = red * red + green * green + blue * blue
    if (distance < least) {
      least = distance
      best = place
    }
  }
  return best
}

/** One number a pixel, red in its lowest byte: typed arrays are little-endian wherever Node runs. */
function coloursOf(pixels: Uint8Array): Uint32Array {
  const aligned = pixels.byteOffset % 4 === 0 ? pixels : pixels.slice()
  return new Uint32Array(aligned.buffer, aligned.byteOffset, aligned.byteLength / 4)
}

function chunk(type: string, data: Buffer): Buffer {
  const whole = Buffer.alloc(12 + data.length)
  whole.writeUInt32BE(data.length, 0)
  whole.write(type, 4, 'latin1')
  data.copy(whole, 8)
  whole.writeUInt32BE(crc32(whole.subarray(4, 8 + data.length)), 8 + data.length)
  return whole
}
