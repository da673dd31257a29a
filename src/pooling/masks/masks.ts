import { createCipheriv, diffieHellman, hkdfSync } from 'node:crypto'
import { endianness } from 'node:os'
import { openKey, secretKey } from '../protocol/signing.js'

/** A site as the masks see it: one of the list, in the order of the list. */
export interface MaskSite {
  /** Open X25519 key of the site's ready note. */
  readonly key: string
}

/** What masks are for. */
export interface MaskContext {
  readonly listHash: string
  readonly round: number
  /** Request that a round answers; absent for the list itself. */
  readonly requestHash?: string
}

/** Bytes of a masked number. */
const bytesOfNumber = 8

/**
 * Hides whole numbers by masks that cancel over the sites of a list: for each pair of sites a stream (AES-256-CTR) from
 * a key that only these two can derive (X25519, HKDF-SHA256), added by the one and subtracted by the other, modulo 2⁶⁴.
 *
 * @param values safe integers
 * @param sites all sites of the list, in its order
 * @param own position of this site among them
 * @param secret secret X25519 key that goes with this site's open key
 * @param context what the masks are for: hash of the list, the round, and in a round the hash of the request; answers to
 *   other lists, rounds or requests get other masks, so that two practices that were asked for different things cancel
 *   nothing
 * @returns base64 of 64-bit numbers, least significant byte first
 */
export function masked(
  values: readonly number[],
  sites: readonly MaskSite[],
  own: number,
  secret: string,
  context: MaskContext,
): string {
  const sum = BigUint64Array.from(values, (value) => BigInt.asUintN(64, BigInt(value)))
  const mine = secretKey(secret)
  sites.forEach(({ key }, other) => {
    if (other === own) return
    const shared = diffieHellman({ privateKey: mine, publicKey: openKey(key) })
    const pair = [Math.min(own, other), Math.max(own, other)]
    const asked = context.requestHash === undefined ? '' : `:${context.requestHash}`
    const info = `holdfast-masks:${pair.join('-')}:${context.round}${asked}`
    const stream = maskStream(shared, context.listHash, info, values.length)
    for (let i = 0; i < sum.length; i++) {
      sum[i] = own < other ? sum[i]! + stream[i]! : sum[i]! - stream[i]!
    }
  })
  return bytesOf(sum).toString('base64')
}

function maskStream(shared: Buffer, listHash: string, info: string, length: number): BigUint64Array {
  const derived = Buffer.from(hkdfSync('sha256', shared, Buffer.from(listHash, 'hex'), info, 48))
  const cipher = createCipheriv('aes-256-ctr', derived.subarray(0, 32), derived.subarray(32))
  return numbersOf(cipher.update(Buffer.alloc(length * bytesOfNumber)))
}

/** Adds masked vectors modulo 2⁶⁴, and reads the sums as signed numbers: what is left when all masks have cancelled. */
export function unmaskedSum(vectors: readonly string[]): readonly bigint[] {
  const parts = vectors.map((text) => numbersOf(Buffer.from(text, 'base64')))
  const sum = new BigUint64Array(parts[0]?.length ?? 0)
  for (const part of parts) {
    for (let i = 0; i < sum.length; i++) sum[i] = sum[i]! + part[i]!
  }
  return Array.from(sum, (value) => BigInt.asIntN(64, value))
}

/** How many numbers a masked vector holds; undefined where it is none. */
export function maskedLength(text: string): number | undefined {
  const bytes = Buffer.from(text, 'base64')
  if (bytes.toString('base64') !== text || bytes.length % bytesOfNumber !== 0) return undefined
  return bytes.length / bytesOfNumber
}

function bytesOf(numbers: BigUint64Array): Buffer {
  const bytes = Buffer.from(numbers.slice().buffer)
  return leastFirst ? bytes : bytes.swap64()
}

function numbersOf(bytes: Buffer): BigUint64Array {
  const own = Buffer.alloc(bytes.length)
  bytes.copy(own)
  if (!leastFirst) own.swap64()
  return new BigUint64Array(own.buffer, own.byteOffset, own.length / bytesOfNumber)
}

/** Whether this machine keeps the least significant byte first, as the messages do. */
const leastFirst = endianness() === 'LE'
