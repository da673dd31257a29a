import { parentPort } from 'node:worker_threads'
import { buildCohort } from '../cohort/cohort.js'
import { comparisonQuestion } from '../questions/comparison/question.js'
import { recordsOfPlain } from '../records/recordTable.js'
import type { AnswersAhead, AnswersOrder } from './answersAhead.js'
import { rehearseComparison } from './rehearsal.js'

/** Restorations above which a part of the comparison pays for a thread of its own, once the other questions are answered. */
const manyRestorations = 20_000

parentPort?.once('message', ({ records, definition, settings }: AnswersOrder) => {
  const cohort = buildCohort(recordsOfPlain(records), definition)
  // What stands in the way of an answer is thrown, which ends the thread: who asked then answers, and hears the reason.
  const tightening =
    cohort.n > manyRestorations
      ? comparisonQuestion.begin!(cohort, settings)()
      : comparisonQuestion.answer(cohort, settings)
  parentPort!.postMessage({ tightening } satisfies AnswersAhead)
})

/** Over before the first order is looked at. */
export const rehearsed: Promise<unknown> = Promise.resolve(rehearseComparison())
