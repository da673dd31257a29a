import { join } from 'node:path'
import { UsageError } from '../core/errors.js'
import { stableJson } from '../core/plain.js'
import { writeWhole } from '../core/wholeFiles.js'
import type { PaperName, ReportFormat } from '../documents/formats/formats.js'
import { version } from '../notebook/version.js'
import { cellNames } from '../pooling/coordinator/cells.js'
import {
  gathered,
  makeList,
  type Received,
  readiesFor,
  shorterList,
  sorted,
} from '../pooling/coordinator/gather.js'
import { groupAnswer } from '../pooling/coordinator/groupAnswer.js'
import { type PooledResult, pooledResult } from '../pooling/coordinator/groupResult.js'
import { modelsAt } from '../pooling/coordinator/models.js'
import { whileLocked } from '../pooling/identity/place.js'
import { fromWholeNumbers, layoutOf } from '../pooling/protocol/layout.js'
import { listCode } from '../pooling/protocol/listCode.js'
import { agreedOfList, type List, listHash, type Totals } from '../pooling/protocol/messages.js'
import { type AgreedProtocol, fewestSites } from '../pooling/protocol/protocol.js'
import { type CoordinatorFolder, openCoordinator, writeForSites } from './coordinatorFolder.js'
import { readReceived } from './messageFiles.js'
import { announce } from './progress.js'
import type { dayOfMaking } from './today.js'

/** What a run of the coordinator is about. */
export interface Study {
  readonly agreed: AgreedProtocol
  readonly out: string
  readonly formats: readonly ReportFormat[] | undefined
  readonly paper?: PaperName
  readonly made: ReturnType<typeof dayOfMaking>
}

/** How a run goes on. */
export interface CoordinatorOptions {
  readonly list?: boolean
  readonly shorterList?: boolean
  readonly skipRefused?: boolean
}

/** Takes the release one step further, as far as the messages that came reach. */
export async function coordinate(
  paths: readonly string[],
  study: Study,
  options: CoordinatorOptions,
): Promise<void> {
  announce('reading what was sent')
  const { messages, refused } = await readReceived(paths)
  if (refused[0] !== undefined && options.skipRefused !== true) throw refused[0]
  for (const { message } of refused) process.stderr.write(`Not used: ${message}\n`)
  const received = sorted(messages)
  await whileLocked(study.out, async () => {
    const folder = await openCoordinator(study.out)
    const current = folder.lists.at(-1)
    if (current !== undefined && agreedOfList(current).hash !== study.agreed.hash) throw anotherRelease()
    if (current === undefined) await beforeList(received, folder, study, options)
    else if (options.shorterList === true) await writeShorter(current, received, folder, study)
    else await afterList(current, received, folder, study)
  })
}

async function beforeList(
  received: Received,
  folder: CoordinatorFolder,
  study: Study,
  options: CoordinatorOptions,
): Promise<void> {
  const { taken, others } = readiesFor(received.readies, study.agreed)
  for (const { name } of others)
    process.stderr.write(`Not used: the ready note of ${name} is for another protocol.\n`)
  if (options.list !== true) {
    tell([
      `Ready: ${taken.length === 0 ? 'nobody yet' : taken.map(({ name }) => name).join('; ')}`,
      `Next: when all are there, at least ${fewestSites}, the same command with --list.`,
    ])
    return
  }
  const list = makeList(taken, study.agreed, folder.keys, { date: study.made.iso, toolkit: version })
  await tellList(list, await writeForSites(study.out, 'list-1.json', list))
}

async function writeShorter(
  current: List,
  received: Received,
  folder: CoordinatorFolder,
  study: Study,
): Promise<void> {
  const list = shorterList(current, received.voids, folder.keys, { date: study.made.iso, toolkit: version })
  await tellList(list, await writeForSites(study.out, `list-${folder.lists.length + 1}.json`, list))
}

function tellList(list: List, path: string): void {
  tell([
    `List of ${list.sites.length} practices: ${list.sites.map(({ name }) => name).join('; ')}`,
    `Code of the list: ${listCode(listHash(list))}`,
    `  ${path}`,
    'Next: send the list to every practice on it. When their answers come: the same command without --list.',
  ])
}

async function afterList(
  list: List,
  received: Received,
  folder: CoordinatorFolder,
  study: Study,
): Promise<void> {
  const found = gathered(list, received.answers, folder.keys)
  if (found.state === 'waiting') {
    tell([
      `Waiting for the answers of: ${found.names.join('; ')}`,
      'Next: when they come, the same command. A practice that cannot answer runs holdfast void; then --shorter-list. Without a void, these days wait for the next release.',
    ])
    return
  }
  announce('adding up')
  const { totals } = found
  const totalsPath = await writeForSites(study.out, 'totals.json', totals)
  const models = modelsAt(list, totals, received.answers, folder.keys, folder.requests)
  tellUnused(list, received)
  const result = resultOf(list, totals, received, models.models)
  await writeStudy(result, study)
  tell([`Totals, for every practice to check: ${totalsPath}`])
  if (models.request !== undefined) {
    const path = await writeForSites(study.out, `round-${models.request.round}.json`, models.request)
    tell([
      `Round ${models.request.round} of the model waits for: ${models.missing.join('; ')}`,
      `Next: send ${path} to every practice of the list. If one fails, the model stands at the last complete round.`,
    ])
  } else
    tell([
      'Next: send the totals and the report to the practices, and publish nothing before they had time to object. If an objection comes, the same command again.',
    ])
}

/** Names objections of which nothing comes, so that nobody thinks that they were heard. */
function tellUnused(list: List, { objections }: Received): void {
  const hash = listHash(list)
  const known = new Set(cellNames(agreedOfList(list).protocol))
  for (const { name, identity, listHash: of, cells } of objections) {
    const why =
      of !== hash
        ? 'belongs to another list'
        : !list.sites.some((site) => site.identity === identity)
          ? 'is of nobody on the list'
          : cells.some((cell) => !known.has(cell))
            ? 'names cells that there are not; the others are left out'
            : undefined
    if (why !== undefined) process.stderr.write(`Not used: the objection of ${name} ${why}.\n`)
  }
}

function resultOf(
  list: List,
  totals: Totals,
  received: Received,
  models: ReturnType<typeof modelsAt>['models'],
): PooledResult {
  const agreed = agreedOfList(list)
  const hash = listHash(list)
  const known = new Set(cellNames(agreed.protocol))
  const ofList = <Kind extends { readonly listHash: string; readonly identity: string }>(
    all: readonly Kind[],
  ): readonly Kind[] =>
    all.filter((one) => one.listHash === hash && list.sites.some(({ identity }) => identity === one.identity))
  return pooledResult(fromWholeNumbers(totals.values, layoutOf(agreed.protocol)), agreed, {
    route: 'sums',
    listHash: hash,
    sites: list.sites.map(({ name, open }) => ({ name, open })),
    generated: list.sites.some(({ generated }) => generated),
    objected: ofList(received.objections)
      .flatMap(({ cells }) => cells)
      .filter((cell) => known.has(cell)),
    open: ofList(received.answers)
      .filter(({ round, open }) => round === 0 && open !== null)
      .map(({ name, open }) => ({ name, figures: open! })),
    models,
  })
}

async function writeStudy(result: PooledResult, study: Study): Promise<void> {
  const [{ pooledReport }, { writeReportFolder }] = await Promise.all([
    import('../documents/kinds/pooledDocument.js'),
    import('../documents/writeReport.js'),
  ])
  const { out, formats, paper, made } = study
  const written = await writeReportFolder(pooledReport(result, { date: made.iso, version }), {
    outDir: join(out, 'report'),
    ...(formats === undefined ? {} : { formats }),
    ...(paper === undefined ? {} : { paper }),
  })
  const answer = join(out, 'answer.json')
  await writeWhole([{ path: answer, content: `${stableJson(groupAnswer(result), 1)}\n` }])
  tell([`Study-group report: ${written.htmlPath}`, `Answer for machines: ${answer}`])
}

/** The records route: shareable rows, clinics as strata. */
export async function poolDatasets(paths: readonly string[], study: Study): Promise<void> {
  const [
    { buildCohort },
    { protocolDefinition, releaseRows },
    { poolRows, rowsByClinic },
    { readShareable },
  ] = await Promise.all([
    import('../cohort/cohort.js'),
    import('../pooling/site/siteRows.js'),
    import('../pooling/coordinator/poolRows.js'),
    import('../records/read/readShareable.js'),
  ])
  const { agreed, made } = study
  const { protocol } = agreed
  const sets = []
  for (const [index, path] of paths.entries()) {
    announce('reading', index / paths.length)
    sets.push(await readShareable(path, { today: made.day }))
  }
  announce('computing')
  const clinics = sets.flatMap((records) =>
    rowsByClinic(
      Object.fromEntries(
        protocol.endpoints.map((endpoint) => {
          const cohort = buildCohort(records, protocolDefinition(protocol, endpoint))
          return [endpoint, releaseRows(cohort, protocol, undefined).rows]
        }),
      ),
    ),
  )
  const generated = sets.some(({ source }) => source.generated)
  await writeStudy(poolRows(clinics, agreed, { generated }), study)
}

function anotherRelease(): UsageError {
  return new UsageError({
    code: 'another-release',
    problem: 'the folder holds the list of another protocol.',
    expected: 'one folder for each release of a group.',
    mend: 'name another folder with --out.',
  })
}

function tell(lines: readonly string[]): void {
  process.stdout.write(`${lines.join('\n')}\n`)
}
