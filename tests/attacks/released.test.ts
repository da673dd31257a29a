import { cpSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs'
import { beforeAll, describe, expect, test } from 'vitest'
import {
  fresh,
  type Group,
  group,
  type Json,
  numbers,
  only,
  ownKey,
  read,
  run,
  signed,
  sumOf,
  truth,
  write,
} from './outsider.js'

/** What a release lets out, and what becomes of its files when somebody changes them. */

const sites = 3
/** The long form tries more single edits; all of them are tried without the command line in tests/pooling/refusals. */
const long = process.env.HOLDFAST_ATTACKS === 'full'
let made: Group
let answers: Json[]
let hidden: number[][]
let totals: number[]

beforeAll(() => {
  made = group(sites, 40, true)
  answers = [0, 1, 2].map((site) => read(made.at('received', `answer-${site}.json`)))
  hidden = [0, 1, 2].map((site) => truth(made.at(`place-${site}`)))
  totals = read(made.at('release', 'for-sites', 'totals.json')).values
}, 300_000)

/** Pearson's chi-square of bytes against uniform: 255 degrees of freedom, 99.999 % point 357 (Wilson and Hilferty). */
function chiSquare(bytes: Uint8Array): number {
  const counts = new Array(256).fill(0)
  for (const byte of bytes) counts[byte]++
  const expected = bytes.length / 256
  return counts.reduce((sum, count) => sum + (count - expected) ** 2 / expected, 0)
}
const bytesOf = (vector: readonly bigint[]): Buffer => {
  const bytes = Buffer.alloc(8 * vector.length)
  for (const [i, value] of vector.entries()) bytes.writeBigInt64LE(BigInt.asIntN(64, value), 8 * i)
  return bytes
}

describe('masked answers', () => {
  test('bytes of each answer, and of all but one added up, are uniform; all added up are the totals', () => {
    const vectors = answers.map(numbers)
    const seen = vectors.map((vector) => chiSquare(bytesOf(vector)))
    const partial = vectors.map((_, left) => chiSquare(bytesOf(sumOf(vectors.filter((_, i) => i !== left)))))
    const unmasked = chiSquare(bytesOf((hidden[0] as number[]).map(BigInt)))
    for (const value of [...seen, ...partial]) expect(value).toBeLessThan(357)
    expect(unmasked).toBeGreaterThan(100_000)
    expect(sumOf(vectors)).toEqual(totals.map(BigInt))
  })
})

/** Attacker's reading of the vector: the last 176 numbers are 16 nodes of U, I, M, U², I² and twice 16 of U, I, M. */
const node = (vector: readonly number[], i: number, part: number): number =>
  (vector[vector.length - 176 + 5 * i + part] as number) / 128

describe('one of three takes its own numbers away', () => {
  const isSquare = (at: number): boolean =>
    at >= totals.length - 176 && at < totals.length - 96 && (at - totals.length + 176) % 5 > 2
  test('what is left is the sum over the two others', () => {
    const left = totals.map((total, i) => (isSquare(i) ? 0 : total - (hidden[0]?.[i] as number)))
    const others = totals.map((_, i) =>
      isSquare(i) ? 0 : (hidden[1]?.[i] as number) + (hidden[2]?.[i] as number),
    )
    expect(left).toEqual(others)
  })
  test('squares, which with the sums would tell the two others apart, are not in the sum', () => {
    // Sum s and sum of squares q of two numbers give both: (s ± √(2q − s²)) / 2. That works with the hidden squares ...
    let back = 0
    for (const part of [0, 1])
      for (let i = 0; i < 16; i++) {
        const real = [1, 2].map((site) => node(hidden[site] as number[], i, part)).sort((a, b) => a - b)
        const sum = (real[0] as number) + (real[1] as number)
        const squares = [1, 2].reduce((q, site) => q + node(hidden[site] as number[], i, part + 3), 0)
        const half = Math.sqrt(Math.max(0, 2 * squares - sum * sum))
        if (Math.abs((sum + half) / 2 - (real[1] as number)) < 0.05) back++
      }
    expect(back).toBeGreaterThan(24)
    // ... and so none may be read, in the totals or by whoever holds two of the three answers and its own numbers.
    for (let i = 0; i < 16; i++) expect([node(totals, i, 3), node(totals, i, 4)]).toEqual([0, 0])
  })
})

describe('whole counts from what is printed and from the totals', () => {
  test('splits of every printed count over the practices', () => {
    const rows = readFileSync(made.at('release', 'report', 'tables', 'screw_loosening-years.csv'), 'utf8')
      .trim()
      .split('\n')
      .slice(1)
    const ways = (count: number, over: number): number =>
      over === 1
        ? 1
        : Array.from({ length: count + 1 }, (_, k) => ways(k, over - 1)).reduce((a, b) => a + b, 0)
    const cells = rows.flatMap((row) => row.split(',').slice(2, 5).map(Number))
    const single = cells.filter((count) => ways(count, sites) === 1)
    expect(single.every((count) => count === 0)).toBe(true)
    for (const row of rows) {
      const [, , , , , , patients, practices] = row.split(',')
      expect(Number(patients)).toBeGreaterThanOrEqual(5)
      expect(Number(practices)).toBeGreaterThanOrEqual(3)
    }
  })
  test('fractions within rounding of each sum that is no count', () => {
    let fewest = Infinity
    for (let i = totals.length - 182; i < totals.length; i++) {
      const value = (totals[i] as number) / 128
      if (value === 0) continue
      let fits = 0
      for (let q = 1; q <= 1000; q++)
        for (let p = Math.ceil((value - sites / 256) * q); p <= (value + sites / 256) * q; p++) fits++
      fewest = Math.min(fewest, fits)
    }
    expect(fewest).toBeGreaterThan(1000)
  })
  test('sixteen nodes jointly: the risk sets of one, two and three events', () => {
    // A term of the score is e^β/(r + e^β), with r the ratio of the two groups in the risk set of an event.
    const betas = Array.from({ length: 16 }, (_, i) => 2 * Math.cos((Math.PI * (2 * i + 1)) / 32))
    const curve = (r: number): number[] => betas.map((beta) => Math.exp(beta) / (r + Math.exp(beta)))
    const pairs = Array.from({ length: 900 }, (_, i) => curve((1 + Math.floor(i / 30)) / (1 + (i % 30))))
    const near = (a: number[], b: number[]): boolean =>
      a.every((value, i) => Math.abs(value - (b[i] as number)) <= 1 / 256)
    const fits = pairs.map((one) => pairs.filter((other) => near(one, other)).length).sort((a, b) => a - b)
    // One event in the whole sum tells: the page that every practice reads says so.
    expect(fits.filter((count) => count === 1).length).toBe(54)
    expect(fits[450]).toBe(8)
    const ratios = new Set(Array.from({ length: 144 }, (_, i) => (1 + Math.floor(i / 12)) / (1 + (i % 12))))
    const curves = [...ratios].map(curve)
    const solutions = (events: number, first: number, rest: number[]): number => {
      if (events === 0) return rest.every((value) => Math.abs(value) <= 3 / 256) ? 1 : 0
      let found = 0
      for (let k = first; k < curves.length; k++)
        found += solutions(
          events - 1,
          k,
          rest.map((value, i) => value - (curves[k]?.[i] as number)),
        )
      return found
    }
    for (let trial = 0; trial < 12; trial++) {
      const chosen = [7 * trial + 3, 11 * trial + 20, 5 * trial + 61].map(
        (k) => curves[k % curves.length] as number[],
      )
      const sum = betas.map((_, i) => chosen.reduce((total, one) => total + (one[i] as number), 0))
      expect(solutions(3, 0, sum)).toBeGreaterThan(1)
    }
  })
})

/** Every number and text of a message, changed one at a time, the signature kept. */
function edits(message: Json, most: number): Json[] {
  const places: (string | number)[][] = []
  const walk = (value: Json, path: (string | number)[]): void => {
    if (value !== null && typeof value === 'object')
      for (const key of Object.keys(value)) walk(value[key], [...path, key])
    else places.push(path)
  }
  walk(message, [])
  const step = Math.max(1, places.length / most)
  return Array.from(
    { length: Math.min(most, places.length) },
    (_, i) => places[Math.floor(i * step)] as (string | number)[],
  ).map((path) => {
    const copy = structuredClone(message)
    let at = copy
    for (const key of path.slice(0, -1)) at = at[key]
    const last = path.at(-1) as string
    const value = at[last]
    if (typeof value === 'number') at[last] = value + 1
    else if (typeof value === 'boolean') at[last] = !value
    else if (value === null) at[last] = 'a'.repeat(64)
    else
      at[last] =
        value.length > 20
          ? `${value.slice(0, 10)}${value[10] === 'A' ? 'B' : 'A'}${value.slice(11)}`
          : value.replace(/.$/, (end: string) => (end === '1' ? '2' : '1'))
    return copy
  })
}

describe('files that were changed', () => {
  const pool = (folder: string, ...more: string[]) =>
    run(
      'pool',
      folder,
      '--protocol',
      made.protocol,
      '--out',
      made.at('release'),
      '--formats',
      'none',
      ...more,
    )
  const folderOf = (name: string, files: Record<string, Json>): string => {
    mkdirSync(made.at(name))
    for (const [file, message] of Object.entries(files))
      typeof message === 'string'
        ? writeFileSync(made.at(name, file), message)
        : write(made.at(name, file), message)
    return made.at(name)
  }
  test('single edits of ready notes and answers: every one refused', () => {
    const ready = read(made.at('received', 'ready-1.json'))
    const all = [...edits(ready, 20), ...edits(answers[1], 20)]
    const folder = folderOf(
      'edited',
      Object.fromEntries(all.map((message, i) => [`edit-${i}.json`, message])),
    )
    const outcome = run(
      'pool',
      folder,
      '--protocol',
      made.protocol,
      '--out',
      made.at('release-edited'),
      '--skip-refused',
    )
    const named = all.filter((_, i) => outcome.said.includes(`edit-${i}.json`)).length
    expect(named).toBe(all.length)
  })
  test('single edits of the list and the totals: every one refused by the practice', () => {
    const seen: string[] = []
    const protocolEdits = edits(read(made.list), long ? 10 : 4)
    for (const [i, message] of protocolEdits.entries()) {
      const outcome = run(
        'share',
        '--list',
        write(made.at(`list-edit-${i}.json`), message),
        '--practice',
        fresh(made, 0, `edit-place-${i}`),
        '--out',
        made.at('edit-out'),
      )
      seen.push(`${outcome.exit}`)
    }
    const sums = read(made.at('release', 'for-sites', 'totals.json'))
    for (const [i, message] of edits(sums, long ? 5 : 2).entries()) {
      const outcome = run(
        'share',
        '--totals',
        write(made.at(`totals-edit-${i}.json`), message),
        '--practice',
        made.at('place-0'),
        '--out',
        made.at('edit-out'),
      )
      seen.push(`${outcome.exit}`)
    }
    expect(seen.every((exit) => exit === '1')).toBe(true)
  })
  test('answers swapped, missing, doubled, or of another list', () => {
    const notes = Object.fromEntries(
      [0, 1, 2].map((site) => [`ready-${site}.json`, read(made.at('received', `ready-${site}.json`))]),
    )
    const [a, b, c] = answers
    const swapped = pool(
      folderOf('swapped', {
        ...notes,
        'a.json': { ...a, values: b.values },
        'b.json': { ...b, values: a.values },
        'c.json': c,
      }),
    )
    const named = pool(
      folderOf('swapped-names', { ...notes, 'answer-b.json': a, 'answer-a.json': b, 'answer-c.json': c }),
    )
    const missing = pool(folderOf('missing', { ...notes, 'a.json': a, 'b.json': b }))
    const doubled = pool(folderOf('doubled', { ...notes, 'a.json': a, 'a2.json': a, 'b.json': b }))
    expect(swapped.exit).toBe(1)
    expect(named.exit).toBe(0)
    expect(missing.said).not.toContain('report.html')
    expect(doubled.said).not.toContain('report.html')
  })
  test('files cut short, with a byte-order mark, nested without end, empty, an array', () => {
    const text = readFileSync(made.at('received', 'answer-1.json'), 'utf8')
    const kinds: Record<string, string> = {
      cut: text.slice(0, -200),
      mark: `\uFEFF${text}`,
      deep: `${'['.repeat(200_000)}${']'.repeat(200_000)}`,
      'deep-inside': text.replace('"round": 0', `"round": ${'{"a":'.repeat(100_000)}1${'}'.repeat(100_000)}`),
      empty: '',
      array: '[]',
      proto: text.replace('{', '{"__proto__":{"round":1},'),
      twice: text.replace('{', '{"round":1,'),
    }
    for (const [kind, content] of Object.entries(kinds)) {
      const outcome = pool(folderOf(`kind-${kind}`, { 'a.json': content }))
      expect([0, 1]).toContain(outcome.exit)
      const asList = run(
        'share',
        '--list',
        made.at(`kind-${kind}`, 'a.json'),
        '--practice',
        made.at('place-1'),
        '--out',
        made.at('kind-out'),
      )
      expect(asList.exit).toBe(1)
    }
  })
  test('names that differ by an umlaut, in one folder', () => {
    mkdirSync(made.at('one-folder'))
    for (const site of [0, 1]) {
      expect(
        run(
          'share',
          '--list',
          made.list,
          '--practice',
          made.at(`place-${site}`),
          '--out',
          made.at('one-folder'),
        ).exit,
      ).toBe(0)
    }
    cpSync(made.at('one-folder'), made.at('one-folder-kept'), { recursive: true })
    expect(() => only(made.at('one-folder'), 'answer')).toThrow(/2 files/)
  })
})

describe('coefficients and rounds nobody asked for', () => {
  test('a request for a round under a protocol without covariates', () => {
    const list = read(made.list)
    const own = ownKey()
    const before = read(made.at('release', 'for-sites', 'totals.json'))
    const secret = read(made.at('release', 'coordinator.json')).secret
    for (const [name, key] of Object.entries({ coordinator: secret, stranger: own.secret })) {
      const request = {
        format: 'holdfast-round-1',
        listHash: before.listHash,
        round: 1,
        coefficients: { screw_loosening: [5] },
        before,
        coordinator: name === 'coordinator' ? list.coordinator : own.open,
      }
      const outcome = run(
        'share',
        '--round',
        write(made.at(`round-${name}.json`), signed(request, key)),
        '--practice',
        made.at('place-0'),
        '--out',
        made.at('round-out'),
      )
      expect(outcome.exit).toBe(1)
    }
  })
})
