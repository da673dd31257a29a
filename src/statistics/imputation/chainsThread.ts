import { workerData } from 'node:worker_threads'
import type { ChainsOrder } from './begunChains.js'
import { runChains } from './chains.js'

const { prepared, filled, traces, state } = workerData as ChainsOrder

/** Tells the thread that may be waiting that something was done. */
function tell(place: 'beats' | 'done' | 'failed'): void {
  Atomics.add(state[place], 0, 1)
  Atomics.add(state.beats, 0, 1)
  Atomics.notify(state.beats, 0)
}

try {
  let cell = 0
  let trace = 0
  for (const chain of runChains(prepared, () => tell('beats'))) {
    for (const { name, missing } of prepared.columns) {
      const { values } = chain.columns.get(name)!
      for (let i = 0; i < missing.length; i++) filled[cell++] = values[missing[i]!]!
    }
    for (const { means, standardDeviations } of chain.traces) {
      for (const one of [...means, ...standardDeviations]) traces[trace++] = one
    }
    tell('done')
  }
} catch {
  // The thread that asked does it again by itself, and hears the reason there.
  tell('failed')
}
