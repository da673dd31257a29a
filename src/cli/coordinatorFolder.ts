import { readdir, readFile } from 'node:fs/promises'
import { join } from 'node:path'
import { RecordError } from '../core/errors.js'
import { parseJson } from '../core/jsonText.js'
import { writeWhole } from '../core/wholeFiles.js'
import {
  type List,
  type Message,
  messageText,
  type RoundRequest,
  readMessage,
} from '../pooling/protocol/messages.js'
import { type KeyTexts, newKeys } from '../pooling/protocol/signing.js'

/** Mark of the file with the coordinator's key. */
export const coordinatorFormat = 'holdfast-coordinator-1'

/** What a coordinator keeps in the folder of a study. */
export interface CoordinatorFolder {
  readonly keys: KeyTexts
  /** Lists that were made, in order. */
  readonly lists: readonly List[]
  /** Requests for rounds, in order. */
  readonly requests: readonly RoundRequest[]
}

/** Reads the coordinator's folder, and makes its key the first time. */
export async function openCoordinator(out: string): Promise<CoordinatorFolder> {
  return {
    keys: await coordinatorKeys(join(out, 'coordinator.json')),
    lists: await messagesOf<List>(join(out, 'for-sites'), /^list-(\d+)\.json$/, 'list'),
    requests: await messagesOf<RoundRequest>(join(out, 'for-sites'), /^round-(\d+)\.json$/, 'round'),
  }
}

async function coordinatorKeys(path: string): Promise<KeyTexts> {
  const text = await readFile(path, 'utf8').catch((error: NodeJS.ErrnoException) => {
    if (error.code === 'ENOENT') return undefined
    throw error
  })
  if (text === undefined) {
    const keys = newKeys('ed25519')
    const content = { format: coordinatorFormat, note: 'Stays with the coordinator.', ...keys }
    await writeWhole([{ path, content: `${JSON.stringify(content)}\n`, mode: 0o600 }])
    return keys
  }
  try {
    const { format, secret, open } = parseJson(text) as KeyTexts & { readonly format?: unknown }
    if (format === coordinatorFormat) return { secret, open }
  } catch {
    // Falls through to the refusal: a key that cannot be read must not be replaced in silence.
  }
  throw new RecordError(
    {
      code: 'bad-coordinator-file',
      problem: 'the key of the coordinator cannot be read.',
      expected: 'the file that holdfast pool wrote.',
      mend: 'bring it back from a copy, or begin the release anew in another folder, with a new list.',
    },
    { file: 'coordinator.json' },
  )
}

async function messagesOf<Kind extends Message>(
  folder: string,
  pattern: RegExp,
  kind: 'list' | 'round',
): Promise<readonly Kind[]> {
  const names = await readdir(folder).catch((error: NodeJS.ErrnoException) => {
    if (error.code === 'ENOENT') return []
    throw error
  })
  const found = names
    .filter((name) => pattern.test(name))
    .sort((left, right) => Number(pattern.exec(left)![1]) - Number(pattern.exec(right)![1]))
  const messages: Kind[] = []
  for (const name of found)
    messages.push(readMessage(await readFile(join(folder, name), 'utf8'), name, kind) as Kind)
  return messages
}

/** Writes a message for the practices. */
export async function writeForSites(out: string, name: string, message: Message): Promise<string> {
  const path = join(out, 'for-sites', name)
  await writeWhole([{ path, content: messageText(message) }])
  return path
}
