import { crc32 } from 'node:zlib'

const signatureLength = 8
const headerChunkLength = 25

/** Writes the resolution into a PNG (chunk pHYs, PNG specification 11.3.5.3), so that it opens at its real size. */
export function withResolution(png: Uint8Array, dpi: number): Uint8Array {
  const body = Buffer.alloc(13)
  const dotsPerMetre = Math.round(dpi / 0.0254)
  body.write('pHYs', 0, 'latin1')
  body.writeUInt32BE(dotsPerMetre, 4)
  body.writeUInt32BE(dotsPerMetre, 8)
  body.writeUInt8(1, 12)
  const chunk = Buffer.alloc(21)
  chunk.writeUInt32BE(9, 0)
  body.copy(chunk, 4)
  chunk.writeUInt32BE(crc32(body), 17)
  const at = signatureLength + headerChunkLength
  return Buffer.concat([png.subarray(0, at), chunk, png.subarray(at)])
}
