import { cpSync, readFileSync, renameSync } from 'node:fs'
import { beforeAll, describe, expect, test } from 'vitest'
import {
  canonical,
  fresh,
  type Group,
  group,
  type Json,
  only,
  ownKey,
  read,
  run,
  sha256,
  signed,
  truth,
  write,
} from './outsider.js'

/** Two lists, two releases, two protocols, copied and restored ledgers, invented notes: with forged messages. */

let made: Group
let list: Json
let ready: Json[]
const coordinator = ownKey()
const mallory = ownKey()
let counter = 0

const byIdentity = (sites: Json[]): Json[] => [...sites].sort((a, b) => (a.identity < b.identity ? -1 : 1))
const listOf = (sites: Json[], change: Json = {}): string =>
  write(
    made.at(`forged-${counter++}.json`),
    signed(
      { ...list, sites: byIdentity(sites), coordinator: coordinator.open, ...change },
      coordinator.secret,
    ),
  )
const answer = (
  place: string,
  file: string,
  out = `out-forged-${counter++}`,
): { exit: number | null; said: string; out: string } => ({
  ...run('share', '--list', file, '--practice', place, '--out', made.at(out)),
  out: made.at(out),
})
const note = (change: Json): Json =>
  signed(
    { ...ready[1], name: 'Mallory', identity: mallory.open, key: ownKey('x25519').open, ...change },
    mallory.secret,
  )
const voidOf = (hash: string, of: Json, secret: string, format = 'holdfast-void-1'): Json =>
  signed({ format, identity: of.identity, name: of.name, listHash: hash }, secret)
const secretOf = (site: number): string => read(only(made.at(`before-${site}`), 'practice')).signing.secret

beforeAll(() => {
  made = group(4, 40, false)
  list = read(made.list)
  ready = [0, 1, 2, 3].map((site) => read(made.at('received', `ready-${site}.json`)))
}, 300_000)

describe('keys of an invented practice', () => {
  test('the key of another practice with its unused bit turned, which gives the same secrets', () => {
    const bytes = Buffer.from(ready[1].key, 'base64')
    bytes[bytes.length - 1] = (bytes[bytes.length - 1] as number) ^ 0x80
    let twin = ownKey()
    while (twin.open < ready[0].identity === ready[1].identity < ready[0].identity) twin = ownKey()
    const twinNote = signed(
      { ...ready[1], name: 'Mallory', identity: twin.open, key: bytes.toString('base64') },
      twin.secret,
    )
    const outcome = answer(fresh(made, 0, 'twin'), listOf([ready[0], ready[1], twinNote]))
    expect(outcome.exit).toBe(1)
    expect(outcome.said).toContain('sites.')
  })
  test('points of low order are refused by name, not as a fault', () => {
    const bytes = Buffer.from(ready[1].key, 'base64')
    bytes.fill(0, bytes.length - 32)
    const outcome = answer(
      fresh(made, 0, 'low'),
      listOf([ready[0], ready[1], note({ key: bytes.toString('base64') })]),
    )
    expect(outcome.exit).toBe(1)
  })
})

describe('a second list for the same days', () => {
  let place: string
  let hash: string
  beforeAll(() => {
    place = fresh(made, 0, 'answered')
    expect(answer(place, made.list).exit).toBe(0)
    hash = sha256(canonical(list))
  }, 60_000)
  const refused = (name: string, file: () => string): void => {
    test(name, () => {
      const outcome = answer(place, file())
      expect(outcome.exit).toBe(1)
    })
  }
  refused('by another coordinator', () => listOf(ready))
  refused('shorter, no void', () => listOf(ready.slice(0, 3), { replaces: hash }))
  refused('shorter, not said to replace anything', () => listOf(ready.slice(0, 3)))
  refused('shorter, void signed by the coordinator in the name of the practice', () =>
    listOf(ready.slice(0, 3), { replaces: hash, voids: [voidOf(hash, ready[3], coordinator.secret)] }),
  )
  refused('shorter, genuine void of another list', () =>
    listOf(ready.slice(0, 3), { replaces: hash, voids: [voidOf(sha256('another'), ready[3], secretOf(3))] }),
  )
  refused('shorter, void of one who stays', () =>
    listOf(ready.slice(0, 3), { replaces: hash, voids: [voidOf(hash, ready[1], secretOf(1))] }),
  )
  refused('one gone with a void and one added', () =>
    listOf([...ready.slice(0, 3), note({})], {
      replaces: hash,
      voids: [voidOf(hash, ready[3], secretOf(3))],
    }),
  )
  refused('an added practice', () => listOf([...ready, note({})], { replaces: hash }))
  refused('two practices', () =>
    listOf(ready.slice(0, 2), {
      replaces: hash,
      voids: [2, 3].map((site) => voidOf(hash, ready[site], secretOf(site))),
    }),
  )
  refused('an earlier cut-off in the list alone', () =>
    listOf(ready, { protocol: { ...list.protocol, release: { from: null, cutoff: '2023-06-30' } } }),
  )
  refused('the threshold lowered in the list alone', () =>
    listOf(ready, { protocol: { ...list.protocol, threshold: 3 } }),
  )
  test('the control: shorter with the genuine void of the list is answered', () => {
    const outcome = answer(
      place,
      listOf(ready.slice(0, 3), { replaces: hash, voids: [voidOf(hash, ready[3], secretOf(3))] }),
    )
    expect(outcome.exit).toBe(0)
  })
  test('a void after the answer', () => {
    const outcome = run('void', '--list', made.list, '--practice', place, '--out', made.at('void-out'))
    expect(outcome.exit).toBe(1)
  })
})

describe('ledgers that were copied or restored', () => {
  test('a backup from before the answer has forgotten it, and answers another list (not prevented)', () => {
    const restored = fresh(made, 0, 'restored')
    expect(answer(restored, made.list).exit).toBe(0)
    const older = fresh(made, 0, 'restored-again')
    expect(answer(older, listOf(ready.slice(0, 3))).exit).toBe(0)
    expect(truth(older)).toEqual(truth(restored))
  })
  test('a backup put back beside the answers that were sent', () => {
    const place = fresh(made, 0, 'same-out')
    expect(answer(place, made.list, 'same-to-send').exit).toBe(0)
    const older = fresh(made, 0, 'same-out-older')
    const sent = readFileSync(only(made.at('same-to-send'), 'answer'), 'utf8')
    const outcome = answer(older, listOf(ready.slice(0, 3)), 'same-to-send')
    expect(outcome.exit).toBe(1)
    expect(outcome.said).toContain('older copy')
    expect(readFileSync(only(made.at('same-to-send'), 'answer'), 'utf8')).toBe(sent)
  })
  test('a renamed folder of records and a renamed place give the same note', () => {
    const place = fresh(made, 0, 'renamed-place')
    cpSync(made.at('records-0'), made.at('renamed'), { recursive: true })
    renameSync(only(place, 'practice'), `${place}/practice-0000000000000000.json`)
    const words = [
      'share',
      made.at('renamed'),
      '--protocol',
      made.protocol,
      '--practice',
      place,
      '--out',
      made.at('renamed-out'),
    ]
    expect(run(...words, '--name', 'Somebody else').exit).toBe(1)
    expect(run(...words).exit).toBe(0)
    expect(read(only(made.at('renamed-out'), 'ready'))).toEqual(ready[0])
  })
  test('the same practice twice: in two places it is not found out, as the page says', () => {
    const two = run(
      'share',
      made.at('records-0'),
      '--protocol',
      made.protocol,
      '--practice',
      made.at('second-place'),
      '--name',
      'Second',
      '--out',
      made.at('second-out'),
    )
    expect(two.exit).toBe(0)
  })
})

describe('another release or protocol over shared days', () => {
  let place: string
  beforeAll(() => {
    place = fresh(made, 0, 'shared')
    expect(answer(place, made.list).exit).toBe(0)
  }, 60_000)
  const attempt = (name: string, change: (protocol: Json) => void, exit: number): void => {
    test(name, () => {
      const protocol = read(made.protocol)
      change(protocol)
      const file = write(made.at(`protocol-${counter++}.json`), protocol)
      const at = made.at(`copy-${counter}`)
      cpSync(place, at, { recursive: true })
      const outcome = run(
        'share',
        made.at('records-0'),
        '--protocol',
        file,
        '--practice',
        at,
        '--out',
        made.at(`next-${counter}`),
      )
      expect(outcome.exit).toBe(exit)
    })
  }
  attempt('another endpoint', (p) => Object.assign(p, { endpoints: ['screw_fracture'] }), 1)
  attempt('another grid', (p) => Object.assign(p, { gridDays: [183, 365], horizonsYears: [1] }), 1)
  attempt('an earlier cut-off', (p) => Object.assign(p.release, { cutoff: '2023-06-30' }), 1)
  attempt(
    'a later cut-off that reaches back to delivery',
    (p) => Object.assign(p.release, { cutoff: '2025-12-31' }),
    1,
  )
  attempt(
    'a release that reaches back one day',
    (p) => Object.assign(p.release, { from: '2023-12-30', cutoff: '2025-12-31' }),
    1,
  )
  attempt(
    'covariates added',
    (p) => Object.assign(p, { covariates: [{ field: 'bruxism', levels: ['no', 'yes'] }] }),
    1,
  )
  attempt('other groups', (p) => Object.assign(p.groups, { group: 'repeated outside the window' }), 1)
  attempt(
    'the control: the days after',
    (p) => Object.assign(p.release, { from: '2023-12-31', cutoff: '2025-12-31' }),
    0,
  )
  attempt(
    'a release of one day',
    (p) => Object.assign(p.release, { from: '2023-12-31', cutoff: '2024-01-01' }),
    1,
  )
  attempt(
    'a grid of single days',
    (p) =>
      Object.assign(p, {
        release: { from: '2023-12-31', cutoff: '2025-12-31' },
        horizonsYears: [1],
        gridDays: Array.from({ length: 200 }, (_, i) => 300 + i),
      }),
    2,
  )
})
