import { readdir, readFile } from 'node:fs/promises'
import { basename, dirname, join, relative } from 'node:path'
import { DisclosureError, HoldfastError, UsageError } from '../core/errors.js'
import { parseJson } from '../core/jsonText.js'
import { practiceFormat } from '../pooling/identity/practice.js'
import { type Message, readMessage } from '../pooling/protocol/messages.js'
import { coordinatorFormat } from './coordinatorFolder.js'

/** What practices sent, and what of it cannot be used. */
export interface ReceivedMessages {
  readonly messages: readonly Message[]
  readonly refused: readonly HoldfastError[]
}

/**
 * Reads the messages of folders, files of protocols passed over.
 *
 * @throws DisclosureError `private-file-sent` where a practice sent what has to stay with it
 */
export async function readReceived(paths: readonly string[]): Promise<ReceivedMessages> {
  const messages: Message[] = []
  const refused: HoldfastError[] = []
  for (const path of paths) {
    for (const file of await jsonFiles(path)) {
      const text = await readFile(file, 'utf8')
      const name = relative(dirname(path), file)
      const format = formatOf(text)
      if (format?.startsWith('holdfast-protocol-') === true) continue
      if (format === practiceFormat || format === coordinatorFormat || basename(file) === 'holdfast-key.json')
        throw privateFile(name)
      try {
        messages.push(readMessage(text, name))
      } catch (error) {
        if (!(error instanceof HoldfastError)) throw error
        refused.push(error)
      }
    }
  }
  return { messages, refused }
}

function formatOf(text: string): string | undefined {
  try {
    const { format } = parseJson(text) as { format?: unknown }
    return typeof format === 'string' ? format : undefined
  } catch {
    return undefined
  }
}

async function jsonFiles(path: string): Promise<readonly string[]> {
  try {
    const entries = await readdir(path, { recursive: true, withFileTypes: true })
    return entries
      .filter((entry) => entry.isFile() && entry.name.endsWith('.json'))
      .map(({ name, parentPath }) => join(parentPath, name))
      .sort()
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException
    if (code === 'ENOTDIR') return [path]
    if (code !== 'ENOENT') throw error
    throw new UsageError({
      code: 'no-such-path',
      problem: `${basename(path)} is not there.`,
      expected: 'folders or files that the practices sent.',
      mend: 'check the path.',
    })
  }
}

function privateFile(name: string): DisclosureError {
  return new DisclosureError(
    {
      code: 'private-file-sent',
      problem: 'this file holds keys, and must stay where it was made.',
      expected: 'ready notes, answers, voids and objections only.',
      mend: 'delete it here, tell the sender, and let them begin anew under a new identity.',
    },
    name,
  )
}
