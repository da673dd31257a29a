import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { pathToFileURL } from 'node:url'
import { afterAll, describe, expect, it } from 'vitest'
import { randomStream } from '../../src/core/random.js'
import { begunChains } from '../../src/statistics/imputation/begunChains.js'
import {
  type CompletedChain,
  type PreparedChains,
  runChains,
} from '../../src/statistics/imputation/chains.js'
import { workingColumn } from '../../src/statistics/imputation/predictors.js'

/** The thread as built: a thread cannot run the sources. */
const built = new URL('../../dist/statistics/imputation/chainsThread.js', import.meta.url)

const folder = mkdtempSync(join(tmpdir(), 'holdfast-chains-'))
afterAll(() => rmSync(folder, { recursive: true }))

function threadOf(code: string): URL {
  const path = join(folder, `${randomStream(code.length).index(1e9)}.mjs`)
  writeFileSync(path, code)
  return pathToFileURL(path)
}

/** 600 rows of a number, a flag and a category, with holes in each, and what became of them. */
function practice(): PreparedChains {
  const random = randomStream(77)
  const rows = 600
  const holed = <One>(value: One, hole: One): One => (random.uniform() < 0.1 ? hole : value)
  const age = Array.from({ length: rows }, () => holed(40 + 10 * random.normal(), Number.NaN))
  const smoker = Array.from({ length: rows }, () => holed(random.uniform() < 0.3 ? 1 : 0, Number.NaN))
  const site = Array.from({ length: rows }, () => holed(['front', 'premolar', 'molar'][random.index(3)]!, ''))
  return {
    columns: [
      workingColumn('age', { kind: 'numeric', values: age }, 3),
      workingColumn('smoker', { kind: 'binary', values: smoker }, 4),
      workingColumn('site', { kind: 'categorical', values: site }, 5),
    ],
    rows,
    seed: 4,
    imputations: 16,
    iterations: 5,
    donors: 5,
    outcome: {
      timeDays: Float64Array.from({ length: rows }, () => 1000 * random.uniform()),
      eventObserved: Uint8Array.from({ length: rows }, () => (random.uniform() < 0.1 ? 1 : 0)),
      entryDays: new Float64Array(rows),
    },
  }
}

function values(chains: Iterable<CompletedChain>): unknown {
  return Array.from(chains, ({ columns, traces }) => [
    [...columns].map(([name, column]) => [name, Array.from(column.values)]),
    traces,
  ])
}

describe('chains in a thread of their own', () => {
  const prepared = practice()
  const alone = values(runChains(prepared))

  it('come out as without one, to the last digit', () => {
    expect(values(begunChains(prepared, { file: built, leastWork: 0 }))).toEqual(alone)
  })

  it('are those that the thread wrote', () => {
    const file = threadOf(`
      import { workerData } from 'node:worker_threads'
      const { prepared, filled, state } = workerData
      filled.fill(7)
      Atomics.add(state.done, 0, prepared.imputations)
      Atomics.add(state.beats, 0, 1)
      Atomics.notify(state.beats, 0)
    `)
    const [first] = begunChains(prepared, { file, leastWork: 0 })
    const age = prepared.columns[0]!
    expect(Array.from(age.missing, (row) => first!.columns.get('age')!.values[row])).toEqual(
      Array.from(age.missing, () => 7),
    )
  })

  it('come out the same where the thread cannot even be loaded', () => {
    const file = threadOf("throw new Error('no thread today')")
    expect(values(begunChains(prepared, { file, patienceMs: 200, leastWork: 0 }))).toEqual(alone)
  })

  it('come out the same where the thread ends after some of them', () => {
    const file = threadOf(`
      import { workerData } from 'node:worker_threads'
      import { runChains } from '${new URL('./chains.js', built).href}'
      const { prepared, filled, traces, state } = workerData
      let [cell, trace, chains] = [0, 0, 0]
      for (const chain of runChains(prepared)) {
        if (chains++ === 3) break
        for (const { name, missing } of prepared.columns)
          for (const row of missing) filled[cell++] = chain.columns.get(name).values[row]
        for (const { means, standardDeviations } of chain.traces)
          for (const one of [...means, ...standardDeviations]) traces[trace++] = one
        Atomics.add(state.done, 0, 1)
      }
      Atomics.add(state.failed, 0, 1)
      Atomics.add(state.beats, 0, 1)
      Atomics.notify(state.beats, 0)
    `)
    expect(values(begunChains(prepared, { file, leastWork: 0 }))).toEqual(alone)
  })

  it('come out the same where the thread falls silent', () => {
    const file = threadOf('for (;;) await new Promise((done) => setTimeout(done, 1000))')
    expect(values(begunChains(prepared, { file, patienceMs: 100, leastWork: 0 }))).toEqual(alone)
  })

  it('throw what stands in their way where they are asked for, not in the thread', () => {
    const outcome = { ...prepared.outcome!, timeDays: new Float64Array(prepared.rows).fill(Number.NaN) }
    expect(() => values(begunChains({ ...prepared, outcome }, { file: built, leastWork: 0 }))).toThrow(
      /outcome|time/i,
    )
  })
})
