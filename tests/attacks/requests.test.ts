import { cpSync, mkdirSync, readFileSync } from 'node:fs'
import { beforeAll, describe, expect, test } from 'vitest'
import {
  answerAll,
  fresh,
  type Group,
  group,
  type Json,
  numbers,
  only,
  poolAgain,
  read,
  run,
  signed,
  sumOf,
  write,
} from './outsider.js'

/** A model in rounds, with a coordinator who asks for what suits him, and with messages that come twice or elsewhere. */

let made: Group
let request: Json
let secret: string
let counter = 0

const ask = (site: number, message: Json): { exit: number | null; said: string; answer?: Json } => {
  const name = `asked-${counter++}`
  const place = made.at(`${name}-place`)
  cpSync(made.at(`place-${site}`), place, { recursive: true })
  const outcome = run(
    ...['share', '--round', write(made.at(`${name}.json`), message)],
    ...['--practice', place, '--out', made.at(name)],
  )
  return outcome.exit === 0 ? { ...outcome, answer: read(only(made.at(name), 'answer')) } : outcome
}

/** A request in the coordinator's name whose totals are bent so that its coefficients follow from them. */
function bent(by: number): Json {
  const before = structuredClone(request.before)
  const scores = before.values.length - 8
  for (const j of [0, 1]) before.values[scores + j] = Math.round(before.values[scores + j] * by)
  const [u, v] = [0, 1].map((j) => before.values[scores + j] / 128) as [number, number]
  const [a, b, c] = [2, 3, 4].map((j) => before.values[scores + j] / 128) as [number, number, number]
  const determinant = a * c - b * b
  const coefficients = [(c * u - b * v) / determinant, (a * v - b * u) / determinant]
  return signed(
    {
      ...request,
      coefficients: { screw_loosening: coefficients },
      before: signed(before, secret),
    },
    secret,
  )
}

beforeAll(() => {
  made = group(3, 60, true, '2023-12-31', (protocol) =>
    Object.assign(protocol, { covariates: [{ field: 'sex', levels: ['female', 'male'] }] }),
  )
  request = read(made.at('release', 'for-sites', 'round-1.json'))
  secret = read(made.at('release', 'coordinator.json')).secret
}, 300_000)

describe('a coordinator who chooses', () => {
  test('the control: all answer one request, and the masks cancel', () => {
    const genuine = [0, 1, 2].map((site) => numbers(ask(site, request).answer))
    expect(sumOf(genuine)[0]).toBe(3n)
  })
  test('bent totals bend the coefficients of all, and what opens is still a sum over all', () => {
    const bend = bent(0.5)
    expect(bend.coefficients.screw_loosening[0]).not.toBeCloseTo(request.coefficients.screw_loosening[0], 3)
    expect(sumOf([0, 1, 2].map((site) => numbers(ask(site, bend).answer)))[0]).toBe(3n)
  })
  test('one request to one practice and another to the rest opens nothing', () => {
    // If it did, two such rounds would differ by the numbers of that one practice alone.
    const mixed = [bent(0.5), request, request].map((message, site) => numbers(ask(site, message).answer))
    const sum = sumOf(mixed)
    expect(sum.filter((value) => value > -(2n ** 40n) && value < 2n ** 40n)).toEqual([])
  })
  test('coefficients that do not follow, with and without a limit', () => {
    for (const chosen of [[0.5, 0], [20, 0], [0], [0, 0, 0], []])
      expect(ask(0, signed({ ...request, coefficients: { screw_loosening: chosen } }, secret)).exit).toBe(1)
    for (const coefficients of [{}, { screw_fracture: [0, 0] }, { __proto__x: [0, 0] }])
      expect(ask(0, signed({ ...request, coefficients }, secret)).exit).toBe(1)
  })
  test('totals with a count below that of the practice, of another round or list, or over fewer practices', () => {
    const changed = (change: (before: Json) => void): Json => {
      const before = structuredClone(request.before)
      change(before)
      return signed({ ...request, before: signed(before, secret) }, secret)
    }
    for (const change of [
      (before: Json) => (before.values[0] = 2),
      (before: Json) => (before.values[1] = 0),
      (before: Json) => (before.round = 1),
      (before: Json) => (before.listHash = '0'.repeat(64)),
      (before: Json) => before.values.pop(),
    ])
      expect(ask(0, changed(change)).exit).toBe(1)
  })
})

describe('rounds that come twice, out of turn, or from somewhere else', () => {
  test('a second request for a round that was answered, and a round ahead', () => {
    const place = made.at('asked-twice')
    cpSync(made.at('place-0'), place, { recursive: true })
    const share = (message: Json, out: string) =>
      run(
        ...['share', '--round', write(made.at(`round-${counter++}.json`), message)],
        ...['--practice', place, '--out', made.at(out)],
      )
    expect(share(request, 'twice').exit).toBe(0)
    const sent = readFileSync(only(made.at('twice'), 'answer'), 'utf8')
    expect(share(bent(0.5), 'twice').exit).toBe(1)
    expect(share(signed({ ...request, round: 3 }, secret), 'twice').exit).toBe(1)
    expect(readFileSync(only(made.at('twice'), 'answer'), 'utf8')).toBe(sent)
    expect(share(request, 'twice').exit).toBe(0)
    expect(readFileSync(only(made.at('twice'), 'answer'), 'utf8')).toBe(sent)
  })
  test('a practice that did not answer the list', () => {
    const words = ['--practice', fresh(made, 1, 'unanswered'), '--out', made.at('unanswered-out')]
    expect(run('share', '--round', write(made.at('early.json'), request), ...words).exit).toBe(1)
  })
  test('answers to the list, to another request or of another practice, in place of those to the round', () => {
    const own = [0, 1, 2].map((site) => ask(site, request).answer)
    const other = ask(2, bent(0.5)).answer
    const tried: Record<string, { third: Json; exit: number; waits: boolean }> = {
      list: { third: read(made.at('received', 'answer-2.json')), exit: 0, waits: true },
      request: { third: other, exit: 0, waits: true },
      doubled: { third: own[1], exit: 0, waits: true },
      renumbered: {
        third: { ...read(made.at('received', 'answer-2.json')), round: 1 },
        exit: 1,
        waits: false,
      },
      values: { third: { ...own[2], values: own[1].values }, exit: 1, waits: false },
      genuine: { third: own[2], exit: 0, waits: false },
    }
    for (const [name, { third, exit, waits }] of Object.entries(tried)) {
      const received = `rounds-${name}`
      cpSync(made.at('received'), made.at(received), { recursive: true })
      cpSync(made.at('release'), made.at(`${received}-out`), { recursive: true })
      for (const [i, message] of [own[0], own[1], third].entries())
        write(made.at(received, `round-${i}.json`), message)
      const outcome = poolAgain(made, received, `${received}-out`)
      expect(outcome.exit, name).toBe(exit)
      expect(outcome.said.includes('Round 1 of the model waits for'), name).toBe(waits)
    }
  })
  test('the model goes on round by round, and its requests cannot be sent back to an earlier list', () => {
    const received = 'onwards'
    mkdirSync(made.at(received))
    cpSync(made.at('received'), made.at(received), { recursive: true })
    const foreign = signed({ ...request, listHash: 'ab'.repeat(32) }, secret)
    expect(ask(0, foreign).exit).toBe(1)
    answerAll(made, [0, 1, 2], made.list, received)
    expect(poolAgain(made, received).exit).toBe(0)
  })
})
