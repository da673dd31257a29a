import { createHash } from 'node:crypto'
import { createReadStream } from 'node:fs'
import { stat } from 'node:fs/promises'
import type { Readable } from 'node:stream'
import { createGunzip } from 'node:zlib'

/** How the text of a file is encoded. */
export type TextEncoding = 'utf-8' | 'utf-16le' | 'utf-16be' | 'windows-1252'

/** What the bytes of a file say about it. */
export interface FileInspection {
  /** SHA-256 of the bytes as they lie on disk. */
  readonly sha256: string
  /** Bytes of the content (after decompression). */
  readonly bytes: number
  readonly content: 'text' | 'zip' | 'old-workbook' | 'binary' | 'empty'
  readonly encoding: TextEncoding
  readonly compressed: boolean
  /** Whether a quotation mark may stand in the content. */
  readonly quotes: boolean
  /** First bytes of the content. */
  readonly head: Buffer
}

const headBytes = 65_536

/** A file that unpacks to more than this, and to more than so many times its size, is no table but a bomb. */
const unpackedLimit = 128 << 20
const packingLimit = 100

/** Code of the error where a compressed file unpacks to far more than a table would. */
export const tooMuchUnpacked = 'UNPACKS_TO_TOO_MUCH'

/** Reads a file once from end to end, without keeping it: hash, kind of content, encoding. */
export async function inspectFile(path: string): Promise<FileInspection> {
  const hash = createHash('sha256')
  const compressed = await startsWithGzip(path)
  const packed = compressed ? (await stat(path)).size : Number.POSITIVE_INFINITY
  const sniffer = new ContentSniffer()
  const raw = createReadStream(path, { highWaterMark: 1 << 18 })
  raw.on('data', (chunk) => hash.update(chunk))
  const content: Readable = compressed ? pipedThroughGunzip(raw) : raw
  for await (const chunk of content) {
    sniffer.take(chunk as Buffer)
    if (sniffer.bytes > unpackedLimit && sniffer.bytes > packingLimit * packed) {
      raw.destroy()
      throw Object.assign(new Error('unpacks to too much'), { code: tooMuchUnpacked })
    }
  }
  return { sha256: hash.digest('hex'), compressed, ...sniffer.verdict() }
}

/** Bytes of a file's content, decompressed where it is compressed. */
export function openContent(path: string, compressed: boolean): Readable {
  const raw = createReadStream(path, { highWaterMark: 1 << 18 })
  return compressed ? pipedThroughGunzip(raw) : raw
}

function pipedThroughGunzip(raw: Readable): Readable {
  const gunzip = createGunzip()
  raw.on('error', (error) => gunzip.destroy(error))
  // Damage may be found before anyone reads: it is kept with the stream, and thrown to whoever then reads it.
  gunzip.on('error', () => raw.destroy())
  return raw.pipe(gunzip)
}

async function startsWithGzip(path: string): Promise<boolean> {
  for await (const chunk of createReadStream(path, { end: 1 })) {
    const head = chunk as Buffer
    return head.length === 2 && head[0] === 0x1f && head[1] === 0x8b
  }
  return false
}

/** Bytes that no text has: control characters other than tab, line feed, form feed, return, and the old end of file. */
const isControl = new Uint8Array(256)
for (let byte = 0; byte < 0x20; byte++) isControl[byte] = 1
for (const allowed of [0x09, 0x0a, 0x0b, 0x0c, 0x0d, 0x1a]) isControl[allowed] = 0
isControl[0x7f] = 1

const quotationMark = 0x22

class ContentSniffer {
  #head = Buffer.alloc(0)
  #bytes = 0

  get bytes(): number {
    return this.#bytes
  }
  #controls = 0
  #quotes = false
  readonly #utf8 = new TextDecoder('utf-8', { fatal: true })
  #isUtf8 = true

  take(chunk: Buffer): void {
    if (this.#head.length < headBytes) {
      this.#head = Buffer.concat([this.#head, chunk.subarray(0, headBytes - this.#head.length)])
    }
    this.#bytes += chunk.length
    for (let index = 0; index < chunk.length; index++) this.#controls += isControl[chunk[index]!]!
    this.#quotes ||= chunk.includes(quotationMark)
    if (this.#isUtf8) this.#isUtf8 = this.#decodes(chunk)
  }

  #decodes(chunk: Buffer | undefined): boolean {
    try {
      this.#utf8.decode(chunk, { stream: chunk !== undefined })
      return true
    } catch {
      return false
    }
  }

  verdict(): Omit<FileInspection, 'sha256' | 'compressed'> {
    if (this.#isUtf8) this.#isUtf8 = this.#decodes(undefined)
    const head = this.#head
    const encoding = utf16Of(head) ?? (this.#isUtf8 ? 'utf-8' : 'windows-1252')
    return { bytes: this.#bytes, content: this.#contentKind(encoding), encoding, quotes: this.#quotes, head }
  }

  #contentKind(encoding: TextEncoding): FileInspection['content'] {
    const head = this.#head
    if (this.#bytes === 0) return 'empty'
    if (head.subarray(0, 4).equals(Buffer.from([0x50, 0x4b, 0x03, 0x04]))) return 'zip'
    if (head.subarray(0, 8).equals(Buffer.from('d0cf11e0a1b11ae1', 'hex'))) return 'old-workbook'
    if (encoding.startsWith('utf-16')) return 'text'
    return this.#controls > 0 ? 'binary' : 'text'
  }
}

/** UTF-16 by its byte order mark, or by the zero bytes that plain letters leave in every second place. */
function utf16Of(head: Buffer): TextEncoding | undefined {
  if (head[0] === 0xff && head[1] === 0xfe) return 'utf-16le'
  if (head[0] === 0xfe && head[1] === 0xff) return 'utf-16be'
  const pairs = Math.min(head.length, 4_096) >> 1
  if (pairs < 8) return undefined
  let evenZeros = 0
  let oddZeros = 0
  for (let pair = 0; pair < pairs; pair++) {
    if (head[2 * pair] === 0) evenZeros++
    if (head[2 * pair + 1] === 0) oddZeros++
  }
  if (oddZeros > 0.7 * pairs && evenZeros === 0) return 'utf-16le'
  if (evenZeros > 0.7 * pairs && oddZeros === 0) return 'utf-16be'
  return undefined
}
