import { parentPort } from 'node:worker_threads'
import { openPictureDrawer } from '../charts/pictureDrawer.js'
import { type AuditedDataset, type AuditOrder, auditDataset } from './auditDataset.js'
import { type Failure, failureOf } from './failure.js'

/** What a thread answers to an order. */
export type AuditAnswer =
  | { readonly audited: AuditedDataset; readonly failure?: never }
  | { readonly failure: Failure; readonly audited?: never }

const drawer = openPictureDrawer()

parentPort?.on('message', async (order: AuditOrder) => {
  let answer: AuditAnswer
  try {
    answer = { audited: await auditDataset(order, drawer) }
  } catch (thrown) {
    answer = { failure: failureOf(thrown) }
  }
  parentPort!.postMessage(answer)
})
