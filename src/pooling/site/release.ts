import { stableJson } from '../../core/plain.js'
import type { LedgerEntry, ModelRowsRecord, Practice, Release } from '../identity/practice.js'
import { masked } from '../masks/masks.js'
import {
  layoutOf,
  lengthOf,
  roundLayout,
  type Sums,
  valuesForList,
  wholeNumbers,
} from '../protocol/layout.js'
import {
  type Answer,
  agreedOfList,
  faultOfList,
  type List,
  listHash,
  messageText,
  type OpenFigures,
  type Ready,
  type RoundRequest,
  type Void,
} from '../protocol/messages.js'
import type { AgreedProtocol } from '../protocol/protocol.js'
import { messageHash, newKeys, signed } from '../protocol/signing.js'
import { checkRequest, zeroCoefficients } from './checkRequest.js'
import { modelSums } from './modelSums.js'
import { refusals } from './refusals.js'

/** Numbers of a practice for a release, with what its ledger notes once they are answered. */
export interface ReleaseNumbers {
  readonly sums: Sums
  readonly restorations: number
  readonly notes: Readonly<Record<string, LedgerEntry>>
  readonly modelRows: Readonly<Record<string, ModelRowsRecord>>
  readonly open: readonly OpenFigures[]
  readonly generated: boolean
}

/** How a ready note is made. */
export interface ReadyOptions {
  /** ISO date of making. */
  readonly date: string
  readonly toolkit: string
  /** Whether the practice lets its own figures be shown. */
  readonly open: boolean
  /** Whether numbers that were fixed before, and not sent, are fixed anew. */
  readonly anew?: boolean
}

/** A practice after a step, and the text of what it sends. */
export interface Step {
  readonly practice: Practice
  readonly text: string
  /** Whether the practice sent the same before. */
  readonly again: boolean
}

/** The release of a protocol that a practice has fixed; undefined where there is none, or it is to be fixed anew. */
export function fixedRelease(
  practice: Practice,
  { hash }: AgreedProtocol,
  anew = false,
): Release | undefined {
  const known = practice.releases.find(({ ready }) => ready.protocolHash === hash)
  if (known === undefined || !anew) return known
  if (known.answered.length > 0) throw refusals.alreadyAnswered()
  return undefined
}

/** Refuses a protocol below the practice's floor, one that reaches back, and one whose days are not over. */
export function checkProtocol(practice: Practice, { protocol }: AgreedProtocol, date: string): void {
  const { threshold, release } = protocol
  if (threshold < practice.floor) throw refusals.belowFloor(threshold, practice.floor)
  const { cutoff } = practice.ledger
  if (cutoff !== null && (release.from === null || release.from < cutoff || release.cutoff <= cutoff))
    throw refusals.reachesBack(cutoff)
  if (release.cutoff >= date) throw refusals.notOverYet(release.cutoff)
}

/**
 * Fixes the numbers of a practice for a protocol and makes its ready note; where they are fixed already, the same note
 * again. The numbers themselves stay in the practice.
 *
 * @throws DisclosureError `below-own-floor`, `reaches-back`, `cutoff-not-over`, `nothing-to-share`, `already-answered`
 */
export function makeReady(
  practice: Practice,
  agreed: AgreedProtocol,
  numbers: ReleaseNumbers,
  options: ReadyOptions,
): Step {
  const known = fixedRelease(practice, agreed, options.anew)
  if (known !== undefined) return { practice, text: messageText(known.ready), again: true }
  checkProtocol(practice, agreed, options.date)
  if (numbers.restorations === 0) throw refusals.nothingToShare()
  const layout = layoutOf(agreed.protocol)
  const keys = newKeys('x25519')
  const ready: Ready = signed(
    {
      format: 'holdfast-ready-1' as const,
      toolkit: options.toolkit,
      date: options.date,
      name: practice.name,
      identity: practice.signing.open,
      key: keys.open,
      protocolHash: agreed.hash,
      cutoff: agreed.protocol.release.cutoff,
      numbers: lengthOf(layout),
      open: options.open,
      generated: numbers.generated,
    },
    practice.signing.secret,
  )
  const release: Release = {
    ready,
    after: practice.ledger.release,
    maskSecret: keys.secret,
    values: [...wholeNumbers({ one: Float64Array.of(1), ...numbers.sums }, layout)],
    open: options.open ? [...numbers.open] : null,
    notes: numbers.notes,
    modelRows: numbers.modelRows,
    answered: [],
    voided: [],
    rounds: [],
  }
  const others = practice.releases.filter(({ ready: { protocolHash } }) => protocolHash !== agreed.hash)
  return { practice: { ...practice, releases: [...others, release] }, text: messageText(ready), again: false }
}

/** The practice of a place that stands in a list, with its release. */
export function practiceOfList(
  practices: readonly Practice[],
  list: List,
): { readonly practice: Practice; readonly release: Release; readonly own: number } {
  for (const practice of practices) {
    const own = list.sites.findIndex(({ identity }) => identity === practice.signing.open)
    if (own < 0) continue
    const ready = stableJson(list.sites[own])
    const release = practice.releases.find((one) => stableJson(one.ready) === ready)
    if (release === undefined) throw refusals.otherReady()
    return { practice, release, own }
  }
  throw refusals.notInList()
}

/**
 * Answers a list with the numbers that were fixed, masked for exactly this list; where it was answered before, with the
 * same bytes. The ledger notes what was shared.
 *
 * @throws DisclosureError `bad-list`, `second-list`, `answer-after-void`, `ledger-moved-on`, `below-own-floor`,
 *   `other-ready-note`; UsageError `not-in-list`
 */
export function answerList(practices: readonly Practice[], list: List): Step {
  const fault = faultOfList(list)
  if (fault !== undefined) throw refusals.badList(fault)
  const { practice, release, own } = practiceOfList(practices, list)
  const hash = listHash(list)
  const known = release.answered.find((one) => listHash(one.list) === hash)
  if (known !== undefined) return { practice, text: known.text, again: true }
  const { protocol } = agreedOfList(list)
  if (protocol.threshold < practice.floor) throw refusals.belowFloor(protocol.threshold, practice.floor)
  if (release.voided.some((one) => one.listHash === hash)) throw refusals.afterVoid()
  const before = release.answered.length > 0 ? release.ready.protocolHash : release.after
  if (practice.ledger.release !== before) throw refusals.ledgerMovedOn()
  for (const answered of release.answered) if (!isShorter(list, answered.list)) throw refusals.secondList()
  const values = valuesForList(release.values, protocol, list.sites.length)
  const answer: Answer = signed(
    {
      format: 'holdfast-answer-1' as const,
      identity: practice.signing.open,
      name: practice.name,
      listHash: hash,
      round: 0,
      requestHash: null,
      values: masked(values, list.sites, own, release.maskSecret, { listHash: hash, round: 0 }),
      open: release.open as OpenFigures[] | null,
    },
    practice.signing.secret,
  )
  const text = messageText(answer)
  const changed = { ...release, answered: [...release.answered, { list, text }] }
  const ledger = {
    cutoff: protocol.release.cutoff,
    release: release.ready.protocolHash,
    restorations: { ...practice.ledger.restorations, ...release.notes },
  }
  return { practice: { ...withRelease(practice, changed), ledger }, text, again: false }
}

/** Whether a list is an answered one without sites that have signed a void of it; none added. */
function isShorter(list: List, answered: List): boolean {
  const hash = listHash(answered)
  const notes = new Set(answered.sites.map((site) => stableJson(site)))
  if (!list.sites.every((site) => notes.has(stableJson(site)))) return false
  const gone = answered.sites.filter(({ identity }) => !list.sites.some((site) => site.identity === identity))
  return (
    gone.length > 0 &&
    gone.every(({ identity }) => list.voids.some((one) => one.identity === identity && one.listHash === hash))
  )
}

/**
 * Signs that a list will not be answered, so that the others may go on without this practice.
 *
 * @throws DisclosureError `void-after-answer`; UsageError `not-in-list`
 */
export function makeVoid(practices: readonly Practice[], list: List): Step {
  const { practice, release } = practiceOfList(practices, list)
  const hash = listHash(list)
  const known = release.voided.find((one) => one.listHash === hash)
  if (known !== undefined) return { practice, text: known.text, again: true }
  if (release.answered.some((one) => listHash(one.list) === hash)) throw refusals.voidAfterAnswer()
  const message: Void = signed(
    {
      format: 'holdfast-void-1' as const,
      identity: practice.signing.open,
      name: practice.name,
      listHash: hash,
    },
    practice.signing.secret,
  )
  const text = messageText(message)
  return {
    practice: withRelease(practice, { ...release, voided: [...release.voided, { listHash: hash, text }] }),
    text,
    again: false,
  }
}

/** The answered list that a later file belongs to. */
export function answeredList(
  practices: readonly Practice[],
  hash: string,
): { readonly practice: Practice; readonly release: Release; readonly list: List } {
  for (const practice of practices) {
    for (const release of practice.releases) {
      const found = release.answered.find((one) => listHash(one.list) === hash)
      if (found !== undefined) return { practice, release, list: found.list }
    }
  }
  throw refusals.notAnswered()
}

/**
 * Answers a round of the model: sums at the coefficients asked for, once it is checked that these follow from the totals
 * of the round before.
 *
 * @throws DisclosureError `list-not-answered`, `other-coordinator`, `wrong-totals`, `chosen-coefficients`,
 *   `second-request`
 */
export function answerRound(practices: readonly Practice[], request: RoundRequest): Step {
  const { practice, release, list } = answeredList(practices, request.listHash)
  const requestHash = messageHash(request)
  const rounds = release.rounds.filter((one) => one.listHash === request.listHash)
  const known = rounds.find(({ round }) => round === request.round)
  if (known?.requestHash === requestHash) return { practice, text: known.text, again: true }
  if (known !== undefined || request.round !== rounds.length + 1) throw refusals.secondRequest()
  const { protocol } = agreedOfList(list)
  const before = rounds.at(-1)?.coefficients ?? zeroCoefficients(protocol)
  checkRequest(request, list, before, release)
  const sums: Record<string, Float64Array> = { one: Float64Array.of(1) }
  for (const endpoint of protocol.endpoints) {
    const at = request.coefficients[endpoint]
    const rows = release.modelRows[endpoint]
    if (rows === undefined) throw refusals.secondRequest()
    const zero = zeroCoefficients(protocol)[endpoint]!
    const stopped = at === null || at === undefined
    const own = modelSums(rows, protocol, endpoint, stopped ? zero : at)
    for (const [name, values] of Object.entries(own)) sums[name] = stopped ? values.map(() => 0) : values
  }
  const own = list.sites.findIndex(({ identity }) => identity === practice.signing.open)
  const values = wholeNumbers(sums, roundLayout(protocol))
  const context = { listHash: request.listHash, round: request.round, requestHash }
  const answer: Answer = signed(
    {
      format: 'holdfast-answer-1' as const,
      identity: practice.signing.open,
      name: practice.name,
      listHash: request.listHash,
      round: request.round,
      requestHash,
      values: masked(values, list.sites, own, release.maskSecret, context),
      open: null,
    },
    practice.signing.secret,
  )
  const text = messageText(answer)
  const { listHash: hash, round, coefficients } = request
  const noted = { listHash: hash, round, requestHash, coefficients: { ...coefficients }, text }
  return {
    practice: withRelease(practice, { ...release, rounds: [...release.rounds, noted] }),
    text,
    again: false,
  }
}

function withRelease(practice: Practice, release: Release): Practice {
  return {
    ...practice,
    releases: practice.releases.map((one) =>
      one.ready.protocolHash === release.ready.protocolHash ? release : one,
    ),
  }
}
