import { createHmac, randomBytes } from 'node:crypto'
import { readdir, readFile } from 'node:fs/promises'
import { basename, join } from 'node:path'
import { z } from 'zod'
import { DisclosureError, RecordError, UsageError } from '../../core/errors.js'
import { parseJson } from '../../core/jsonText.js'
import { sha256 } from '../../core/plain.js'
import { writeWhole } from '../../core/wholeFiles.js'
import { listSchema, readySchema } from '../protocol/messages.js'
import { newKeys } from '../protocol/signing.js'

/** Mark of the file of a practice. */
export const practiceFormat = 'holdfast-practice-1'

const keys = z.strictObject({ secret: z.string(), open: z.string() })

/** What the practice keeps of each restoration: a keyed hash of its content, and how far it was shared. */
const entrySchema = z.strictObject({
  content: z.string(),
  /** Last day since delivery that was shared, by endpoint; a follow-up that has ended is shared for good. */
  through: z.record(z.string(), z.strictObject({ day: z.number(), ended: z.boolean() })),
})

/** Rows of the model in rounds, as far as its sums need them. */
const modelRowsSchema = z.strictObject({
  clinic: z.array(z.int()),
  entryDays: z.array(z.number()),
  timeDays: z.array(z.number()),
  status: z.array(z.int()),
  group: z.array(z.int()),
  patient: z.array(z.int()),
  covariates: z.array(z.array(z.int())),
})

const releaseSchema = z.strictObject({
  ready: readySchema,
  /** Release that the ledger ended with when these numbers were fixed; they do not count its days again. */
  after: z.string().nullable(),
  maskSecret: z.string(),
  values: z.array(z.int()),
  open: z.array(z.unknown()).nullable(),
  /** What the ledger notes when the release is answered. */
  notes: z.record(z.string(), entrySchema),
  /** By endpoint; empty without covariates. */
  modelRows: z.record(z.string(), modelRowsSchema),
  /** Lists that were answered, with the bytes that were sent. */
  answered: z.array(z.strictObject({ list: listSchema, text: z.string() })),
  /** Lists that will not be answered. */
  voided: z.array(z.strictObject({ listHash: z.string(), text: z.string() })),
  /** Rounds that were answered. */
  rounds: z.array(
    z.strictObject({
      listHash: z.string(),
      round: z.int(),
      requestHash: z.string(),
      coefficients: z.record(z.string(), z.array(z.number()).nullable()),
      text: z.string(),
    }),
  ),
})

const practiceSchema = z.strictObject({
  format: z.literal(practiceFormat),
  note: z.string(),
  name: z.string(),
  floor: z.int(),
  signing: keys,
  salt: z.string(),
  ledger: z.strictObject({
    /** Cut-off day of the last release that was answered, or of the list after which a lost ledger began anew. */
    cutoff: z.string().nullable(),
    /** Protocol of the last release that was answered. */
    release: z.string().nullable(),
    restorations: z.record(z.string(), entrySchema),
  }),
  releases: z.array(releaseSchema),
})

/** A practice: its keys, its name, its floor, and what it has shared. It never leaves the practice. */
export type Practice = z.infer<typeof practiceSchema>
export type LedgerEntry = z.infer<typeof entrySchema>
export type Release = z.infer<typeof releaseSchema>
export type ModelRowsRecord = z.infer<typeof modelRowsSchema>

/** A restoration as the ledger finds it again. */
export interface LedgerKeys {
  /** Of what names the restoration in the records. */
  readonly id: string
  /** Of what it is, whoever named it. */
  readonly content: string
}

/** Keyed hashes of a restoration, by which nobody without the practice's own salt can tell which it is. */
export function ledgerKeys(
  salt: string,
  restoration: { readonly restoration: string; readonly patient: string; readonly deliveryDay: number },
): LedgerKeys {
  const hashed = (...parts: readonly (string | number)[]): string =>
    createHmac('sha256', salt).update(JSON.stringify(parts)).digest('base64').slice(0, 22)
  const { restoration: id, patient, deliveryDay } = restoration
  return { id: hashed('id', id), content: hashed('content', id, patient, deliveryDay) }
}

/**
 * A practice that was not there before.
 *
 * @param note words for whoever opens its file
 */
export function newPractice(name: string, floor: number, cutoff: string | null = null, note = ''): Practice {
  return {
    format: practiceFormat,
    note,
    name: name.normalize('NFC').trim(),
    floor,
    signing: newKeys('ed25519'),
    salt: randomBytes(32).toString('base64'),
    ledger: { cutoff, release: null, restorations: {} },
    releases: [],
  }
}

/** Path of the file of a practice: named by its key, so that names cannot meet. */
export function practicePath(place: string, practice: Practice): string {
  return join(place, `practice-${sha256(practice.signing.open).slice(0, 16)}.json`)
}

/** The practices of a place. */
export async function readPractices(place: string): Promise<readonly Practice[]> {
  let names: readonly string[]
  try {
    names = await readdir(place)
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return []
    throw error
  }
  const found = [...names].filter((name) => /^practice-[0-9a-f]{16}\.json$/.test(name)).sort()
  const practices: Practice[] = []
  for (const name of found) practices.push(practiceOf(await readFile(join(place, name), 'utf8'), name))
  return practices
}

function practiceOf(text: string, file: string): Practice {
  try {
    return practiceSchema.parse(parseJson(text))
  } catch {
    throw new RecordError(
      {
        code: 'bad-practice-file',
        problem: 'the file with the keys and the ledger of the practice cannot be read.',
        expected: 'the file that holdfast share wrote.',
        mend: 'bring it back from a copy; if there is none, begin anew with --restart-after and the last list of the group.',
      },
      { file: basename(file) },
    )
  }
}

/** Writes a practice, whole or not at all. */
export async function writePractice(place: string, practice: Practice): Promise<void> {
  const content = `${JSON.stringify(practice)}\n`
  await writeWhole([{ path: practicePath(place, practice), content, mode: 0o600 }])
}

/**
 * The practice of a place to which records belong: found by what its ledger knows of them, never by the name of a folder.
 *
 * @param overlaps how many of the records each practice knows
 * @param name name that was given; needed for a new practice only
 * @throws DisclosureError `records-of-two-practices`, `records-of-another-practice`
 * @throws UsageError `no-practice-name`, `practice-not-found`
 */
export function practiceFor(
  practices: readonly Practice[],
  overlaps: (practice: Practice) => number,
  name: string | undefined,
): Practice | undefined {
  const known = practices.filter((practice) => overlaps(practice) > 0)
  const wanted = name?.normalize('NFC').trim()
  if (known.length > 1) throw twoPractices(known)
  const [found] = known
  if (found !== undefined) {
    if (wanted !== undefined && wanted !== found.name) throw anotherPractice(found)
    return found
  }
  const untouched = practices.filter(({ ledger }) => Object.keys(ledger.restorations).length === 0)
  if (wanted === undefined && practices.length === 1 && untouched.length === 1) return practices[0]
  if (wanted === undefined) throw practices.length === 0 ? noName() : notFound(practices)
  return practices.find((practice) => practice.name === wanted)
}

function twoPractices(practices: readonly Practice[]): DisclosureError {
  return new DisclosureError({
    code: 'records-of-two-practices',
    problem: `restorations of these records stand in the ledgers of ${practices.length} practices.`,
    expected: 'records of one practice, with one identity.',
    mend: 'share each practice from records of its own; one owner has one identity, and clinics are told apart within it.',
  })
}

function anotherPractice(found: Practice): DisclosureError {
  return new DisclosureError({
    code: 'records-of-another-practice',
    problem: `restorations of these records were shared before by this place under the name ${found.name}.`,
    expected: 'the name under which they were shared, or none.',
    mend: 'leave --name out; a practice takes part once.',
  })
}

function noName(): UsageError {
  return new UsageError({
    code: 'no-practice-name',
    problem: 'this place holds no practice yet, and no name was given for it.',
    expected: '--name and the name that the others know the practice by.',
    mend: 'write --name "Practice at the bridge"; or name the place where the practice is kept with --practice.',
  })
}

function notFound(practices: readonly Practice[]): UsageError {
  return new UsageError({
    code: 'practice-not-found',
    problem: `none of the ${practices.length} practices of this place knows a restoration of these records.`,
    expected: 'records of a practice of this place, or --name.',
    mend: 'give --name with the name of the practice.',
  })
}
