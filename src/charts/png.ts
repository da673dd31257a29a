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
 * here because compression then runs beside the main thread and, without row filters, makes line art smaller.
 */
export async function pngOf({ width, height, pixels }: Pixels, dpi: number): Promise<Uint8Array> {
  const header = Buffer.alloc(13)
  header.writeUInt32BE(width, 0)
  header.writeUInt32BE(height, 4)
  header.writeUInt8(8, 8)
  header.writeUInt8(2, 9)
  const resolution = Buffer.alloc(9)
  const dotsPerMetre = Math.round(dpi / 0.0254)
  resolution.writeUInt32BE(dotsPerMetre, 0)
  resolution.writeUInt32BE(dotsPerMetre, 4)
  resolution.writeUInt8(1, 8)
  const data = await compress(unfilteredRows(width, height, pixels), { level: 4 })
  return Buffer.concat([
    signature,
    chunk('IHDR', header),
    chunk('pHYs', resolution),
    chunk('IDAT', data),
    chunk('IEND', Buffer.alloc(0)),
  ])
}

function unfilteredRows(width: number, height: number, pixels: Uint8Array): Buffer {
  const rows = Buffer.alloc(height * (width * 3 + 1))
  let to = 0
  let from = 0
  for (let y = 0; y < height; y++) {
    to++
    for (let x = 0; x < width; x++) {
      rows[to++] = pixels[from]!
      rows[to++] = pixels[from + 1]!
      rows[to++] = pixels[from + 2]!
      from += 4
    }
  }
  return rows
}

function chunk(type: string, data: Buffer): Buffer {
  const whole = Buffer.alloc(12 + data.length)
  whole.writeUInt32BE(data.length, 0)
  whole.write(type, 4, 'latin1')
  data.copy(whole, 8)
  whole.writeUInt32BE(crc32(whole.subarray(4, 8 + data.length)), 8 + data.length)
  return whole
}
