import { createHmac, timingSafeEqual } from 'node:crypto'
import type { z } from 'zod'
import { DisclosureError, RecordError } from '../core/errors.js'
import { deepFreeze, sha256, stableJson } from '../core/plain.js'

interface Sealed {
  readonly checksum: string
  readonly seal?: string | undefined
}

/** Adds the checksum, and the seal where the group has a key. */
export function sealed<T extends object>(content: T, key?: string): T & Sealed {
  const text = stableJson(content)
  const marks = { checksum: sha256(text), ...(key === undefined ? {} : { seal: hmac(key, text) }) }
  return deepFreeze({ ...content, ...marks })
}

/** What kind of file is read. */
export interface SealedKind<T> {
  readonly schema: z.ZodType<T>
  /** Format mark that is wanted, such as `holdfast-site-summary-1`. */
  readonly format: string
  /** What the file is, in words. */
  readonly words: string
}

/**
 * Reads a file of the group: its format, its form, its checksum, and its seal where a key is given.
 *
 * @throws RecordError `foreign-file`, `outdated-file`, `damaged-file`; DisclosureError `unsealed-file`, `edited-file`
 */
export function readSealed<T extends Sealed>(
  text: string,
  kind: SealedKind<T>,
  options: { readonly file: string; readonly key?: string | undefined },
): T {
  const { file, key } = options
  const content = parsedJson(text, kind, file)
  refuseOtherFormat(content, kind, file)
  const { checksum, seal, ...rest } = content as Record<string, unknown>
  const plain = stableJson(rest)
  if (checksum !== sha256(plain)) {
    throw refusal('damaged-file', 'its checksum does not fit its content', kind, file)
  }
  const parsed = kind.schema.safeParse(content)
  if (!parsed.success) {
    const where = parsed.error.issues.map(({ path, message }) => `${path.join('.')}: ${message}`)
    throw refusal('damaged-file', `its form is not that of a ${kind.words} (${where[0]})`, kind, file)
  }
  if (key !== undefined) checkSeal(typeof seal === 'string' ? seal : undefined, hmac(key, plain), kind, file)
  return deepFreeze(parsed.data)
}

function parsedJson<T>(text: string, kind: SealedKind<T>, file: string): unknown {
  try {
    return JSON.parse(text)
  } catch {
    throw refusal('damaged-file', 'it is not JSON', kind, file)
  }
}

function refuseOtherFormat<T>(content: unknown, kind: SealedKind<T>, file: string): void {
  const format = (content as { format?: unknown } | null)?.format
  if (format === kind.format) return
  const family = kind.format.replace(/\d+$/, '')
  if (typeof format === 'string' && format.startsWith(family)) {
    throw refusal('outdated-file', `it was made by another version of the toolkit (${format})`, kind, file)
  }
  throw refusal('foreign-file', `it is no ${kind.words}`, kind, file)
}

function refusal<T>(code: string, what: string, kind: SealedKind<T>, file: string): RecordError {
  return new RecordError(
    {
      code,
      problem: `the file cannot be used: ${what}.`,
      expected: `a ${kind.words} as the site wrote it (${kind.format}).`,
      mend: 'ask the site to send it again, made with the version that the group uses.',
    },
    { file },
  )
}

function checkSeal<T>(seal: string | undefined, expected: string, kind: SealedKind<T>, file: string): void {
  if (seal === undefined) throw sealRefusal('unsealed-file', 'it has no seal', kind, file)
  if (seal.length !== expected.length || !timingSafeEqual(Buffer.from(seal), Buffer.from(expected))) {
    throw sealRefusal('edited-file', 'its seal does not fit its content and the key of the group', kind, file)
  }
}

function sealRefusal<T>(code: string, what: string, kind: SealedKind<T>, file: string): DisclosureError {
  return new DisclosureError({
    code,
    problem: `${file}: ${what}; it may have been edited by hand.`,
    expected: `a ${kind.words} sealed with the key of the group.`,
    mend: 'ask the site to make it again with --group-key and the key file of the group.',
  })
}

function hmac(key: string, text: string): string {
  return createHmac('sha256', key).update(text).digest('hex')
}
