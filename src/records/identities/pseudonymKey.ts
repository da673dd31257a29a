import { randomBytes } from 'node:crypto'
import { mkdir, readFile, stat } from 'node:fs/promises'
import { basename, dirname } from 'node:path'
import { z } from 'zod'
import { whileAlone } from '../../core/alone.js'
import { DisclosureError, UsageError } from '../../core/errors.js'
import { parseJson } from '../../core/jsonText.js'
import { sha256 } from '../../core/plain.js'
import { writeWhole } from '../../core/wholeFiles.js'
import { pseudonymFields } from '../../vocabulary/fields.js'

/** Digits and consonants, so that no pseudonym spells a word. */
const alphabet = '0123456789BCDFGHJKMNPQRSTVWXYZ'
const pseudonymLength = 7

const keyShape = z.strictObject({
  holdfastKey: z.literal(1),
  pseudonyms: z.record(z.string(), z.record(z.string(), z.string())),
  shifts: z.record(z.string(), z.number().int()),
})

/** Source of random bytes; by default that of the operating system, and never a seeded one outside of tests. */
export type RandomBytes = (count: number) => Uint8Array

/**
 * The key of a practice: which pseudonym stands for which identifier. Pseudonyms are drawn at random and have nothing to
 * do with what they stand for, so that without this key nothing leads back. It stays in the practice.
 */
export class PseudonymKey {
  readonly #pseudonyms: Map<string, Map<string, string>>
  readonly #taken: Set<string>
  readonly #shifts: Map<string, number>
  readonly #random: RandomBytes

  /**
   * @param content of the file
   * @param random source of pseudonyms
   * @param asOpened hash of the file as it was opened or last written; absent where there was none
   */
  constructor(
    content?: z.infer<typeof keyShape>,
    random: RandomBytes = randomBytes,
    public asOpened?: string,
  ) {
    this.#random = random
    this.#pseudonyms = new Map(
      Object.entries(content?.pseudonyms ?? {}).map(([field, pairs]) => [
        field,
        new Map(Object.entries(pairs)),
      ]),
    )
    this.#shifts = new Map(Object.entries(content?.shifts ?? {}))
    this.#taken = new Set([...this.#pseudonyms.values()].flatMap((pairs) => [...pairs.values()]))
  }

  /** Pseudonym of an identifier: the one it has, else a new one; an instrument has the same in every field. */
  pseudonymOf(field: string, identifier: string): string {
    const { letter, keyField } = pseudonymFields.get(field)!
    return this.#drawnFor(keyField, letter, identifier)
  }

  /** Pseudonym that takes the place of a name or chart number as the practice's own file is read. */
  doorPseudonymOf(field: string, identifier: string): string {
    const { letter, keyField } = pseudonymFields.get(field)!
    return this.#drawnFor(`${keyField} on reading`, letter, identifier)
  }

  #drawnFor(keyField: string, letter: string, identifier: string): string {
    let pairs = this.#pseudonyms.get(keyField)
    if (pairs === undefined) {
      pairs = new Map()
      this.#pseudonyms.set(keyField, pairs)
    }
    const known = pairs.get(identifier)
    if (known !== undefined) return known
    const made = this.#newPseudonym(letter)
    pairs.set(identifier, made)
    return made
  }

  /** Days by which all dates of a patient are moved: between -364 and 364, never 0, the same every time. */
  shiftOf(patient: string): number {
    const known = this.#shifts.get(patient)
    if (known !== undefined) return known
    const drawn = this.#below(728)
    const shift = drawn < 364 ? drawn - 364 : drawn - 363
    this.#shifts.set(patient, shift)
    return shift
  }

  /** How many identifiers of a field have a pseudonym. */
  countOf(field: string): number {
    return this.#pseudonyms.get(field)?.size ?? 0
  }

  toJson(): string {
    const pseudonyms = Object.fromEntries(
      [...this.#pseudonyms].map(([field, pairs]) => [field, Object.fromEntries(pairs)]),
    )
    return `${JSON.stringify({ holdfastKey: 1, pseudonyms, shifts: Object.fromEntries(this.#shifts) }, null, 1)}\n`
  }

  #newPseudonym(letter: string): string {
    for (;;) {
      let made = letter
      for (let place = 0; place < pseudonymLength; place++) made += alphabet[this.#below(alphabet.length)]
      if (this.#taken.has(made)) continue
      this.#taken.add(made)
      return made
    }
  }

  /** Uniform whole number from 0 to below a limit, by rejection, so that none is likelier than another. */
  #below(limit: number): number {
    const most = 65_536 - (65_536 % limit)
    for (;;) {
      const [high, low] = this.#random(2)
      const drawn = high! * 256 + low!
      if (drawn < most) return drawn % limit
    }
  }
}

/**
 * Reads the key file of a practice, or begins a new key where there is none.
 *
 * @throws DisclosureError `key-file-open` where others than the owner may read it
 * @throws UsageError `bad-key-file` where it is no key file
 */
export async function openPseudonymKey(path: string, random?: RandomBytes): Promise<PseudonymKey> {
  const found = await stat(path).catch(() => undefined)
  if (found === undefined) return new PseudonymKey(undefined, random)
  if (process.platform !== 'win32' && (found.mode & 0o077) !== 0) {
    throw new DisclosureError({
      code: 'key-file-open',
      problem: 'others than the owner may read the key file, which leads from pseudonyms back to patients.',
      expected: 'a key file that its owner alone may read and write (mode 0600).',
      mend: `run chmod 600 on ${basename(path)}, and think about who may have read it.`,
    })
  }
  try {
    const text = await readFile(path, 'utf8')
    return new PseudonymKey(keyShape.parse(parseJson(text)), random, sha256(text))
  } catch {
    throw new UsageError({
      code: 'bad-key-file',
      problem: `${basename(path)} is no key file of this toolkit, or it is damaged.`,
      expected: 'the key file that an earlier run wrote.',
      mend: 'give the right file with --key; without it, last year and this year cannot be joined.',
    })
  }
}

/**
 * Writes the key file, readable by its owner only; whole or not at all.
 *
 * @throws UsageError `key-file-changed` where another run has written it since it was opened: its pseudonyms would be lost
 */
export async function writePseudonymKey(path: string, key: PseudonymKey): Promise<void> {
  await mkdir(dirname(path), { recursive: true })
  await whileAlone(path, () => writeAlone(path, key))
}

async function writeAlone(path: string, key: PseudonymKey): Promise<void> {
  const text = await readFile(path, 'utf8').catch(() => undefined)
  if ((text === undefined ? undefined : sha256(text)) !== key.asOpened) throw changed(basename(path))
  const made = key.toJson()
  await writeWhole([{ path, content: made, mode: 0o600 }])
  key.asOpened = sha256(made)
}

function changed(name: string): UsageError {
  return new UsageError({
    code: 'key-file-changed',
    problem: `another run has written ${name} in the meantime; nothing was written here.`,
    expected: 'one run at a time with one key file.',
    mend: 'run again: it will use the pseudonyms that the other run has drawn.',
  })
}
