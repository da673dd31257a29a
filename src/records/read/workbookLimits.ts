import { inflateRawSync } from 'node:zlib'

/** What a workbook may hold at most; more than this is a bomb, or better kept as CSV. */
export const workbookLimits = Object.freeze({
  /** Bytes of the file. */
  fileBytes: 100 << 20,
  /** Bytes of its parts, unzipped. */
  unzippedBytes: 400 << 20,
  /** How often the size of the file, where its parts unzip to more than fits in memory without a thought. */
  timesItsSize: 100,
  alwaysBytes: 50 << 20,
  parts: 2_000,
})

/** Why a workbook is not opened, or undefined where it may be. */
export type WorkbookRefusal = 'too-large' | 'not-a-zip' | undefined

const endOfDirectory = 0x06054b50
const directoryEntry = 0x02014b50
const localEntry = 0x04034b50

/**
 * Looks at the parts of a zipped workbook before anything opens it: how many there are, and how large each really
 * becomes, by unzipping it against the size that it declares. A part that becomes larger than declared is refused.
 */
export function refusalOfWorkbook(bytes: Buffer): WorkbookRefusal {
  if (bytes.length > workbookLimits.fileBytes) return 'too-large'
  const end = bytes.lastIndexOf(Buffer.from([0x50, 0x4b, 0x05, 0x06]))
  if (end < 0 || end + 22 > bytes.length || bytes.readUInt32LE(end) !== endOfDirectory) return 'not-a-zip'
  const parts = bytes.readUInt16LE(end + 10)
  if (parts > workbookLimits.parts) return 'too-large'
  let at = bytes.readUInt32LE(end + 16)
  let unzipped = 0
  for (let part = 0; part < parts; part++) {
    if (at + 46 > bytes.length || bytes.readUInt32LE(at) !== directoryEntry) return 'not-a-zip'
    const declared = bytes.readUInt32LE(at + 24)
    unzipped += declared
    if (unzipped > workbookLimits.unzippedBytes) return 'too-large'
    const isPacked = unzipped > workbookLimits.timesItsSize * bytes.length
    if (unzipped > workbookLimits.alwaysBytes && isPacked) return 'too-large'
    const refusal = refusalOfPart(bytes, at, declared)
    if (refusal !== undefined) return refusal
    at += 46 + bytes.readUInt16LE(at + 28) + bytes.readUInt16LE(at + 30) + bytes.readUInt16LE(at + 32)
  }
  return undefined
}

function refusalOfPart(bytes: Buffer, entry: number, declared: number): WorkbookRefusal {
  const method = bytes.readUInt16LE(entry + 10)
  const packed = bytes.readUInt32LE(entry + 20)
  const local = bytes.readUInt32LE(entry + 42)
  if (local + 30 > bytes.length || bytes.readUInt32LE(local) !== localEntry) return 'not-a-zip'
  const from = local + 30 + bytes.readUInt16LE(local + 26) + bytes.readUInt16LE(local + 28)
  if (from + packed > bytes.length) return 'not-a-zip'
  if (method === 0) return packed === declared ? undefined : 'not-a-zip'
  if (method !== 8) return 'not-a-zip'
  try {
    inflateRawSync(bytes.subarray(from, from + packed), { maxOutputLength: Math.max(1, declared) })
    return undefined
  } catch (error) {
    return (error as NodeJS.ErrnoException).code === 'ERR_BUFFER_TOO_LARGE' ? 'too-large' : 'not-a-zip'
  }
}
