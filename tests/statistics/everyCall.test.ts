import { execFileSync } from 'node:child_process'
import { readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import type { Field, Signature } from '../../src/core/checked.js'
import { HoldfastError } from '../../src/core/errors.js'
import * as statistics from '../../src/statistics/index.js'
import { signatures } from '../../src/statistics/kernel/signatures.js'

/**
 * Every public function of statistics is called as its example calls it, with every argument, option and column spoilt
 * in turn: a typed error each time, never a result. The calls are taken from the examples, the ways to spoil them from
 * what each argument may be; nothing here is written for a single function.
 */

type Call = (...given: unknown[]) => unknown

const root = join(import.meta.dirname, '../..')
const functions = Object.entries(statistics).filter(([, one]) => typeof one === 'function') as [
  string,
  Call,
][]

/** Examples may await what is resampled. */
const AsyncFunction = Object.getPrototypeOf(async () => {}).constructor as FunctionConstructor

/** The arguments with which the examples call each function. */
async function exampleCalls(): Promise<ReadonlyMap<string, readonly unknown[]>> {
  const calls = new Map<string, readonly unknown[]>()
  const recording = Object.fromEntries(
    functions.map(([name, run]) => [
      name,
      (...given: unknown[]): unknown => {
        const known = calls.get(name)
        if (known === undefined || JSON.stringify(given).length > JSON.stringify(known).length) {
          calls.set(name, given)
        }
        return run(...given)
      },
    ]),
  )
  const folder = join(root, 'src/statistics')
  for (const file of readdirSync(folder, { recursive: true }) as string[]) {
    if (!file.endsWith('.ts')) continue
    for (const [, expression] of readFileSync(join(folder, file), 'utf8').matchAll(
      /@example (.+?) \/\/ => /g,
    )) {
      if (functions.some(([name]) => expression!.includes(`${name}(`))) {
        await new AsyncFunction(...Object.keys(recording), `return (${expression})`)(
          ...Object.values(recording),
        )
      }
    }
  }
  return calls
}

const day = new Date(Date.UTC(2024, 0, 1))

/** Values that are never what a field may be. */
function foreign(field: Field): readonly unknown[] {
  switch (field.is) {
    case 'anything':
      return []
    case 'number':
      return [Number.NaN, Number.POSITIVE_INFINITY, '5', null, day, {}, [1]]
    case 'text':
      return [5, null, day, {}]
    case 'flag':
      return ['yes', 1, null]
    case 'function':
      return ['f', null]
    case 'one-of':
      return ['no-such-value', 41, null, {}]
    case 'column':
    case 'labels':
    case 'covariate':
    case 'column-with-holes':
    case 'column-without-end':
    case 'list':
      return [42, 'abc', null, day, {}, [day, day], [{}, {}]]
    case 'tuple':
      return [42, null, [1], ['a', 'b']]
    case 'record':
    case 'object':
      return [42, 'abc', null, day, ['a']]
    case 'either':
      return field.of.some((one) => one.is === 'number') ? ['abc', null, day] : [42, null, day]
    case 'result':
      return [42, null, {}, { method: 'x' }, day]
  }
}

function withEntry(column: ArrayLike<unknown>, row: number, value: unknown): readonly unknown[] {
  const copy = Array.from(column)
  copy[row] = value
  return copy
}

/** The column with one entry spoilt, or one entry short. */
function spoiltColumns(field: Field, name: string, column: ArrayLike<unknown>): readonly unknown[] {
  if (column.length === 0) return []
  const last = column.length - 1
  const texts = typeof column[0] === 'string'
  const entries: unknown[] =
    field.is === 'column-with-holes'
      ? ['3', day, {}]
      : field.is === 'column-without-end'
        ? ['3', day, Number.NaN, null]
        : texts
          ? ['', null, day]
          : [Number.NaN, Number.POSITIVE_INFINITY, '3', day, null, undefined]
  if (/^(time|timeDays|stop|entry|weights|lower|timeAtRisk|variances|exposure)$/.test(name)) entries.push(-1)
  if (/^(event|eventObserved|caseObserved|treated)$/.test(name)) entries.push(0.5)
  const shorter = column.length > 1 ? [Array.from(column).slice(0, last)] : []
  return [...entries.map((entry) => withEntry(column, last, entry)), ...(field.is === 'list' ? [] : shorter)]
}

/** Every way to spoil a value that was given. */
function* spoilt(
  field: Field,
  name: string,
  value: unknown,
  alone: boolean,
): Generator<readonly [string, unknown]> {
  for (const one of foreign(field)) yield [`${name} as ${String(one)}`, one]
  if (name === 'level') for (const one of [0, 1, 95, -0.5]) yield [`level ${one}`, one]
  switch (field.is) {
    case 'column':
    case 'labels':
    case 'covariate':
    case 'column-with-holes':
    case 'column-without-end': {
      const ways = spoiltColumns(field, name, value as ArrayLike<unknown>)
      // where it is the only column of the call, one row fewer is another call and no fault
      const rows = (value as ArrayLike<unknown>).length
      for (const one of ways) {
        if (alone && (one as ArrayLike<unknown>).length !== rows) continue
        yield [`${name} with a spoilt entry`, one]
      }
      return
    }
    case 'list': {
      const list = value as readonly unknown[]
      for (let i = 0; i < Math.min(list.length, 2); i++) {
        for (const [where, one] of spoilt(field.of, `${name}.${i + 1}`, list[i], true))
          yield [where, withEntry(list, i, one)]
      }
      return
    }
    case 'record':
      for (const [key, own] of Object.entries(value as object)) {
        for (const [where, one] of spoilt(field.of, key, own, alone))
          yield [where, { ...(value as object), [key]: one }]
      }
      return
    case 'object':
      yield [`${name} with a name that it does not know`, { ...(value as object), noSuchName: 1 }]
      for (const [key, own] of Object.entries(field.fields)) {
        const given = (value as Record<string, unknown>)[key]
        const ways: Iterable<readonly [string, unknown]> =
          given === undefined
            ? foreign(own).map((one) => [`${key} as ${String(one)}`, one])
            : spoilt(own, key, given, alone)
        for (const [where, one] of ways) yield [`${name}: ${where}`, { ...(value as object), [key]: one }]
        if (!own.optional && given !== undefined) {
          yield [`${name} without ${key}`, { ...(value as object), [key]: undefined }]
        }
      }
      return
    case 'either': {
      const fitting = field.of.find(
        (one) =>
          (one.is === 'object' &&
            typeof value === 'object' &&
            Object.entries(one.fields).every(
              ([key, own]) =>
                (own.optional || key in (value as object)) &&
                (own.is !== 'one-of' ||
                  own.values.length > 1 ||
                  own.values[0] === (value as Record<string, unknown>)[key]),
            )) ||
          (one.is === 'number' && typeof value === 'number'),
      )
      if (fitting !== undefined && fitting.is === 'object') yield* spoilt(fitting, name, value, alone)
      return
    }
    default:
  }
}

/** Columns that a call was given, wherever they stand. */
function columnsOf(field: Field, value: unknown): number {
  if (value === undefined) return 0
  switch (field.is) {
    case 'column':
    case 'labels':
    case 'covariate':
    case 'column-with-holes':
    case 'column-without-end':
      return 1
    case 'record':
      return Object.values(value as object).reduce<number>((sum, one) => sum + columnsOf(field.of, one), 0)
    case 'object':
      return Object.entries(field.fields).reduce(
        (sum, [key, own]) => sum + columnsOf(own, (value as Record<string, unknown>)[key]),
        0,
      )
    case 'either':
      return field.of.reduce(
        (most, one) => Math.max(most, one.is === 'object' ? columnsOf(one, value) : 0),
        0,
      )
    default:
      return 0
  }
}

/** All spoilt versions of one call. */
function* spoiltCalls(
  signature: Signature,
  given: readonly unknown[],
): Generator<readonly [string, readonly unknown[]]> {
  const alone = signature.reduce((sum, field, i) => sum + columnsOf(field, given[i]), 0) < 2
  yield ['an argument too many', [...signature.map((_one, i) => given[i]), 1]]
  for (const [i, field] of signature.entries()) {
    const value = given[i] ?? (field.is === 'object' && field.optional ? {} : undefined)
    const ways: Iterable<readonly [string, unknown]> =
      value === undefined
        ? foreign(field).map((one) => [`${field.name} as ${String(one)}`, one])
        : spoilt(field, field.name, value, alone)
    for (const [where, one] of ways) yield [where, signature.map((_one, at) => (at === i ? one : given[at]))]
    if (!field.optional)
      yield [`without ${field.name}`, signature.map((_one, at) => (at === i ? undefined : given[at]))]
  }
}

async function outcome(run: Call, given: readonly unknown[]): Promise<string | undefined> {
  try {
    await run(...given)
    return 'a result'
  } catch (thrown) {
    return thrown instanceof HoldfastError
      ? undefined
      : `${(thrown as Error).name}: ${(thrown as Error).message}`
  }
}

const calls = await exampleCalls()

describe('every public function of statistics', () => {
  let count = 0

  it('has an example and a signature', () => {
    expect(functions.map(([name]) => name).filter((name) => !calls.has(name))).toEqual([])
    expect(functions.map(([name]) => name).filter((name) => signatures[name] === undefined)).toEqual([])
  })

  it('has the signature that its types say', () => {
    expect(() =>
      execFileSync(process.execPath, [join(root, 'scripts/signatures.mjs'), '--check'], {
        cwd: root,
        stdio: 'pipe',
      }),
    ).not.toThrow()
  }, 120_000)

  it.each(functions)('%s refuses every spoilt argument, option and column', async (name, run) => {
    const signature = signatures[name]!
    const taken: string[] = []
    for (const [where, given] of spoiltCalls(signature, calls.get(name) ?? [])) {
      count++
      const came = await outcome(run, given)
      if (came !== undefined) taken.push(`${where}: ${came}`)
    }
    expect(taken).toEqual([])
  })

  it('was called often enough for this to mean something', () => {
    console.log(`${count} spoilt calls of ${functions.length} functions`)
    expect(count).toBeGreaterThan(50 * functions.length)
  })
})
