import { cpSync, mkdirSync, readdirSync, readFileSync } from 'node:fs'
import { beforeAll, describe, expect, test } from 'vitest'
import {
  fresh,
  type Group,
  group,
  type Json,
  numbers,
  only,
  ownKey,
  practiceNames,
  read,
  run,
  signed,
  sumOf,
  truth,
  write,
} from './outsider.js'

/** A group of six, one of them large: four that work together, two lists, objections that were forged, copied places. */

const six = [0, 1, 2, 3, 4, 5]
let made: Group
let list: Json
let ready: Json[]
let hidden: number[][]
let totals: number[]
const coordinator = ownKey()

beforeAll(() => {
  made = group(6, [10, 10, 10, 10, 10, 95], true)
  list = read(made.list)
  ready = six.map((site) => read(made.at('received', `ready-${site}.json`)))
  hidden = six.map((site) => truth(made.at(`place-${site}`)))
  totals = read(made.at('release', 'for-sites', 'totals.json')).values
}, 300_000)

/** The order of the numbers, as docs/methods/pooled-sums.md gives it for one endpoint, 40 intervals and 10 years. */
const place = { grid: 29, years: 509, nodes: 635 } as const
const node = (vector: readonly number[], i: number, part: number): number =>
  (vector[place.nodes + 5 * i + part] as number) / 128

/** What is left of the totals when some take their own numbers away. */
const leftBy = (together: readonly number[]): number[] =>
  totals.map((total, i) => together.reduce((rest, site) => rest - (hidden[site]?.[i] as number), total))

describe('practices that put their heads together', () => {
  test('four of six have the sum of the two others, and nothing that tells counts of the two apart', () => {
    const left = leftBy([0, 1, 2, 3])
    expect(left).toEqual(totals.map((_, i) => (hidden[4]?.[i] as number) + (hidden[5]?.[i] as number)))
  })
  test('where only one of the two stands behind a cell, the cell is that one alone (stated on the page)', () => {
    const left = leftBy([0, 1, 2, 3])
    let cells = 0
    let alone = 0
    for (let cell = 0; cell < 80; cell++) {
      const at = place.grid + 5 * cell
      if ((left[at + 3] as number) === 0) continue
      cells++
      if (left[at + 4] === 1) alone++
    }
    expect([cells, alone]).toEqual([49, 19])
  })
  test('four of six tell the scores and informations of the two apart by the squares (stated on the page)', () => {
    const left = leftBy([0, 1, 2, 3])
    let back = 0
    for (const part of [0, 1])
      for (let i = 0; i < 16; i++) {
        const sum = node(left, i, part)
        const half = Math.sqrt(Math.max(0, 2 * node(left, i, part + 3) - sum * sum))
        const real = [4, 5].map((site) => node(hidden[site] as number[], i, part)).sort((a, b) => a - b)
        if (Math.abs((sum + half) / 2 - (real[1] as number)) < 0.05) back++
      }
    expect(back).toBe(32)
  })
  test('three of six: a turn of the three others about their mean gives the same sums and squares', () => {
    const left = leftBy([0, 1, 2])
    // An orthonormal plane across (1, 1, 1), turned by one radian.
    const [a, b] = [[Math.SQRT1_2, -Math.SQRT1_2, 0], [1, 1, -2].map((one) => one / Math.sqrt(6))] as [
      number[],
      number[],
    ]
    let moved = 0
    for (const part of [0, 1])
      for (let i = 0; i < 16; i++) {
        const real = [3, 4, 5].map((site) => node(hidden[site] as number[], i, part))
        const along = (axis: readonly number[]): number =>
          axis.reduce((sum, one, k) => sum + one * (real[k] as number), 0)
        const [x, y] = [along(a), along(b)]
        const mean = (real[0]! + real[1]! + real[2]!) / 3
        const turned = [0, 1, 2].map(
          (k) =>
            mean +
            (x * Math.cos(1) - y * Math.sin(1)) * (a[k] as number) +
            (x * Math.sin(1) + y * Math.cos(1)) * (b[k] as number),
        )
        expect(turned.reduce((sum, one) => sum + one, 0)).toBeCloseTo(node(left, i, part), 6)
        const squares = turned.reduce((sum, one) => sum + one * one, 0)
        expect(Math.abs(squares - node(left, i, part + 3))).toBeLessThan(3 / 256 + 0.02 * squares)
        moved = Math.max(moved, ...turned.map((one, k) => Math.abs(one - (real[k] as number))))
      }
    expect(moved).toBeGreaterThan(0.5)
  })
})

describe('two lists with the same names, given to two halves of the group', () => {
  const impostor = (of: Json): Json => {
    const own = ownKey()
    return signed({ ...of, identity: own.open, key: ownKey('x25519').open }, own.secret)
  }
  const halves = [
    [0, 1, 2],
    [3, 4, 5],
  ]
  let told: { call: string; code: string; answer: bigint[] }[]
  beforeAll(() => {
    const lists = halves.map((half, h) =>
      write(
        made.at(`half-${h}.json`),
        signed(
          {
            ...list,
            sites: six
              .map((site) => (half.includes(site) ? ready[site] : impostor(ready[site])))
              .sort((one, other) => (one.identity < other.identity ? -1 : 1)),
            coordinator: coordinator.open,
          },
          coordinator.secret,
        ),
      ),
    )
    told = six.map((site) => {
      const outcome = run(
        ...['share', '--list', lists[site < 3 ? 0 : 1] as string],
        ...['--practice', fresh(made, site, `half-place-${site}`), '--out', made.at(`half-out-${site}`)],
      )
      expect(outcome.exit).toBe(0)
      return {
        call: outcome.said.match(/Next: call (.*?), by a number/)?.[1] as string,
        code: outcome.said.match(/Code of the list: (.*)/)?.[1] as string,
        answer: numbers(read(only(made.at(`half-out-${site}`), 'answer'))),
      }
    })
  }, 120_000)
  test('the codes differ, and in each half somebody is told to call a practice of the other half', () => {
    expect(new Set(told.map(({ code }) => code)).size).toBe(2)
    for (const half of halves) {
      const called = half.map((site) => practiceNames.indexOf(told[site]?.call as string))
      expect(called.some((one) => told[one]?.code !== told[half[0] as number]?.code)).toBe(true)
    }
  })
  test('answers to the two lists added up are nothing but chance', () => {
    const sum = sumOf(told.map(({ answer }) => answer))
    expect(sum.filter((value) => value > -(2n ** 40n) && value < 2n ** 40n)).toEqual([])
  })
})

test('where all others of a list are invented, the sum less theirs is the practice (stated on the page)', () => {
  const invented = [1, 2].map((site) => {
    const words = ['--practice', made.at(`invented-${site}`), '--out', made.at(`invented-out-${site}`)]
    const name = ['--name', `Invented ${site}`]
    expect(
      run('share', made.at(`records-${site}`), '--protocol', made.protocol, ...name, ...words).exit,
    ).toBe(0)
    return { words, note: read(only(made.at(`invented-out-${site}`), 'ready')) }
  })
  const sites = [ready[0], ...invented.map(({ note }) => note)].sort((one, other) =>
    one.identity < other.identity ? -1 : 1,
  )
  const file = write(
    made.at('invented.json'),
    signed({ ...list, sites, coordinator: coordinator.open }, coordinator.secret),
  )
  const words = ['--practice', fresh(made, 0, 'among-invented'), '--out', made.at('among-invented-out')]
  expect(run('share', '--list', file, ...words).exit).toBe(0)
  for (const one of invented) expect(run('share', '--list', file, ...one.words).exit).toBe(0)
  const outs = ['among-invented-out', 'invented-out-1', 'invented-out-2']
  const sum = sumOf(outs.map((out) => numbers(read(only(made.at(out), 'answer')))))
  const theirs = [1, 2].map((site) => truth(made.at(`invented-${site}`)))
  const found = sum.map(
    (value, i) => Number(value) - theirs.reduce((all, one) => all + (one[i] as number), 0),
  )
  const counts = found.slice(0, place.nodes)
  expect(counts).toEqual((hidden[0] as number[]).slice(0, place.nodes))
}, 60_000)

/** What the coordinator prints when a file lies among what was received. */
function printed(
  name: string,
  objection: Json | undefined,
): { exit: number | null; said: string; result: Json } {
  cpSync(made.at('received'), made.at(name), { recursive: true })
  cpSync(made.at('release'), made.at(`${name}-out`), { recursive: true })
  if (objection !== undefined) write(made.at(name, 'objection.json'), objection)
  const outcome = run(
    ...['pool', made.at(name), '--protocol', made.protocol],
    ...['--out', made.at(`${name}-out`), '--formats', 'none'],
  )
  const file = made.at(`${name}-out`, 'report', 'results.json')
  return { ...outcome, result: outcome.exit === 0 ? read(file).endpoints[0] : undefined }
}

/** Numbers that printed ones give by subtraction: what of a printed year, or of the group, a curve leaves out. */
function subtracted(result: Json): { group: number; from: number; until: number }[] {
  const left: { group: number; from: number; until: number }[] = []
  for (const at of [0, 1]) {
    const figures = result.groups[at]
    const end = figures.curve.at(-1)?.day ?? 0
    const year = figures.years.find((one: Json) => one.fromDay < end && one.toDay > end)
    const within = figures.years.some((one: Json) => one.toDay === end)
    if (!within) left.push({ group: at, from: end, until: year?.toDay ?? 4000 })
  }
  return left
}

describe('objections', () => {
  let plain: Json
  let genuine: Json
  beforeAll(() => {
    plain = printed('plain', undefined).result
    for (const site of six)
      run(
        ...['share', '--totals', made.at('release', 'for-sites', 'totals.json')],
        ...['--practice', made.at(`place-${site}`), '--out', made.at(`home-${site}`)],
      )
    genuine = read(only(made.at('home-5'), 'objection'))
  }, 60_000)
  const secret = (site: number): string => read(only(made.at(`place-${site}`), 'practice')).signing.secret

  const named = (site: number): Json => ({ identity: ready[site].identity, name: ready[site].name })

  test('signed by a stranger in his own name, and genuine for another list: nothing comes of it, and it is said', () => {
    const own = ownKey()
    const stranger = signed({ ...genuine, identity: own.open, name: 'Mallory' }, own.secret)
    const forged = { stranger, elsewhere: signed({ ...genuine, listHash: 'ab'.repeat(32) }, secret(5)) }
    for (const [name, message] of Object.entries(forged)) {
      const outcome = printed(name, message)
      expect(outcome.said).toContain('Not used: the objection of')
      expect(outcome.result).toEqual(plain)
    }
  })
  test('signed by a stranger, or by another practice, in the name of a practice: refused', () => {
    const forged = { unsigned: signed(genuine, ownKey().secret), borrowed: signed(genuine, secret(0)) }
    for (const [name, message] of Object.entries(forged)) expect(printed(name, message).exit).toBe(1)
  })
  test('of cells that there are not: left out, and said', () => {
    const cells = ['screw_loosening|9|years 77', '<script>', '__proto__']
    const outcome = printed('nowhere', signed({ ...genuine, cells }, secret(5)))
    expect(outcome.said).toContain('names cells that there are not')
    expect(outcome.result).toEqual(plain)
  })
  test('of everything, by one practice: nothing of it is printed (a practice can keep the group silent)', () => {
    const names = ['whole', ...Array.from({ length: 10 }, (_, i) => `years ${i + 1}`)]
    const cells = [0, 1].flatMap((at) => names.map((name) => `screw_loosening|${at}|${name}`))
    const { result } = printed('everything', signed({ ...genuine, ...named(0), cells }, secret(0)))
    for (const one of [...result.groups, result.all]) expect(one.withheld).toBeDefined()
    expect(result.comparison.hazardRatio.n).toBe(0)
    expect(JSON.stringify(result.comparison)).not.toMatch(/"estimate":\d/)
  })
  test('what is left out cannot be had by subtraction, with and without objections', () => {
    const results = [
      plain,
      ...readdirSync(made.folder).flatMap((name) => {
        if (!/^home-\d$/.test(name)) return []
        const file = readdirSync(made.at(name)).find((one) => one.startsWith('objection'))
        return file === undefined ? [] : [printed(`objected-${name}`, read(made.at(name, file))).result]
      }),
    ]
    expect(results.length).toBeGreaterThan(3)
    for (const result of results)
      for (const { group: at, from, until } of subtracted(result)) {
        // Patients and practices of each interval in what is left, from the totals.
        const days: number[] = list.protocol.gridDays
        const cells = days.flatMap((day, k) =>
          day > from && (days[k - 1] ?? 0) < until
            ? [totals.slice(place.grid + 5 * (40 * at + k) + 3, place.grid + 5 * (40 * at + k) + 5)]
            : [],
        ) as [number, number][]
        const nobody = cells.every(([patients]) => patients === 0)
        expect(nobody || cells.some(([patients, sites]) => patients >= 5 && sites >= 3)).toBe(true)
      }
  }, 60_000)
})

describe('full digits of what is published', () => {
  /** How many squared events, summed over patients, fit the interval of a rate, whatever the time parts. */
  function fits(
    rate: { estimate: number; upper: number },
    events: number,
    years: number,
    off: number,
  ): number[] {
    const spread = (Math.log(rate.upper / rate.estimate) / 1.959963984540054) ** 2 * events * events
    const r = events / years
    const found: number[] = []
    for (let squares = events; squares <= events + 12; squares += 2) {
      for (let b = Math.round(64 * years * r * 0.5); b < 128 * years * r * 3; b++) {
        // Σd² − 2rΣdt + r²Σt² = spread, with Σdt and Σt² in parts of 128.
        const c = (128 * (spread - squares + (2 * r * b) / 128)) / (r * r)
        if (c > 0 && Math.abs(c - Math.round(c)) < (128 * off * spread) / (r * r)) {
          found.push(squares)
          break
        }
      }
    }
    return found
  }
  test('would give back how many patients had two events; those that are printed do not', () => {
    const figures = read(made.at('release', 'report', 'results.json')).endpoints[0].groups[1]
    const [events, years] = [figures.events, figures.restorationYears]
    const [d, dt, t] = [23, 24, 25].map((at) => totals[at] as number)
    const exact = (totals[19] as number) / 128 / 365.25
    const rate = events / exact
    const spread = ((d as number) - 2 * rate * (dt as number) + rate * rate * (t as number)) / 128
    const whole = {
      estimate: 100 * rate,
      upper: 100 * rate * Math.exp(1.959963984540054 * Math.sqrt(spread / events / events)),
    }
    const published = { estimate: figures.rate.estimate, upper: figures.rate.interval.upper }
    expect(fits(whole, events, exact, 1e-13)).toEqual([(d as number) / 128])
    // Five digits leave the interval known to some parts in 100,000.
    expect(fits(published, events, years, 3e-5).length).toBeGreaterThan(3)
  })
})

describe('a place that was copied, and run with other data', () => {
  const other = (): string => made.at('records-4')
  const ask = (at: string, out: string, ...more: string[]) =>
    run(
      ...['share', other(), '--protocol', made.protocol, '--practice', at],
      ...['--out', made.at(out), ...more],
    )
  test('before the answer: its numbers stay those that were fixed, or it has another key and is not in the list', () => {
    const copy = fresh(made, 0, 'copy-ready')
    expect(ask(copy, 'copy-out').exit).toBe(0)
    expect(read(only(made.at('copy-out'), 'ready'))).toEqual(ready[0])
    expect(truth(copy)).toEqual(hidden[0])
    expect(ask(copy, 'copy-out', '--anew').exit).toBe(0)
    const note = read(only(made.at('copy-out'), 'ready'))
    expect([note.identity, note.key === ready[0].key]).toEqual([ready[0].identity, false])
    const answer = run('share', '--list', made.list, '--practice', copy, '--out', made.at('copy-answer'))
    expect([answer.exit, answer.said.includes('did not make, or that it has replaced')]).toEqual([1, true])
    mkdirSync(made.at('both-notes'))
    for (const site of six)
      cpSync(made.at('received', `ready-${site}.json`), made.at('both-notes', `ready-${site}.json`))
    write(made.at('both-notes', 'copy.json'), note)
    const twice = run(
      ...['pool', made.at('both-notes'), '--protocol', made.protocol],
      ...['--out', made.at('both-notes-out'), '--list'],
    )
    expect([twice.exit, twice.said.includes('stands in it twice')]).toEqual([1, true])
  })
  test('after the answer: other data are not its own, and the answer keeps its bytes', () => {
    cpSync(made.at('place-0'), made.at('copy-answered'), { recursive: true })
    expect(ask(made.at('copy-answered'), 'copy-answered-out', '--anew').exit).toBe(2)
    const again = run(
      ...['share', '--list', made.list, '--practice', made.at('copy-answered')],
      ...['--out', made.at('copy-answered-out')],
    )
    expect(again.exit).toBe(0)
    const sent = readFileSync(only(made.at('copy-answered-out'), 'answer'), 'utf8')
    expect(sent).toBe(readFileSync(only(made.at('out-0'), 'answer'), 'utf8'))
  })
})
