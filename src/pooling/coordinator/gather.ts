import { stableJson } from '../../core/plain.js'
import { maskedLength, unmaskedSum } from '../masks/masks.js'
import { layoutHash, layoutOf, lengthOf, roundLayout } from '../protocol/layout.js'
import {
  type Answer,
  agreedOfList,
  faultOfList,
  type List,
  type ListFault,
  listError,
  listHash,
  type Message,
  type Objection,
  type Ready,
  type RoundRequest,
  type Totals,
  type Void,
} from '../protocol/messages.js'
import { type AgreedProtocol, fewestSites } from '../protocol/protocol.js'
import { type KeyTexts, messageHash, signed } from '../protocol/signing.js'
import { StudyGroupError } from '../protocol/studyGroupError.js'

/** Messages that sites sent, by kind, each once. */
export interface Received {
  readonly readies: readonly Ready[]
  readonly answers: readonly Answer[]
  readonly voids: readonly Void[]
  readonly objections: readonly Objection[]
}

/** Sorts messages by kind; the same message twice counts once. */
export function sorted(messages: readonly Message[]): Received {
  const once = [...new Map(messages.map((one) => [messageHash(one), one])).values()]
  const of = <Kind extends Message>(format: Kind['format']): readonly Kind[] =>
    once.filter((one): one is Kind => one.format === format)
  return {
    readies: of<Ready>('holdfast-ready-1'),
    answers: of<Answer>('holdfast-answer-1'),
    voids: of<Void>('holdfast-void-1'),
    objections: of<Objection>('holdfast-objection-1'),
  }
}

/** The ready notes that are for a protocol, and those that are not. */
export function readiesFor(
  readies: readonly Ready[],
  agreed: AgreedProtocol,
): { readonly taken: readonly Ready[]; readonly others: readonly Ready[] } {
  const fits = (ready: Ready): boolean => ready.protocolHash === agreed.hash
  return { taken: readies.filter(fits), others: readies.filter((one) => !fits(one)) }
}

/**
 * Makes the list of those who are ready, in the order of their identities.
 *
 * @throws DisclosureError `too-few-sites`, `list-does-not-hold`
 */
export function makeList(
  readies: readonly Ready[],
  agreed: AgreedProtocol,
  coordinator: KeyTexts,
  making: { readonly date: string; readonly toolkit: string },
): List {
  return finished(readies, agreed, coordinator, { ...making, replaces: null, voids: [] })
}

/**
 * Makes a shorter list, without sites that have signed a void of the one before.
 *
 * @throws DisclosureError `no-void`, `too-few-sites`
 */
export function shorterList(
  before: List,
  voids: readonly Void[],
  coordinator: KeyTexts,
  making: { readonly date: string; readonly toolkit: string },
): List {
  const hash = listHash(before)
  const fresh = voids.filter(
    (one) => one.listHash === hash && before.sites.some(({ identity }) => identity === one.identity),
  )
  if (fresh.length === 0) throw listRefusals.noVoid()
  const sites = before.sites.filter(({ identity }) => !fresh.some((one) => one.identity === identity))
  return finished(sites, agreedOfList(before), coordinator, {
    ...making,
    replaces: hash,
    voids: [...before.voids, ...fresh],
  })
}

function finished(
  readies: readonly Ready[],
  { protocol }: AgreedProtocol,
  coordinator: KeyTexts,
  further: Pick<List, 'date' | 'toolkit' | 'replaces' | 'voids'>,
): List {
  if (readies.length < fewestSites) throw listRefusals.tooFew(readies.length)
  const sites = [...readies].sort((left, right) => (left.identity < right.identity ? -1 : 1))
  const { secret, open } = coordinator
  const content = {
    format: 'holdfast-list-1' as const,
    protocol,
    layoutHash: layoutHash(layoutOf(protocol)),
    ...further,
    sites,
    coordinator: open,
  }
  const list: List = signed(content, secret)
  const fault = faultOfList(list)
  if (fault !== undefined) throw listRefusals.doesNotHold(fault)
  return list
}

/** Where the answers to a list, or to a round of its model, stand. */
export type Gathered =
  | { readonly state: 'waiting'; readonly names: readonly string[] }
  | { readonly state: 'complete'; readonly totals: Totals }

/**
 * Adds up the answers to a list or a round, once all are there.
 *
 * @throws DisclosureError `two-answers`, `foreign-answer`, `totals-do-not-add-up`
 */
export function gathered(
  list: List,
  answers: readonly Answer[],
  coordinator: KeyTexts,
  request?: RoundRequest,
): Gathered {
  const hash = listHash(list)
  const round = request?.round ?? 0
  const requestHash = request === undefined ? null : messageHash(request)
  const own = answers.filter(
    (one) => one.listHash === hash && one.round === round && one.requestHash === requestHash,
  )
  const { protocol } = agreedOfList(list)
  const length = lengthOf(round === 0 ? layoutOf(protocol) : roundLayout(protocol))
  const foreign = own.find((one) => !list.sites.some(({ identity }) => identity === one.identity))
  if (foreign !== undefined) throw listRefusals.foreignAnswer(foreign.name)
  const found = list.sites.map(({ identity, name }) => {
    const mine = [
      ...new Map(
        own.filter((one) => one.identity === identity).map((one) => [stableJson(one), one]),
      ).values(),
    ]
    if (mine.length > 1) throw listRefusals.twoAnswers(name)
    if (mine[0] !== undefined && maskedLength(mine[0].values) !== length) throw listRefusals.otherLength(name)
    return mine[0]
  })
  const missing = list.sites.filter((_site, i) => found[i] === undefined)
  if (missing.length > 0) return { state: 'waiting', names: missing.map(({ name }) => name) }
  const sums = unmaskedSum(found.map((one) => one!.values))
  const beyond = sums.some(
    (one) => one > BigInt(Number.MAX_SAFE_INTEGER) || one < BigInt(Number.MIN_SAFE_INTEGER),
  )
  if (beyond || sums[0] !== BigInt(list.sites.length)) throw listRefusals.doNotAddUp()
  const content = {
    format: 'holdfast-totals-1' as const,
    listHash: hash,
    round,
    values: sums.map(Number),
    coordinator: coordinator.open,
  }
  return { state: 'complete', totals: signed(content, coordinator.secret) }
}

/** The refusals of the coordinator's side. */
const listRefusals = Object.freeze({
  tooFew: (sites: number) =>
    new StudyGroupError(
      'too-few-sites',
      `${sites === 1 ? 'one practice is' : `${sites} practices are`} left for the list.`,
      `at least ${fewestSites} practices; with two, each would see the numbers of the other.`,
      'wait until more practices are ready.',
    ),
  doesNotHold: (fault: ListFault) =>
    listError(fault, {
      code: 'list-does-not-hold',
      problem: 'no list can be made of these ready notes',
      expected:
        'ready notes of different practices, with names that differ, of which none or at least three are closed.',
      mend: 'settle it with the practices that it concerns, and make the list again.',
    }),
  noVoid: () =>
    new StudyGroupError(
      'no-void',
      'no practice of the list has signed a void of it.',
      'a void of each practice that the list is to do without.',
      'let the practice that cannot answer run holdfast void; if it cannot be reached, these days wait for the next release.',
    ),
  twoAnswers: (name: string) =>
    new StudyGroupError(
      'two-answers',
      `there are two different answers of ${name} to the same list.`,
      'one answer of each practice; sent again, it has the same bytes.',
      'ask the practice which file it made, and take the other out.',
    ),
  foreignAnswer: (name: string) =>
    new StudyGroupError(
      'foreign-answer',
      `${name} has answered a list in which it does not stand.`,
      'answers of the practices of the list.',
      'take the file out.',
    ),
  otherLength: (name: string) =>
    new StudyGroupError(
      'other-length',
      `the answer of ${name} has another number of numbers than the list asks for.`,
      'an answer of the same version of the toolkit.',
      'ask the practice to answer with the version that the list was made with.',
    ),
  doNotAddUp: () =>
    new StudyGroupError(
      'totals-do-not-add-up',
      'the masks do not cancel, so that one of the answers was made for something else, or is not what it says.',
      'answers of all practices to the same list.',
      'compare the code of the list with every practice, and ask them to send their answers again.',
    ),
})
