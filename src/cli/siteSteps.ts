import { readFile } from 'node:fs/promises'
import { basename, join } from 'node:path'
import { UsageError } from '../core/errors.js'
import { type WholeFile, writeWhole } from '../core/wholeFiles.js'
import type { BeforeAnswering } from '../documents/kinds/shareDocument.js'
import { message } from '../messages/message.js'
import { speaker } from '../messages/speaker.js'
import { version } from '../notebook/version.js'
import { whileLocked } from '../pooling/identity/place.js'
import {
  newPractice,
  type Practice,
  practiceFor,
  practicePath,
  readPractices,
  writePractice,
} from '../pooling/identity/practice.js'
import { listCode, practiceToCall } from '../pooling/protocol/listCode.js'
import {
  type List,
  listHash,
  messageFile,
  type RoundRequest,
  readMessage,
  type Totals,
} from '../pooling/protocol/messages.js'
import type { AgreedProtocol } from '../pooling/protocol/protocol.js'
import { refusals } from '../pooling/site/refusals.js'
import {
  answerList,
  answerRound,
  checkProtocol,
  fixedRelease,
  makeReady,
  makeVoid,
  type ReleaseNumbers,
  type Step,
} from '../pooling/site/release.js'
import { practicePlace, readNamed, requireOut } from './namedFiles.js'
import { announce } from './progress.js'
import { throughDoor } from './throughDoor.js'
import { dayOfMaking } from './today.js'

/** Options of every step of a practice. */
export interface SiteOptions {
  readonly out?: string
  readonly practice?: string
  readonly name?: string
  readonly floor?: string
  readonly open?: boolean
  readonly anew?: boolean
  readonly restartAfter?: string
  /** Problems of the records that are set aside by name. */
  readonly setAside?: readonly string[]
  readonly date?: string
}

/** Floor of a practice that names none. */
const usualFloor = 5

/** Fixes the numbers of records and makes the ready note. */
export async function readyFromRecords(
  dataset: string,
  agreed: AgreedProtocol,
  options: SiteOptions,
): Promise<void> {
  const made = dayOfMaking(options.date)
  const [{ readRecords }, { knownRestorations, recordNumbers }] = await Promise.all([
    import('../records/read/readDataset.js'),
    import('../pooling/site/numbers.js'),
  ])
  const reading = { today: made.day, setAside: options.setAside ?? [] }
  const onProgress = (share: number): void => announce('reading', share)
  const records = await throughDoor(dataset, (door) => readRecords(dataset, { ...reading, door, onProgress }))
  announce('counting')
  await readyStep(agreed, options, {
    known: (practice) => knownRestorations(records, practice),
    numbers: (practice) => recordNumbers(records, agreed, practice),
  })
}

/** Where the numbers of a ready note come from. */
export interface NumberSource {
  /** How many of the restorations a practice knows. */
  readonly known: (practice: Practice) => number
  readonly numbers: (practice: Practice) => ReleaseNumbers | Promise<ReleaseNumbers>
}

/** Makes a ready note, whatever its numbers come from. */
export async function readyStep(
  agreed: AgreedProtocol,
  options: SiteOptions,
  source: NumberSource,
): Promise<void> {
  const place = practicePlace(options.practice)
  const out = requireOut(options.out)
  const { iso: date } = dayOfMaking(options.date)
  await whileLocked(place, async () => {
    const practice = await practiceAt(place, options, source)
    if (fixedRelease(practice, agreed, options.anew) === undefined) checkProtocol(practice, agreed, date)
    const known = fixedRelease(practice, agreed, options.anew)
    const numbers = known === undefined ? await source.numbers(practice) : emptyNumbers
    const step = makeReady(practice, agreed, numbers, {
      date,
      toolkit: version,
      open: options.open ?? false,
      ...(options.anew === undefined ? {} : { anew: options.anew }),
    })
    await writePractice(place, step.practice)
    const { generated } = fixedRelease(step.practice, agreed, undefined)!.ready
    const page = await beforePage({ agreed }, step.practice.name, date, generated)
    const path = join(out, messageFile('ready', siteOf(step.practice)))
    await writeWhole([
      { path, content: step.text },
      { ...page, path: join(out, page.path) },
    ])
    tell([
      step.again ? 'Ready note, the same as before' : 'Ready note',
      `  ${path}`,
      `Read before you answer: ${join(out, page.path)}`,
      `Stays in the practice; keep a copy: ${practicePath(place, step.practice)}`,
      `Next: send the ready note to the coordinator. When the list comes: holdfast share --list list-1.json --practice ${place} --out ${out}`,
    ])
  })
}

const emptyNumbers: ReleaseNumbers = {
  sums: {},
  restorations: 0,
  notes: {},
  modelRows: {},
  open: [],
  generated: false,
}

async function practiceAt(place: string, options: SiteOptions, source: NumberSource): Promise<Practice> {
  const practices = await readPractices(place)
  const found = practiceFor(practices, source.known, options.name)
  if (found !== undefined) return found
  const floor = options.floor === undefined ? usualFloor : Number(options.floor)
  if (!Number.isInteger(floor) || floor < 3 || floor > 100) throw badFloor()
  const cutoff =
    options.restartAfter === undefined
      ? null
      : (
          readMessage(
            await readNamed(options.restartAfter, 'the list'),
            basename(options.restartAfter),
            'list',
          ) as List
        ).protocol.release.cutoff
  return newPractice(options.name!, floor, cutoff, speaker().text(message('study-group.practice-file')))
}

/** Answers a list or a round, or checks totals. */
export async function laterStep(
  kind: 'list' | 'round' | 'totals',
  file: string,
  options: SiteOptions,
): Promise<void> {
  const place = practicePlace(options.practice)
  const out = requireOut(options.out)
  const text = await readNamed(file, `the ${kind === 'round' ? 'request' : kind}`)
  const message = readMessage(text, basename(file), kind)
  await whileLocked(place, async () => {
    const practices = await readPractices(place)
    if (kind === 'list')
      await answerStep(place, out, answerList(practices, message as List), message as List, options)
    else if (kind === 'round')
      await roundStep(place, out, answerRound(practices, message as RoundRequest), message as RoundRequest)
    else await totalsStep(out, practices, message as Totals, options)
  })
}

async function answerStep(
  place: string,
  out: string,
  step: Step,
  list: List,
  options: SiteOptions,
): Promise<void> {
  const code = listCode(listHash(list))
  const { iso: date } = dayOfMaking(options.date)
  const path = join(out, messageFile('answer', siteOf(step.practice)))
  await refuseOlderLedger(path, step.practice)
  // The ledger first: nothing can leave that a later release does not allow for.
  await writePractice(place, step.practice)
  const generated = list.sites.some((site) => site.generated)
  const call = practiceToCall(list, step.practice.signing.open)
  const page = await beforePage({ list, code, call }, step.practice.name, date, generated)
  await writeWhole([
    { path, content: step.text },
    { ...page, path: join(out, page.path) },
  ])
  tell([
    `Practices of the list: ${list.sites.map(({ name }) => name).join('; ')}`,
    `Code of the list: ${code}`,
    step.again ? 'Answer, the same as before' : 'Answer',
    `  ${path}`,
    `Next: call ${call}, by a number that you know, and compare names and code. If they are the same, send the answer to the coordinator; if not, or if there is no such practice, do not send it, and tell the others.`,
  ])
}

/**
 * Refuses to answer beside an answer that the ledger knows nothing of: the place was put back from an older copy, and
 * forgot a list that it has answered.
 */
async function refuseOlderLedger(path: string, practice: Practice): Promise<void> {
  const text = await readFile(path, 'utf8').catch(() => undefined)
  if (text === undefined) return
  const known = practice.releases.some((release) => release.answered.some((one) => one.text === text))
  if (!known) throw refusals.olderLedger()
}

async function roundStep(place: string, out: string, step: Step, request: RoundRequest): Promise<void> {
  await writePractice(place, step.practice)
  const path = join(out, messageFile('answer', siteOf(step.practice), `-round-${request.round}`))
  await writeWhole([{ path, content: step.text }])
  tell([`Answer to round ${request.round}: ${path}`, 'Next: send it to the coordinator.'])
}

async function totalsStep(
  out: string,
  practices: readonly Practice[],
  totals: Totals,
  options: SiteOptions,
): Promise<void> {
  const [{ checkedTotals }, { siteDocument }, { documentHtml }] = await Promise.all([
    import('../pooling/site/ownPage.js'),
    import('../documents/kinds/siteDocument.js'),
    import('../documents/formats/html.js'),
  ])
  const { page, objection, practice } = checkedTotals(practices, totals)
  const html = documentHtml(siteDocument(page, { date: dayOfMaking(options.date).iso }), new Map())
  const pagePath = join(out, 'this-practice.html')
  const path = join(out, messageFile('objection', siteOf(practice)))
  await writeWhole([
    { path: pagePath, content: html },
    ...(objection === undefined ? [] : [{ path, content: objection }]),
  ])
  tell([
    `Page of this practice, which stays here: ${pagePath}`,
    objection === undefined
      ? 'The totals hold the numbers of this practice, and nothing is to be objected to. Next: nothing.'
      : `Objection: ${path}\nNext: send the objection to the coordinator, who leaves these cells out.`,
  ])
}

/** Signs that a list will not be answered. */
export async function voidStep(file: string, options: SiteOptions): Promise<void> {
  const place = practicePlace(options.practice)
  const out = requireOut(options.out)
  const list = readMessage(await readNamed(file, 'the list'), basename(file), 'list') as List
  await whileLocked(place, async () => {
    const step = makeVoid(await readPractices(place), list)
    await writePractice(place, step.practice)
    const path = join(out, messageFile('void', siteOf(step.practice)))
    await writeWhole([{ path, content: step.text }])
    tell([`Void: ${path}`, 'Next: send it to the coordinator, who makes a shorter list for the others.'])
  })
}

async function beforePage(
  about: BeforeAnswering,
  name: string,
  date: string,
  generated: boolean,
): Promise<WholeFile> {
  const [{ shareDocument }, { documentHtml }] = await Promise.all([
    import('../documents/kinds/shareDocument.js'),
    import('../documents/formats/html.js'),
  ])
  const content = documentHtml(shareDocument(about, { date, generated, name }), new Map())
  return { path: 'read-before-you-answer.html', content }
}

function siteOf({ name, signing }: Practice): { readonly name: string; readonly identity: string } {
  return { name, identity: signing.open }
}

function tell(lines: readonly string[]): void {
  process.stdout.write(`${lines.join('\n')}\n`)
}

function badFloor(): UsageError {
  return new UsageError({
    code: 'bad-floor',
    problem: 'the floor is no whole number from 3 to 100.',
    expected: 'the fewest patients that may stand behind a printed number.',
    mend: 'write --floor 5.',
  })
}
