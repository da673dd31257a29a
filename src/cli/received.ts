import { basename, join } from 'node:path'
import { DisclosureError, HoldfastError, UsageError } from '../core/errors.js'
import { answerKind, requestKind, summaryKind } from '../pooling/kinds.js'
import type { Round } from '../pooling/pooledModel.js'
import { protocolFormat } from '../pooling/protocol.js'
import { readSealed } from '../pooling/seal.js'
import {
  answerFormat,
  type RoundAnswer,
  type RoundRequest,
  requestFormat,
  type SiteSummary,
} from '../pooling/summarySchema.js'
import { type FoundFile, jsonFiles, shareLogFormat } from './sharing.js'

/** What sites sent, with the requests of earlier runs. */
export interface Received {
  readonly summaries: readonly SiteSummary[]
  readonly rounds: readonly Round[]
  /** Files that cannot be used, in words. */
  readonly refused: readonly HoldfastError[]
}

/**
 * Reads the JSON files of folders, and requests of earlier runs; summaries, requests and answers are told apart by their
 * marks. Protocol files are passed over.
 *
 * @throws DisclosureError `private-file-sent` where a site sent what has to stay in the practice
 */
export async function readReceived(
  paths: readonly string[],
  earlierRounds: string,
  key: string | undefined,
): Promise<Received> {
  const files = [...(await jsonFiles(paths)), ...(await filesIfThere(earlierRounds))]
  const summaries: SiteSummary[] = []
  const requests = new Map<string, RoundRequest>()
  const answers: RoundAnswer[] = []
  const refused: HoldfastError[] = []
  for (const file of files) {
    const options = { file: file.name, key }
    const format = formatOf(file)
    if (format === protocolFormat) continue
    if (format === shareLogFormat || basename(file.name) === 'holdfast-key.json') throw privateFile(file.name)
    try {
      if (isFamily(format, requestFormat)) {
        const request = readSealed(file.text, requestKind, options)
        requests.set(request.checksum, request)
      } else if (isFamily(format, answerFormat)) answers.push(readSealed(file.text, answerKind, options))
      else summaries.push(readSealed(file.text, summaryKind, options))
    } catch (error) {
      if (!(error instanceof HoldfastError)) throw error
      refused.push(error)
    }
  }
  const rounds = [...requests.values()].map((request) => ({
    request,
    answers: answers.filter(({ round }) => round === request.round),
  }))
  return { summaries, rounds, refused }
}

function formatOf({ text }: FoundFile): unknown {
  try {
    return (JSON.parse(text) as { format?: unknown } | null)?.format
  } catch {
    return undefined
  }
}

/** Whether a mark is that of a format, of whatever version. */
function isFamily(format: unknown, wanted: string): boolean {
  return typeof format === 'string' && format.startsWith(wanted.replace(/\d+$/, ''))
}

async function filesIfThere(folder: string): Promise<readonly FoundFile[]> {
  try {
    return await jsonFiles([folder])
  } catch (error) {
    if (error instanceof UsageError && error.code === 'no-such-path') return []
    throw error
  }
}

function privateFile(name: string): DisclosureError {
  return new DisclosureError({
    code: 'private-file-sent',
    problem: `${name} has to stay in the practice that it came from.`,
    expected: 'site summaries and answers to rounds, and nothing else.',
    mend: 'delete it unread, tell the site, and run again.',
  })
}

/** Summaries without those of clinics that are left out; a name that no summary has is refused. */
export function withoutClinics<T extends { readonly clinic: string }>(
  all: readonly T[],
  option: string | undefined,
): readonly T[] {
  const left = (option ?? '')
    .split(',')
    .map((name) => name.trim())
    .filter((name) => name !== '')
  const unknown = left.find((name) => !all.some(({ clinic }) => clinic === name))
  if (unknown !== undefined) {
    throw new UsageError({
      code: 'no-such-clinic',
      problem: `--without names ${unknown}, and nothing came from it.`,
      expected: `some of ${[...new Set(all.map(({ clinic }) => clinic))].join(', ')}, with commas between them.`,
      mend: 'check the name.',
    })
  }
  return all.filter(({ clinic }) => !left.includes(clinic))
}

/** Where an earlier run wrote its requests. */
export function roundsFolder(out: string): string {
  return join(out, 'rounds')
}
