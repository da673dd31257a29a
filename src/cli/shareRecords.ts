import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { DisclosureError, exitCodes, UsageError } from '../core/errors.js'
import { stableJson } from '../core/plain.js'
import { version } from '../notebook/version.js'
import type { AgreedProtocol } from '../pooling/protocol.js'
import type { ReleaseRecord } from '../pooling/releases.js'
import type { SiteRows } from '../pooling/siteRows.js'
import type { MadeSummary } from '../pooling/siteSummary.js'
import type { RecordSet } from '../records/dataset.js'
import {
  defaultLogPath,
  groupKeyVariable,
  readNamed,
  readShareLog,
  type ShareLog,
  type WholeFile,
  writeWhole,
} from './sharing.js'
import { answerFiles, summaryFiles } from './summaryFiles.js'
import { dayOfMaking } from './today.js'

/** What a practice was asked to share. */
export interface ShareOrder {
  readonly agreed: AgreedProtocol
  readonly out: string
  /** Key of the group itself. */
  readonly groupKey: string | undefined
  /** Request to answer, instead of making a summary. */
  readonly round?: string
  /** Key file of the pseudonyms; default beside the data set. */
  readonly key?: string
  /** Log of what was shared; default beside the data set. */
  readonly log?: string
  /** Problems set aside by name. */
  readonly setAside?: readonly string[]
  readonly date?: string
}

/** One run for the clinics of a data set. */
interface Task {
  readonly agreed: AgreedProtocol
  readonly key: string | undefined
  readonly out: string
  readonly generated: boolean
  readonly date: string
  readonly log: ShareLog
}

/** What a run came to: files for the coordinator, what the practice notes, and what is told. */
interface Shared {
  readonly files: readonly WholeFile[]
  readonly releases: readonly ReleaseRecord[]
  readonly told: readonly string[]
}

/**
 * Shares the clinics of a data set: summaries, or answers to a round. What is noted in the practice is written before
 * what is sent, so that nothing can leave that a later release does not allow for.
 */
export async function shareRecords(dataset: string, order: ShareOrder): Promise<void> {
  const { agreed } = order
  const request = order.round === undefined ? undefined : await readNamed(order.round, 'the request')
  const logPath = order.log ?? defaultLogPath(dataset)
  const log = await readShareLog(logPath)
  const records = await shareableRecords(dataset, order)
  const [{ buildCohort }, { protocolDefinition, siteRows }] = await Promise.all([
    import('../cohort/cohort.js'),
    import('../pooling/siteRows.js'),
  ])
  const sites = siteRows(buildCohort(records, protocolDefinition(agreed.protocol)), agreed.protocol)
  const task: Task = {
    agreed,
    key: order.groupKey,
    out: order.out,
    generated: records.source.generated,
    date: dayOfMaking(order.date).iso,
    log,
  }
  const shared = await (request === undefined ? summariesOf(sites, task) : answersOf(sites, task, request))
  const noted = `${stableJson({ ...log, releases: shared.releases })}\n`
  await writeWhole([{ path: logPath, content: noted, mode: 0o600 }])
  await writeWhole(shared.files)
  process.stdout.write(`${shared.told.join('\n')}\nStays in the practice: ${logPath}\n`)
}

/** Refuses to leave out the seal where the group agreed on one. */
export function requireKey({ protocol }: AgreedProtocol, key: string | undefined): void {
  if (!protocol.keyed || key !== undefined) return
  throw new UsageError({
    code: 'no-group-key',
    problem: 'the protocol asks for files sealed with the key of the group.',
    expected: `--group-key and the file of the key, or the environment variable ${groupKeyVariable}.`,
    mend: 'ask the coordinator for the key.',
  })
}

/** The folder for what is sent, which cannot be left out where something is written. */
export function requireOut(out: string | undefined): string {
  if (out !== undefined) return out
  throw new UsageError({
    code: 'no-out',
    problem: 'no folder was named for what is sent.',
    expected: '--out and a folder.',
    mend: 'write --out to-send.',
  })
}

/** Records in the shareable form: as they are, or made so on the way, in a temporary folder that is taken away again. */
async function shareableRecords(
  dataset: string,
  options: Pick<ShareOrder, 'key' | 'date' | 'setAside'>,
): Promise<RecordSet<'shareable'>> {
  const { readShareable } = await import('../records/read/readShareable.js')
  const today = dayOfMaking(options.date).day
  const { setAside = [] } = options
  try {
    return await readShareable(dataset, { today, setAside })
  } catch (error) {
    if (!(error instanceof DisclosureError)) throw error
  }
  const { deidentify } = await import('../records/identities/deidentify.js')
  const folder = await mkdtemp(join(tmpdir(), 'holdfast-share-'))
  try {
    const form = join(folder, 'shareable')
    await deidentify(dataset, form, {
      today,
      setAside,
      ...(options.key === undefined ? {} : { keyFile: options.key }),
    })
    return await readShareable(form, { today })
  } finally {
    await rm(folder, { recursive: true, force: true })
  }
}

async function summariesOf(sites: readonly SiteRows[], task: Task): Promise<Shared> {
  const { log, out } = task
  const made = await Promise.all(sites.map((rows) => sharedOrRefused(rows, task)))
  const refusals = made.filter((one): one is DisclosureError => one instanceof DisclosureError)
  const summaries = made.filter((one): one is MadeSummary => !(one instanceof DisclosureError))
  if (summaries.length === 0) throw refusals[0] ?? noSites()
  const written = await Promise.all(summaries.map(({ summary }) => summaryFiles(summary, out)))
  for (const { message } of refusals) process.stderr.write(`One clinic is not shared: ${message}\n`)
  if (refusals.length > 0) process.exitCode = exitCodes.data
  const added = summaries
    .map(({ record }) => record)
    .filter(({ checksum }) => !log.releases.some((known) => known.checksum === checksum))
  return {
    files: written.flatMap(({ files }) => files),
    releases: [...log.releases, ...added],
    told: written.flatMap(({ told }) => told),
  }
}

function noSites(): UsageError {
  return new UsageError({
    code: 'no-rows',
    problem: 'no restoration falls into either group of the protocol.',
    expected: 'restorations in the two groups.',
    mend: 'check the protocol and the tightening events of the delivery day.',
  })
}

/** The latest release again where nothing has changed, else a new one. */
async function sharedOrRefused(rows: SiteRows, task: Task): Promise<MadeSummary | DisclosureError> {
  const again = await latestAgain(rows, task)
  if (again !== undefined) return again.made
  const { makeSiteSummary } = await import('../pooling/siteSummary.js')
  const { agreed, key, generated, date, log } = task
  try {
    return await makeSiteSummary(rows, agreed, {
      date,
      toolkit: version,
      generated,
      key,
      salt: log.salt,
      earlier: releasesOf(log, rows.clinic),
    })
  } catch (error) {
    if (error instanceof DisclosureError) return error
    throw error
  }
}

function releasesOf(log: ShareLog, clinic: string): readonly ReleaseRecord[] {
  return log.releases.filter((one) => one.clinic === clinic)
}

/** Makes the latest release of a clinic again; undefined where there is none, or the records have changed. */
async function latestAgain(
  rows: SiteRows,
  { agreed, key, generated, log }: Task,
): Promise<{ readonly made: MadeSummary; readonly record: ReleaseRecord } | undefined> {
  const { makeSiteSummary } = await import('../pooling/siteSummary.js')
  const releases = releasesOf(log, rows.clinic)
  const record = releases[releases.length - 1]
  if (record === undefined || record.protocolHash !== agreed.hash) return undefined
  const { date, toolkit } = record
  const options = { date, toolkit, generated, key, salt: log.salt, earlier: releases.slice(0, -1) }
  try {
    const made = await makeSiteSummary(rows, agreed, options)
    return made.summary.checksum === record.checksum ? { made, record } : undefined
  } catch (error) {
    if (error instanceof DisclosureError) return undefined
    throw error
  }
}

async function answersOf(sites: readonly SiteRows[], task: Task, text: string): Promise<Shared> {
  const [{ readSealed }, { requestKind }, { answerRound }] = await Promise.all([
    import('../pooling/seal.js'),
    import('../pooling/kinds.js'),
    import('../pooling/answerRound.js'),
  ])
  const { agreed, key, log, out } = task
  const request = readSealed(text, requestKind, { file: 'the request', key })
  const asked = sites.filter((rows) => request.sites.some(({ clinic }) => clinic === rows.clinic))
  if (asked.length === 0) throw notAsked()
  const changed = new Map<string, ReleaseRecord>()
  const written: Awaited<ReturnType<typeof answerFiles>>[] = []
  for (const rows of asked) {
    const again = await latestAgain(rows, task)
    if (again === undefined) throw recordsChanged()
    const { answer, record } = answerRound(rows, agreed, again.made, again.record, request, key)
    written.push(await answerFiles(answer, out, task))
    changed.set(record.checksum, record)
  }
  return {
    files: written.flatMap(({ files }) => files),
    releases: log.releases.map((one) => changed.get(one.checksum) ?? one),
    told: written.flatMap(({ told }) => told),
  }
}

/** The refusal of a round that rests on other records. */
export function recordsChanged(): DisclosureError {
  return new DisclosureError({
    code: 'records-changed',
    problem: 'the records do not give the release again that the request rests on.',
    expected: 'the same records, protocol, log and version as when the summary was made.',
    mend: 'answer with the records as they were, or share a new release and let the coordinator begin anew.',
  })
}

/** The refusal of a request that is for others. */
export function notAsked(): UsageError {
  return new UsageError({
    code: 'not-asked',
    problem: 'the request asks no clinic of this data set.',
    expected: 'a request that rests on a summary of this practice.',
    mend: 'ask the coordinator whether the summary arrived.',
  })
}
