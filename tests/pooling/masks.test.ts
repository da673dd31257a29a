import { describe, expect, it } from 'vitest'
import { masked, unmaskedSum } from '../../src/pooling/masks/masks.js'
import { newKeys } from '../../src/pooling/protocol/signing.js'

const hash = 'ab'.repeat(32)

describe('masks', () => {
  it('cancel over forty sites of four thousand numbers each, of any size and sign', () => {
    const keys = Array.from({ length: 40 }, () => newKeys('x25519'))
    const sites = keys.map(({ open }) => ({ key: open }))
    const values = keys.map((_key, site) =>
      Array.from({ length: 4000 }, (_one, i) =>
        i === 0
          ? Number.MAX_SAFE_INTEGER
          : i === 1
            ? Number.MIN_SAFE_INTEGER
            : (site + 1) * (i % 2 === 0 ? i : -i),
      ),
    )
    const answers = values.map((own, site) =>
      masked(own, sites, site, keys[site]!.secret, { listHash: hash, round: 0 }),
    )
    expect(Buffer.from(answers[0]!, 'base64')).toHaveLength(32_000)
    const sum = unmaskedSum(answers)
    expect(sum[0]).toBe(40n * BigInt(Number.MAX_SAFE_INTEGER))
    expect(sum[1]).toBe(40n * BigInt(Number.MIN_SAFE_INTEGER))
    expect(sum.slice(2).map(Number)).toEqual(
      Array.from({ length: 3998 }, (_one, i) => 820 * (i % 2 === 0 ? i + 2 : -(i + 2))),
    )
  })

  it('are others for another list, another round and another site, and look like chance', () => {
    const keys = Array.from({ length: 3 }, () => newKeys('x25519'))
    const sites = keys.map(({ open }) => ({ key: open }))
    const zero = new Array<number>(4000).fill(0)
    const of = (listHash: string, round: number, site = 0): string =>
      masked(zero, sites, site, keys[site]!.secret, { listHash, round })
    expect(of(hash, 0)).toBe(of(hash, 0))
    expect(new Set([of(hash, 0), of('cd'.repeat(32), 0), of(hash, 1), of(hash, 0, 1)]).size).toBe(4)
    const ones = [...Buffer.from(of(hash, 0), 'base64')].reduce(
      (sum, byte) => sum + byte.toString(2).replaceAll('0', '').length,
      0,
    )
    // 256,000 fair bits: standard deviation 253.
    expect(Math.abs(ones - 128_000)).toBeLessThan(1500)
    expect(unmaskedSum([of(hash, 0), of(hash, 0, 1)]).some((one) => one !== 0n)).toBe(true)
  })
})
