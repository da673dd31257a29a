import { buildCohort } from '../cohort/cohort.js'
import { recordsUntil } from '../cohort/recordsUntil.js'
import { dayFromIso, isoFromDay } from '../core/calendar.js'
import { gathered, makeList } from '../pooling/coordinator/gather.js'
import { type PooledResult, pooledResult } from '../pooling/coordinator/groupResult.js'
import { rowsByClinic } from '../pooling/coordinator/poolRows.js'
import { newPractice } from '../pooling/identity/practice.js'
import { fromWholeNumbers, layoutOf } from '../pooling/protocol/layout.js'
import { listCode } from '../pooling/protocol/listCode.js'
import { type Answer, type List, listHash, type Ready, readMessage } from '../pooling/protocol/messages.js'
import { type AgreedProtocol, fewestSites } from '../pooling/protocol/protocol.js'
import { newKeys } from '../pooling/protocol/signing.js'
import { numbersOf } from '../pooling/site/numbers.js'
import { answerList, makeReady } from '../pooling/site/release.js'
import { protocolDefinition, releaseRows, type SiteRows } from '../pooling/site/siteRows.js'
import type { RecordSet } from '../records/dataset.js'
import { today } from './today.js'
import { version } from './version.js'

/** A study group played through in one notebook. */
export interface StudyGroup {
  readonly agreed: AgreedProtocol
  readonly list: List
  /** The code that two practices compare. */
  readonly code: string
  /** What each practice sends: random to whoever does not have all of them. */
  readonly answers: readonly Answer[]
  /** What can be read: sums over all practices. */
  readonly pooled: PooledResult
}

/** How a group is played through. */
export interface GroupOptions {
  /** Date of making (ISO); default that of the machine. */
  readonly date?: string
}

/**
 * Plays a study group through, each clinic of the records as a practice of its own: ready notes, the list, masked
 * answers, and their sums. In life each practice does its part at home.
 *
 * @param records records of three clinics or more, with dates; never written to
 * @param agreed protocol of the group, as `readProtocol` gives it
 * @param options date of making, default today
 * @returns undefined where fewer than three clinics have a restoration in one of the two groups
 * @throws CohortError `empty-cohort` where no restoration is followed
 * @example playStudyGroup(records, readProtocol(JSON.stringify(exampleProtocol)), { date: '2026-01-31' }).pooled.endpoints.length // => 1
 */
export function playStudyGroup(
  records: RecordSet,
  agreed: AgreedProtocol,
  options: GroupOptions = {},
): StudyGroup | undefined {
  const { date = isoFromDay(today()) } = options
  const clinics = clinicRows(records, agreed)
  if (clinics.length < fewestSites) return undefined
  const making = { date, toolkit: version }
  const fixed = clinics.map(({ clinic, rows }) => {
    const numbers = numbersOf(rows, agreed.protocol, {}, records.source.generated)
    return makeReady(newPractice(clinic, fewestSites), agreed, numbers, { ...making, open: false })
  })
  const coordinator = newKeys('ed25519')
  const readies = fixed.map(({ text }) => readMessage(text, 'ready note', 'ready') as Ready)
  const list = makeList(readies, agreed, coordinator, making)
  const answers = fixed.map(
    ({ practice }) => readMessage(answerList([practice], list).text, 'answer', 'answer') as Answer,
  )
  const sum = gathered(list, answers, coordinator)
  if (sum.state === 'waiting') return undefined
  const pooled = pooledResult(fromWholeNumbers(sum.totals.values, layoutOf(agreed.protocol)), agreed, {
    route: 'sums',
    listHash: listHash(list),
    sites: list.sites.map(({ name, open }) => ({ name, open })),
    generated: records.source.generated,
  })
  return Object.freeze({ agreed, list, code: listCode(listHash(list)), answers, pooled })
}

function clinicRows(records: RecordSet, { protocol }: AgreedProtocol) {
  const until = recordsUntil(records, dayFromIso(protocol.release.cutoff)!)
  const rows: Record<string, SiteRows> = {}
  for (const endpoint of protocol.endpoints) {
    rows[endpoint] = releaseRows(
      buildCohort(until, protocolDefinition(protocol, endpoint)),
      protocol,
      undefined,
    ).rows
  }
  return rowsByClinic(rows).map(({ clinic, rows: own }) => ({
    clinic,
    rows: Object.fromEntries(
      Object.entries(own).map(([endpoint, one]) => [endpoint, { rows: one, notes: [] }] as const),
    ),
  }))
}
