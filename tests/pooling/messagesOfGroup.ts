import { makeList } from '../../src/pooling/coordinator/gather.js'
import { newPractice, type Practice } from '../../src/pooling/identity/practice.js'
import {
  type Answer,
  type List,
  type Ready,
  readMessage,
  type Void,
} from '../../src/pooling/protocol/messages.js'
import type { AgreedProtocol } from '../../src/pooling/protocol/protocol.js'
import { newKeys } from '../../src/pooling/protocol/signing.js'
import { answerList, makeReady, makeVoid } from '../../src/pooling/site/release.js'
import type { SiteRows } from '../../src/pooling/site/siteRows.js'
import { numbersOfRows } from './syntheticGroup.js'

export const making = { date: '2026-02-01', toolkit: 'test' }
export const coordinator = newKeys('ed25519')

/** A practice that is ready. */
export function readyPractice(
  name: string,
  rows: SiteRows,
  agreed: AgreedProtocol,
  options: { readonly open?: boolean; readonly floor?: number; readonly before?: Practice } = {},
): { readonly practice: Practice; readonly ready: Ready } {
  const before = options.before ?? newPractice(name, options.floor ?? 5)
  const step = makeReady(before, agreed, numbersOfRows(rows, agreed.protocol), {
    ...making,
    open: options.open ?? false,
  })
  return { practice: step.practice, ready: readMessage(step.text, 'ready', 'ready') as Ready }
}

export function listOf(readies: readonly Ready[], agreed: AgreedProtocol): List {
  return makeList(readies, agreed, coordinator, making)
}

/** The answer of a practice, and the practice afterwards. */
export function answered(
  practice: Practice,
  list: List,
): { readonly practice: Practice; readonly answer: Answer } {
  const step = answerList([practice], list)
  return { practice: step.practice, answer: readMessage(step.text, 'answer', 'answer') as Answer }
}

export function voided(
  practice: Practice,
  list: List,
): { readonly practice: Practice; readonly message: Void } {
  const step = makeVoid([practice], list)
  return { practice: step.practice, message: readMessage(step.text, 'void', 'void') as Void }
}
