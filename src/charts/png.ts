import { crc32 } from 'node:zlib'

/** Bytes of a PNG before its first chunk after the header: the signature and IHDR. */
const headBytes = 33

/**
 * The same PNG (W3C 2003) with its resolution (chunk pHYs), so that it opens at its real size: the drawing library,
 * which encodes it, leaves the resolution out.
 */
export function withResolution(png: Uint8Array, dpi: number): Uint8Array {
  const content = Buffer.alloc(13)
  const dotsPerMetre = Math.round(dpi / 0.0254)
  content.write('pHYs', 0, 'latin1')
  content.writeUInt32BE(dotsPerMetre, 4)
  content.writeUInt32BE(dotsPerMetre, 8)
  content.writeUInt8(1, 12)
  const chunk = Buffer.alloc(21)
  chunk.writeUInt32BE(9, 0)
  content.copy(chunk, 4)
  chunk.writeUInt32BE(crc32(content), 17)
  return Buffer.concat([png.subarray(0, headBytes), chunk, png.subarray(headBytes)])
}
