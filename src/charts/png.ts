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
 * here because compression then runs beside the main thread, and because line art of few colours is smaller, and
 * quicker to compress, with a palette and without row filters.
 */
export async function pngOf(picture: Pixels, dpi: number): Promise<Uint8Array> {
  const { colourType, palette, rows } = indexedRows(picture) ?? trueColourRows(picture)
  const header = Buffer.alloc(13)
  header.writeUInt32BE(picture.width, 0)
  header.writeUInt32BE(picture.height, 4)
  header.writeUInt8(8, 8)
  header.writeUInt8(colourType, 9)
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
    ...(palette === undefined ? [] : [chunk('PLTE', palette)]),
    chunk('IDAT', data),
    chunk('IEND', Buffer.alloc(0)),
  ])
}

interface Rows {
  readonly colourType: number
  readonly palette?: Buffer
  /** Each row after a zero: no filter. */
  readonly rows: Buffer
}

const [trueColour, indexed] = [2, 3]
const mostInPalette = 256

/** One byte a pixel; undefined where there are more colours than a palette holds. */
function indexedRows({ width, height, pixels }: Pixels): Rows | undefined {
  const colours = coloursOf(pixels)
  const places = new Map<number, number>()
  const palette = Buffer.alloc(mostInPalette * 3)
  const rows = Buffer.alloc(height * (width + 1))
  let last = -1
  let place = 0
  let from = 0
  for (let y = 0; y < height; y++) {
    const start = y * (width + 1) + 1
    for (let x = 0; x < width; x++) {
      const colour = colours[from++]!
      if (colour !== last) {
        last = colour
        const known = places.get(colour)
        place = known ?? places.size
        if (known === undefined) {
          if (place === mostInPalette) return undefined
          places.set(colour, place)
          palette.writeUIntLE(colour & 0xffffff, place * 3, 3)
        }
      }
      rows[start + x] = place
    }
  }
  return { colourType: indexed, palette: palette.subarray(0, places.size * 3), rows }
}

/** Three bytes a pixel. */
function trueColourRows({ width, height, pixels }: Pixels): Rows {
  const colours = coloursOf(pixels)
  const rows = Buffer.alloc(height * (width * 3 + 1))
  let to = 0
  let from = 0
  for (let y = 0; y < height; y++) {
    to++
    for (let x = 0; x < width; x++) {
      const colour = colours[from++]!
      rows[to++] = colour & 0xff
      rows[to++] = (colour >>> 8) & 0xff
      rows[to++] = (colour >>> 16) & 0xff
    }
  }
  return { colourType: trueColour, rows }
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
