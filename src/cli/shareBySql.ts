import { DisclosureError, exitCodes } from '../core/errors.js'
import { stableJson } from '../core/plain.js'
import { version } from '../notebook/version.js'
import type { EngineSummary } from '../pooling/engineSummary.js'
import type { Protocol } from '../pooling/protocol.js'
import type { ReleaseRecord } from '../pooling/releases.js'
import type { EngineRows } from '../pooling/sqlSource.js'
import { portableSql, rowColumns } from '../pooling/sqlText.js'
import { type OpenEngine, openEngine } from './engine.js'
import { notAsked, recordsChanged, type ShareOrder } from './shareRecords.js'
import {
  defaultLogPath,
  readNamed,
  readShareLog,
  type ShareLog,
  type WholeFile,
  writeWhole,
} from './sharing.js'
import { answerFiles, summaryFiles } from './summaryFiles.js'
import { dayOfMaking } from './today.js'

/** Prints the query of the risk-set table for an engine that holds the rows. */
export function printSql(protocol: Protocol): void {
  const fields = [...(protocol.strata === null ? [] : [protocol.strata]), ...protocol.balance]
  const columns = [...Object.values(rowColumns), ...fields.map(({ field }) => field)]
  process.stdout.write(`${portableSql(protocol, { relation: 'rows_at_risk', columns, name: 'registry' })}\n`)
}

interface Shared {
  readonly files: readonly WholeFile[]
  readonly releases: readonly ReleaseRecord[]
  readonly told: readonly string[]
}

/** Shares the clinics of a file of rows at risk, counted inside the embedded engine. */
export async function shareBySql(file: string, order: ShareOrder): Promise<void> {
  const request = order.round === undefined ? undefined : await readNamed(order.round, 'the request')
  const logPath = order.log ?? defaultLogPath(file)
  const log = await readShareLog(logPath)
  const engine = await openEngine(file, order.agreed.protocol)
  const shared = await (request === undefined
    ? summariesOf(engine, order, log)
    : answersOf(engine, order, log, request)
  ).finally(engine.close)
  const noted = `${stableJson({ ...log, releases: shared.releases })}\n`
  await writeWhole([{ path: logPath, content: noted, mode: 0o600 }])
  await writeWhole(shared.files)
  process.stdout.write(`${shared.told.join('\n')}\nStays in the practice: ${logPath}\n`)
}

async function summariesOf(engine: OpenEngine, order: ShareOrder, log: ShareLog): Promise<Shared> {
  const summaries: EngineSummary[] = []
  const refusals: DisclosureError[] = []
  for (const clinic of engine.clinics) {
    try {
      summaries.push(await summaryOf({ ...engine, clinic }, order, log))
    } catch (error) {
      if (!(error instanceof DisclosureError)) throw error
      refusals.push(error)
    }
  }
  if (summaries.length === 0) throw refusals[0]!
  const written = await Promise.all(summaries.map(({ summary }) => summaryFiles(summary, order.out)))
  for (const { message } of refusals) process.stderr.write(`One clinic is not shared: ${message}\n`)
  if (refusals.length > 0) process.exitCode = exitCodes.data
  const known = new Set(log.releases.map(({ checksum }) => checksum))
  const added = summaries.map(({ record }) => record).filter(({ checksum }) => !known.has(checksum))
  return {
    files: written.flatMap(({ files }) => files),
    releases: [...log.releases, ...added],
    told: written.flatMap(({ told }) => told),
  }
}

/** The summary of a clinic; where there is one already, it is made again, and refused if the rows have changed. */
async function summaryOf(rows: EngineRows, order: ShareOrder, log: ShareLog): Promise<EngineSummary> {
  const { makeEngineSummary } = await import('../pooling/engineSummary.js')
  const earlier = log.releases.filter(({ clinic }) => clinic === rows.clinic)
  const [record] = earlier
  const { agreed, groupKey: key } = order
  if (record?.protocolHash !== agreed.hash || record.rowsNotNoted !== true) {
    return makeEngineSummary(rows, agreed, {
      date: dayOfMaking(order.date).iso,
      toolkit: version,
      key,
      earlier,
    })
  }
  const { date, toolkit } = record
  const made = await makeEngineSummary(rows, agreed, { date, toolkit, key })
  if (made.summary.checksum === record.checksum) return { ...made, record }
  return makeEngineSummary(rows, agreed, { date, toolkit, key, earlier })
}

async function answersOf(
  engine: OpenEngine,
  order: ShareOrder,
  log: ShareLog,
  text: string,
): Promise<Shared> {
  const [{ readSealed }, { requestKind }, { answerWith }, { engineParts }] = await Promise.all([
    import('../pooling/seal.js'),
    import('../pooling/kinds.js'),
    import('../pooling/answerRound.js'),
    import('../pooling/engineSummary.js'),
  ])
  const { agreed, groupKey: key } = order
  const request = readSealed(text, requestKind, { file: 'the request', key })
  const asked = engine.clinics.filter((clinic) => request.sites.some((site) => site.clinic === clinic))
  if (asked.length === 0) throw notAsked()
  const changed = new Map<string, ReleaseRecord>()
  const written: Awaited<ReturnType<typeof answerFiles>>[] = []
  for (const clinic of asked) {
    const rows = { ...engine, clinic }
    if (!log.releases.some((one) => one.clinic === clinic)) throw recordsChanged()
    const made = await summaryOf(rows, order, log)
    const { coefficients, final } = request
    const parts = await engineParts(rows, agreed.protocol, made, coefficients, final)
    const { answer, record } = answerWith(() => parts, agreed, made, made.record, request, key)
    written.push(
      await answerFiles(answer, order.out, { date: dayOfMaking(order.date).iso, generated: false }),
    )
    changed.set(record.checksum, record)
  }
  return {
    files: written.flatMap(({ files }) => files),
    releases: log.releases.map((one) => changed.get(one.checksum) ?? one),
    told: written.flatMap(({ told }) => told),
  }
}
