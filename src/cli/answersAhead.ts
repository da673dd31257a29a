import { availableParallelism } from 'node:os'
import { isMainThread, Worker } from 'node:worker_threads'
import type { CohortDefinition } from '../cohort/definition.js'
import type { ComparisonResult } from '../questions/comparison/answer.js'
import type { AnalysisSettings } from '../questions/plan/settings.js'
import type { RecordSet } from '../records/dataset.js'
import { type PlainRecords, plainRecords } from '../records/recordTable.js'
import { limitsForMany } from './engineFlags.js'

/** What the thread is given. */
export interface AnswersOrder {
  readonly records: PlainRecords
  readonly definition: CohortDefinition
  readonly settings: AnalysisSettings
}

/** What the thread answers: what takes longest of an audit and rests on nothing else. */
export interface AnswersAhead {
  readonly tightening: ComparisonResult | undefined
}

/** What the thread is to answer about. */
export interface AskedAhead extends Omit<AnswersOrder, 'records'> {
  readonly records: RecordSet
}

/** A thread that answers some questions of an audit while the others are asked. */
export interface AnswersThread {
  /**
   * The answers to come; undefined where none will. They come to nothing where the thread fails: the caller then answers by
   * itself, and hears what stands in the way.
   */
  ask(asked: AskedAhead): Promise<AnswersAhead | undefined> | undefined
  close(): void
}

const threadFile = new URL('./answersThread.js', import.meta.url)

/**
 * Opens the thread while records are read, so that it has loaded what it needs when they are there. Undefined where there is no
 * second processor, or where `HOLDFAST_THREADS` is 1. An audit that has a thread of its own may be large, and is kept small.
 *
 * @param file file of the thread; another in tests
 */
export function openAnswersThread(file: URL = threadFile): AnswersThread | undefined {
  if (process.env.HOLDFAST_THREADS === '1' || availableParallelism() === 1) return undefined
  const thread = new Worker(file, isMainThread ? {} : { resourceLimits: limitsForMany })
  const come = new Promise<AnswersAhead | undefined>((resolve) => {
    thread.once('message', resolve)
    thread.once('error', () => resolve(undefined))
    thread.once('exit', () => resolve(undefined))
  })
  thread.unref()
  return {
    ask: ({ records, definition, settings }) => {
      const plain = plainRecords(records)
      if (plain === undefined) {
        void thread.terminate()
        return undefined
      }
      thread.ref()
      thread.postMessage({ records: withoutKeys(plain), definition, settings } satisfies AnswersOrder)
      return come
    },
    close: () => void thread.terminate(),
  }
}

/** Names of restorations, patients and implants: an answer counts by their codes, and names nobody. */
const keyFields = ['restoration_id', 'patient_id', 'implant_id']

/** Records whose keys have no names: those of a large practice are as large as all else that a thread is given. */
function withoutKeys({ tables, ...rest }: PlainRecords): PlainRecords {
  const bare = <Table extends PlainRecords['tables'][keyof PlainRecords['tables']]>(table: Table): Table => {
    const categories = new Map(table.columns.categories)
    for (const field of keyFields) {
      const found = categories.get(field)
      if (found !== undefined) categories.set(field, { labels: [], codes: found.codes })
    }
    return { ...table, columns: { ...table.columns, categories } }
  }
  const { restorations, tightenings, visits } = tables
  return {
    ...rest,
    tables: { restorations: bare(restorations), tightenings: bare(tightenings), visits: bare(visits) },
  }
}
