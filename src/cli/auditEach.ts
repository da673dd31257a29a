import { availableParallelism } from 'node:os'
import { Worker } from 'node:worker_threads'
import type { AuditOrder } from './auditDataset.js'
import type { AuditAnswer } from './auditThread.js'
import { failureOf } from './failure.js'

/** More threads than this would only fill the memory. */
const mostThreads = 8

/**
 * Audits many data sets, each by itself, in as many threads as the machine runs at once. A thread holds one data set at
 * a time, so that memory does not grow with their number. One that fails does not stop the others.
 *
 * @param onAnswer told of each data set as it is done, with how many are
 */
export async function auditEach(
  orders: readonly AuditOrder[],
  onAnswer: (order: AuditOrder, answer: AuditAnswer, done: number) => void,
): Promise<void> {
  let next = 0
  let done = 0
  const serve = async (): Promise<void> => {
    let thread = openThread()
    try {
      while (next < orders.length) {
        const order = orders[next++]!
        const answer = await answered(thread, order).catch((thrown): AuditAnswer => {
          // The thread is gone with its memory; the data sets that wait get another.
          thread = openThread()
          return { failure: failureOf(thrown) }
        })
        onAnswer(order, answer, ++done)
      }
    } finally {
      await thread.terminate()
    }
  }
  const threads = Math.min(availableParallelism(), mostThreads, orders.length)
  await Promise.all(Array.from({ length: threads }, serve))
}

function openThread(): Worker {
  // There are as many of them as the machine runs at once: none starts threads of its own.
  return new Worker(new URL('./auditThread.js', import.meta.url), {
    env: { ...process.env, HOLDFAST_THREADS: '1' },
  })
}

function answered(thread: Worker, order: AuditOrder): Promise<AuditAnswer> {
  return new Promise((resolve, reject) => {
    thread.once('message', (answer: AuditAnswer) => {
      thread.off('error', reject)
      resolve(answer)
    })
    thread.once('error', reject)
    thread.postMessage(order)
  })
}
