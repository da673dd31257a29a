import { z } from 'zod'
import { DisclosureError } from '../../core/errors.js'
import { parseJson } from '../../core/jsonText.js'
import { deepFreeze, sha256, stableJson } from '../../core/plain.js'
import { layoutHash, layoutOf, lengthOf } from './layout.js'
import { type AgreedProtocol, agreedProtocol, fewestSites, protocolSchema } from './protocol.js'
import { isOpenKey, isSignedBy, messageHash } from './signing.js'
import { StudyGroupError } from './studyGroupError.js'

/** Most sites of a list: their numbers, safe integers each, cannot wrap modulo 2⁶⁴. */
export const mostSites = 1023

const hash = z.string().regex(/^[0-9a-f]{64}$/)
const signature = z.string().regex(/^[A-Za-z0-9+/]{86}==$/)
const signingKey = z.string().refine((text) => isOpenKey(text, 'ed25519'), { error: 'no signing key' })
const agreementKey = z.string().refine((text) => isOpenKey(text, 'x25519'), { error: 'no key for masks' })
const day = z.string().regex(/^\d{4}-\d{2}-\d{2}$/)
const siteName = z
  .string()
  .min(1)
  .max(80)
  .refine((name) => name === name.normalize('NFC').trim(), {
    error: 'a name with spaces around it, or in another form of letters',
  })
const wholeNumber = z.int().min(Number.MIN_SAFE_INTEGER).max(Number.MAX_SAFE_INTEGER)

/** A practice is ready: its numbers for the protocol are fixed, and this is the key for its masks. */
export const readySchema = z.strictObject({
  format: z.literal('holdfast-ready-1'),
  toolkit: z.string().max(40),
  date: day,
  name: siteName,
  identity: signingKey,
  key: agreementKey,
  protocolHash: hash,
  cutoff: day,
  numbers: z.int().min(1),
  /** Whether the practice lets its own figures be shown. */
  open: z.boolean(),
  generated: z.boolean(),
  signature,
})

/** A practice will not answer a list. */
export const voidSchema = z.strictObject({
  format: z.literal('holdfast-void-1'),
  identity: signingKey,
  name: siteName,
  listHash: hash,
  signature,
})

/** Who sums, over what. */
export const listSchema = z.strictObject({
  format: z.literal('holdfast-list-1'),
  toolkit: z.string().max(40),
  date: day,
  protocol: protocolSchema,
  layoutHash: hash,
  sites: z.array(readySchema).min(fewestSites).max(mostSites),
  /** The list that this one shortens, and the voids of the sites that are gone. */
  replaces: hash.nullable(),
  voids: z.array(voidSchema),
  coordinator: signingKey,
  signature,
})

const openFigures = z.strictObject({
  endpoint: z.string(),
  restorations: z.tuple([z.int().min(0), z.int().min(0)]),
  events: z.tuple([z.int().min(0), z.int().min(0)]),
  /** Absent where a practice cannot compare the groups. */
  logHazardRatio: z.number().optional(),
  standardError: z.number().positive().optional(),
})

/** What an open practice lets be shown. */
export type OpenFigures = z.infer<typeof openFigures>

/** A practice's masked numbers, for a list (round 0) or a later round of its model. */
export const answerSchema = z.strictObject({
  format: z.literal('holdfast-answer-1'),
  identity: signingKey,
  name: siteName,
  listHash: hash,
  round: z.int().min(0).max(20),
  /** The request that it answers; null for the list itself. */
  requestHash: hash.nullable(),
  values: z.string().max(8_000_000),
  open: z.array(openFigures).nullable(),
  signature,
})

/** The sums over all practices of a list, which every practice checks against its own. */
export const totalsSchema = z.strictObject({
  format: z.literal('holdfast-totals-1'),
  listHash: hash,
  round: z.int().min(0).max(20),
  values: z.array(wholeNumber),
  coordinator: signingKey,
  signature,
})

/** The next round of the model: where its sums are asked for, and the totals from which that follows. */
export const roundSchema = z.strictObject({
  format: z.literal('holdfast-round-1'),
  listHash: hash,
  round: z.int().min(1).max(20),
  /** By endpoint; null where the model of that endpoint has stopped. */
  coefficients: z.record(z.string(), z.array(z.number()).nullable()),
  before: totalsSchema,
  coordinator: signingKey,
  signature,
})

/** A practice objects to printing cells: what is left of the others would fall below the threshold. */
export const objectionSchema = z.strictObject({
  format: z.literal('holdfast-objection-1'),
  identity: signingKey,
  name: siteName,
  listHash: hash,
  cells: z.array(z.string()).min(1).max(2000),
  signature,
})

export type Ready = z.infer<typeof readySchema>
export type Void = z.infer<typeof voidSchema>
export type List = z.infer<typeof listSchema>
export type Answer = z.infer<typeof answerSchema>
export type Totals = z.infer<typeof totalsSchema>
export type RoundRequest = z.infer<typeof roundSchema>
export type Objection = z.infer<typeof objectionSchema>

/** Any message between practices and coordinator. */
export type Message = Ready | Void | List | Answer | Totals | RoundRequest | Objection

/** Kinds of messages, by the first part of their mark. */
export const messageSchemas = Object.freeze({
  ready: readySchema,
  void: voidSchema,
  list: listSchema,
  answer: answerSchema,
  totals: totalsSchema,
  round: roundSchema,
  objection: objectionSchema,
})

/** Name of a kind of message. */
export type MessageKind = keyof typeof messageSchemas

/** What each kind of message is called in an error. */
const kindWords: Readonly<Record<MessageKind, string>> = {
  ready: 'ready note',
  void: 'void',
  list: 'list',
  answer: 'answer',
  totals: 'totals file',
  round: 'round request',
  objection: 'objection',
}

/**
 * Reads a message and checks its shape and its signature.
 *
 * @param text JSON of the file
 * @param file name for errors
 * @param kind kind that is expected; any where left out
 * @throws DisclosureError `not-a-message`, `old-summary`, `wrong-kind`, `damaged-message`, `bad-signature`
 */
export function readMessage(text: string, file: string, kind?: MessageKind): Message {
  const content = jsonOf(text, file)
  const format = typeof content.format === 'string' ? content.format : ''
  if (/^holdfast-(site-summary|summary|round-request|round-answer)-\d+$/.test(format)) throw oldSummary(file)
  const found = (Object.keys(messageSchemas) as MessageKind[]).find((one) => format === `holdfast-${one}-1`)
  if (found === undefined)
    throw refusal('not-a-message', file, 'it is no message of a study group', 'leave it out.')
  if (kind !== undefined && kind !== found) {
    throw refusal(
      'wrong-kind',
      file,
      `it is a ${kindWords[found]}, not a ${kindWords[kind]}`,
      'check which file was sent for this step.',
    )
  }
  const parsed = messageSchemas[found].safeParse(content)
  if (!parsed.success) {
    const places = parsed.error.issues.map(({ path }) => path.join('.') || 'the whole').slice(0, 5)
    throw refusal(
      'damaged-message',
      file,
      `the ${kindWords[found]} is damaged (${[...new Set(places)].join(', ')})`,
      'ask for the file again.',
    )
  }
  const message = deepFreeze(parsed.data) as Message
  if (!isSignedBy(message, signerOf(message))) throw badSignature(file, kindWords[found])
  if (message.format === 'holdfast-list-1') checkParts(message, file)
  if (message.format === 'holdfast-round-1' && !isSignedBy(message.before, message.before.coordinator))
    throw badSignature(file, 'totals file in it')
  return message
}

function jsonOf(text: string, file: string): { readonly format?: unknown } {
  try {
    const content: unknown = parseJson(text)
    if (typeof content === 'object' && content !== null) return content
  } catch {
    // Falls through to the one refusal.
  }
  throw refusal('not-a-message', file, 'it is no message of a study group', 'leave it out.')
}

function signerOf(message: Message): string {
  return 'coordinator' in message ? message.coordinator : message.identity
}

/** Ready notes and voids within a list carry signatures of their own. */
function checkParts(list: List, file: string): void {
  const bad = [...list.sites, ...list.voids].find((part) => !isSignedBy(part, part.identity))
  if (bad !== undefined)
    throw badSignature(
      file,
      `${kindWords[bad.format === 'holdfast-void-1' ? 'void' : 'ready']} of ${bad.name} in it`,
    )
}

/** What can be wrong with a list. */
export type ListFault =
  | 'other-layout'
  | 'ready-for-another-protocol'
  | 'ready-for-another-cutoff'
  | 'ready-for-another-layout'
  | 'practice-twice'
  | 'key-twice'
  | 'name-twice'
  | 'voids-without-an-earlier-list'
  | 'voided-practice'
  | 'one-closed'
  | 'two-closed'

/** What is wrong with a list, whoever reads it; undefined where nothing is. */
export function faultOfList(list: List): ListFault | undefined {
  const agreed = agreedOfList(list)
  const layout = layoutOf(agreed.protocol)
  const distinct = (values: readonly string[]): boolean => new Set(values).size === values.length
  if (list.layoutHash !== layoutHash(layout)) return 'other-layout'
  if (list.sites.some((site) => site.protocolHash !== agreed.hash)) return 'ready-for-another-protocol'
  if (list.sites.some((site) => site.cutoff !== agreed.protocol.release.cutoff))
    return 'ready-for-another-cutoff'
  if (list.sites.some((site) => site.numbers !== lengthOf(layout))) return 'ready-for-another-layout'
  if (!distinct(list.sites.map(({ identity }) => identity))) return 'practice-twice'
  if (!distinct(list.sites.map(({ key }) => key))) return 'key-twice'
  if (!distinct(list.sites.map(({ name }) => name.normalize('NFKC').toLowerCase()))) return 'name-twice'
  if (list.replaces === null && list.voids.length > 0) return 'voids-without-an-earlier-list'
  if (list.voids.some((one) => list.sites.some(({ identity }) => identity === one.identity)))
    return 'voided-practice'
  const closed = list.sites.filter(({ open }) => !open).length
  if (closed > 0 && closed < fewestSites) return closed === 1 ? 'one-closed' : 'two-closed'
  return undefined
}

/** The refusal of a list for what is wrong with it, as the side that reads it says it. */
export function listError(
  fault: ListFault,
  about: {
    readonly code: string
    readonly problem: string
    readonly expected: string
    readonly mend: string
  },
): StudyGroupError {
  const words: Readonly<Record<ListFault, string>> = {
    'other-layout': 'its layout is not that of its protocol',
    'ready-for-another-protocol': 'a ready note in it is for another protocol',
    'ready-for-another-cutoff': 'a ready note in it is for another cut-off day',
    'ready-for-another-layout': 'a ready note in it is for another layout',
    'practice-twice': 'the same practice stands in it twice',
    'key-twice': 'two practices in it have the same key',
    'name-twice': 'two practices in it have the same name',
    'voids-without-an-earlier-list': 'it holds voids but shortens no list',
    'voided-practice': 'a practice stands in it that has signed a void',
    'one-closed': 'only 1 of its practices is closed, so that the open ones would give it away',
    'two-closed': 'only 2 of its practices are closed, so that the open ones would give them away',
  }
  return new StudyGroupError(about.code, `${about.problem}: ${words[fault]}.`, about.expected, about.mend)
}

/** The protocol that a list fixes. */
export function agreedOfList(list: List): AgreedProtocol {
  return agreedProtocol(list.protocol)
}

/** Hash of a list: of everything in it, ready notes and signature too. */
export function listHash(list: List): string {
  return messageHash(list)
}

/** A message as the text of its file. */
export function messageText(message: Message): string {
  return `${stableJson(message, 1)}\n`
}

/** Name of a message's file: letters of the site's name that every system can write, and a part of its identity. */
export function messageFile(
  kind: MessageKind,
  site: { readonly name: string; readonly identity: string },
  further = '',
): string {
  return `${kind}${further}-${siteSlug(site)}.json`
}

/** A site as part of a file name: names that differ by an umlaut only do not meet, since part of the identity follows. */
export function siteSlug({ name, identity }: { readonly name: string; readonly identity: string }): string {
  const plain = name
    .normalize('NFD')
    .replace(/\p{M}+/gu, '')
    .replace(/[^A-Za-z0-9]+/g, '-')
    .replace(/^-+|-+$/g, '')
    .toLowerCase()
  return `${plain === '' ? 'site' : plain}-${sha256(identity).slice(0, 8)}`
}

function refusal(code: string, file: string, what: string, mend: string): DisclosureError {
  return new DisclosureError(
    { code, problem: `${what}.`, expected: 'a message as the toolkit wrote it, unchanged.', mend },
    file,
  )
}

function badSignature(file: string, what: string): DisclosureError {
  return refusal(
    'bad-signature',
    file,
    `the signature of the ${what} does not fit, so it was changed after it was made`,
    'ask for the file again, and do not open it in an editor.',
  )
}

function oldSummary(file: string): DisclosureError {
  return new DisclosureError(
    {
      code: 'old-summary',
      problem: 'it is a file of the earlier design, in which every site showed counts of its own.',
      expected: 'a ready note or an answer of this version.',
      mend: 'ask the site to run holdfast share of this version; nothing of the earlier files is used.',
    },
    file,
  )
}
