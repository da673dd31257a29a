import { parentPort } from 'node:worker_threads'
import { buildCohort } from '../cohort/cohort.js'
import { comparisonQuestion } from '../questions/comparison/question.js'
import { recordsOfPlain } from '../records/recordTable.js'
import type { AnswersAhead, AnswersOrder } from './answersAhead.js'

parentPort?.once('message', ({ records, definition, settings }: AnswersOrder) => {
  const cohort = buildCohort(recordsOfPlain(records), definition)
  // What stands in the way of an answer is thrown, which ends the thread: who asked then answers, and hears the reason.
  const tightening = comparisonQuestion.answer(cohort, settings)
  parentPort!.postMessage({ tightening } satisfies AnswersAhead)
})
