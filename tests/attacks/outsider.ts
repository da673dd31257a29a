import { spawnSync } from 'node:child_process'
import { createHash, createPrivateKey, generateKeyPairSync, sign } from 'node:crypto'
import { cpSync, existsSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'

/** An attacker who has the documents, the command line and the files: nothing here comes from the product's code. */

// biome-ignore lint/suspicious/noExplicitAny: messages are read as whatever they hold
export type Json = any

const command = join(import.meta.dirname, '..', '..', 'dist', 'cli', 'main.js')
const studies = join(import.meta.dirname, '..', '..', 'dist', 'studies', 'main.js')

export interface Outcome {
  readonly exit: number | null
  readonly said: string
}

export function run(...words: string[]): Outcome {
  const done = spawnSync(process.execPath, [command, ...words], { encoding: 'utf8', maxBuffer: 1 << 28 })
  return { exit: done.status, said: done.stdout + done.stderr }
}

export const sorted = (value: Json): Json => {
  if (Array.isArray(value)) return value.map(sorted)
  if (value === null || typeof value !== 'object') return value
  return Object.fromEntries(
    Object.keys(value)
      .sort()
      .map((key) => [key, sorted(value[key])]),
  )
}
export const canonical = (value: Json): string => JSON.stringify(sorted(value))
export const sha256 = (text: string): string => createHash('sha256').update(text).digest('hex')

/** A key pair of the attacker's own, as messages write it. */
export function ownKey(kind: 'ed25519' | 'x25519' = 'ed25519'): { open: string; secret: string } {
  const pair = kind === 'ed25519' ? generateKeyPairSync('ed25519') : generateKeyPairSync('x25519')
  return {
    open: pair.publicKey.export({ format: 'der', type: 'spki' }).toString('base64'),
    secret: pair.privateKey.export({ format: 'der', type: 'pkcs8' }).toString('base64'),
  }
}

/** Signs a message as the product signs: over its sorted compact JSON (found by trying forms on a genuine message). */
export function signed(message: Json, secret: string): Json {
  const { signature: _, ...rest } = message
  const key = createPrivateKey({ key: Buffer.from(secret, 'base64'), format: 'der', type: 'pkcs8' })
  return { ...rest, signature: sign(null, Buffer.from(canonical(rest)), key).toString('base64') }
}

export const read = (file: string): Json => JSON.parse(readFileSync(file, 'utf8'))
export const write = (file: string, value: Json): string => {
  writeFileSync(file, `${JSON.stringify(sorted(value), null, 1)}\n`)
  return file
}
export const only = (folder: string, start: string): string => {
  const found = readdirSync(folder).filter((name) => name.startsWith(start))
  if (found.length !== 1) throw new Error(`${found.length} files ${start}* in ${folder}`)
  return join(folder, found[0] as string)
}

export function numbers(answer: Json): bigint[] {
  const bytes = Buffer.from(answer.values, 'base64')
  return Array.from({ length: bytes.length / 8 }, (_, i) => bytes.readBigInt64LE(8 * i))
}
export const sumOf = (vectors: readonly (readonly bigint[])[]): bigint[] =>
  (vectors[0] as readonly bigint[]).map((_, i) =>
    BigInt.asIntN(
      64,
      vectors.reduce((sum, vector) => sum + (vector[i] as bigint), 0n),
    ),
  )

export interface Group {
  readonly folder: string
  readonly protocol: string
  readonly list: string
  readonly at: (...parts: string[]) => string
}

/** The first restorations of a generated practice, so that groups are small. */
function cut(from: string, to: string, first: number, count: number): void {
  mkdirSync(to, { recursive: true })
  let ids = new Set<string>()
  for (const table of ['restorations', 'tightenings', 'visits']) {
    const [head = '', ...rows] = readFileSync(join(from, `${table}.csv`), 'utf8')
      .trim()
      .split('\n')
    const place = head.split(',').indexOf('restoration_id')
    if (table === 'restorations')
      ids = new Set(rows.slice(first, first + count).map((row) => row.split(',')[place] ?? ''))
    const kept = rows.filter((row) => ids.has(row.split(',')[place] ?? ''))
    writeFileSync(join(to, `${table}.csv`), `${[head, ...kept].join('\n')}\n`)
  }
}

export const practiceNames = ['Müller', 'Muller', 'Bridge', 'Hill', 'Park', 'Lake', 'Station']

/**
 * A group of small practices with ready notes; `before-N` keeps each practice's place as it stood before it answered.
 * With `released` the list is answered by all and the report is made.
 */
export function group(
  sites: number,
  size: number | readonly number[],
  released: boolean,
  cutoff = '2023-12-31',
  change: (protocol: Json) => void = () => {},
): Group {
  const folder = mkdtempSync(join(tmpdir(), 'outsider-'))
  const at = (...parts: string[]): string => join(folder, ...parts)
  const written = spawnSync(process.execPath, [
    studies,
    'write',
    'halved-1000-frequent',
    at('source'),
    '--seed',
    '4',
  ])
  if (written.status !== 0 && !existsSync(at('source', 'visits.csv'))) throw new Error(String(written.stderr))
  const protocol = JSON.parse(run('pool', '--example-protocol').said)
  protocol.release.cutoff = cutoff
  change(protocol)
  write(at('group.json'), protocol)
  mkdirSync(at('received'))
  for (let site = 0; site < sites; site++) {
    cut(
      at('source'),
      at(`records-${site}`),
      site * 100,
      typeof size === 'number' ? size + 5 * site : (size[site] as number),
    )
    expectExit(readyNote(at, site, at('group.json'), at('received', `ready-${site}.json`)))
    cpSync(at(`place-${site}`), at(`before-${site}`), { recursive: true })
  }
  expectExit(run('pool', at('received'), '--protocol', at('group.json'), '--out', at('release'), '--list'))
  const list = at('release', 'for-sites', 'list-1.json')
  const made = { folder, protocol: at('group.json'), list, at }
  if (released) answerAll(made, [...Array(sites).keys()], list, 'received')
  if (released) expectExit(poolAgain(made))
  return made
}

/** The ready note of a practice, copied to where the coordinator reads it. */
function readyNote(at: Group['at'], site: number, protocol: string, to: string): Outcome {
  const done = run(
    ...['share', at(`records-${site}`), '--protocol', protocol, '--practice', at(`place-${site}`)],
    ...['--name', practiceNames[site] as string, '--out', at(`out-${site}`)],
  )
  if (done.exit === 0) cpSync(only(at(`out-${site}`), 'ready'), to)
  return done
}

/** Lets practices answer a list, from their own places. */
export function answerAll(made: Group, sites: readonly number[], list: string, received: string): void {
  for (const site of sites) {
    const place = ['--practice', made.at(`place-${site}`), '--out', made.at(`out-${site}`)]
    expectExit(run('share', '--list', list, ...place))
    cpSync(only(made.at(`out-${site}`), 'answer'), made.at(received, `answer-${site}.json`))
  }
}

/** The coordinator's command on what was received. */
export function poolAgain(
  made: Pick<Group, 'at' | 'protocol'>,
  received = 'received',
  out = 'release',
): Outcome {
  const where = ['--protocol', made.protocol, '--out', made.at(out), '--formats', 'none']
  return run('pool', made.at(received), ...where)
}

/** A further release of a group, by some of its practices. */
export function further(made: Group, sites: readonly number[], name: string, days: Json): Group {
  const protocol = write(made.at(`${name}.json`), { ...read(made.protocol), release: days })
  mkdirSync(made.at(name))
  for (const site of sites)
    expectExit(readyNote(made.at, site, protocol, made.at(name, `ready-${site}.json`)))
  const next = { ...made, protocol, list: made.at(`${name}-out`, 'for-sites', 'list-1.json') }
  expectExit(run('pool', made.at(name), '--protocol', protocol, '--out', made.at(`${name}-out`), '--list'))
  answerAll(next, sites, next.list, name)
  expectExit(poolAgain(next, name, `${name}-out`))
  return next
}

function expectExit(outcome: Outcome): void {
  if (outcome.exit !== 0) throw new Error(`exit ${outcome.exit}: ${outcome.said}`)
}

/** What a practice hid: read from its own place, to judge what an attacker got. */
export const truth = (place: string): number[] => read(only(place, 'practice')).releases.at(-1).values

/** The place of a practice as it was before it answered, copied to a name of its own. */
export function fresh(made: Group, site: number, name: string): string {
  cpSync(made.at(`before-${site}`), made.at(name), { recursive: true })
  return made.at(name)
}
