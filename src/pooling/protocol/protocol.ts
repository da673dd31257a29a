import { z } from 'zod'
import { endpointNames, exposureGroups } from '../../cohort/definition.js'
import { daysPerYear } from '../../core/calendar.js'
import { UsageError } from '../../core/errors.js'
import { parseJson } from '../../core/jsonText.js'
import { deepFreeze, sha256, stableJson } from '../../core/plain.js'

/** Mark of a protocol file of this version of the toolkit. */
export const protocolFormat = 'holdfast-protocol-2'

/** Fewest practices of which a sum may be made. */
export const fewestSites = 3

/** Fewest practices for an interval that allows for practices that differ. */
export const fewestForBetween = 6

const isoDay = z.string().regex(/^\d{4}-\d{2}-\d{2}$/, { error: 'a day is written as 2026-01-31' })

const field = z.strictObject({
  /** `region` (from the position of the tooth) or a category field of the restorations table. */
  field: z.string().min(1),
  /** Agreed levels; the first is the baseline. Whatever else occurs counts as unknown. */
  levels: z.array(z.string().min(1)).min(2).max(20),
})

/** A field with the levels that the group agreed on. */
export type AgreedField = z.infer<typeof field>

/** Fewest days of an interval of the grid. */
const shortestInterval = 7

/** Schema of the protocol file; docs/schema/protocol.schema.json is made from it. */
export const protocolSchema = z
  .strictObject({
    format: z.literal(protocolFormat),
    name: z.string().min(1).max(100),
    version: z.int().min(1),
    /** All endpoints of the group; the first leads. Days that were shared are shared for all of them. */
    endpoints: z.array(z.enum(endpointNames)).min(1).max(7),
    restorationTypes: z.array(z.string().min(1)).min(1),
    recallIntervalDays: z.int().min(1),
    waitWindowMinutes: z.strictObject({ from: z.number().min(0), to: z.number().min(0) }),
    /** The comparator and the group asked about. */
    groups: z.strictObject({ against: z.enum(exposureGroups), group: z.enum(exposureGroups) }),
    /** The days that are shared: after the cut-off before, up to and with this one. */
    release: z.strictObject({ from: isoDay.nullable(), cutoff: isoDay }),
    /** Days since delivery at which the intervals of the curves end; follow-up is read to the last of them. */
    gridDays: z.array(z.int().min(1)).min(1).max(200),
    /** Covariates of a model in rounds; the group is compared without them in one round. */
    covariates: z.array(field).max(5),
    /** Most rounds of that model. */
    mostRounds: z.int().min(1).max(20),
    /** Fewest patients behind a printed number. */
    threshold: z.int().min(3).max(100),
    /** Log hazard ratios at which every site gives its sums: Chebyshev nodes up to the largest. */
    nodes: z.strictObject({ count: z.int().min(8).max(16), largest: z.number().gt(0.5).max(4) }),
    horizonsYears: z.array(z.number().positive()).min(1).max(10),
    /** Smallest difference of the risks that would matter, as a share. */
    smallestDifference: z.number().gt(0).lt(1),
    level: z.number().gt(0.5).lt(1),
  })
  .refine((one) => one.groups.group !== one.groups.against, { error: 'the two groups are the same' })
  .refine((one) => one.gridDays.every((day, i) => day - (one.gridDays[i - 1] ?? 0) >= shortestInterval), {
    error: `gridDays do not rise by at least ${shortestInterval} days each; shorter intervals would tell the day of an event`,
  })
  .refine((one) => one.horizonsYears.every((years) => one.gridDays.includes(horizonDay(years))), {
    error: 'a horizon ends on no day of the grid',
  })
  .refine((one) => one.release.from === null || one.release.from < one.release.cutoff, {
    error: 'the release ends before it begins',
  })
  .refine((one) => realDay(one.release.cutoff) && (one.release.from === null || realDay(one.release.from)), {
    error: 'a day of the release is no day of the calendar',
  })
  .refine((one) => new Set(one.endpoints).size === one.endpoints.length, {
    error: 'an endpoint stands twice',
  })
  .refine((one) => new Set(one.covariates.map(({ field: name }) => name)).size === one.covariates.length, {
    error: 'a field stands twice',
  })
  .refine((one) => one.covariates.every(({ levels }) => new Set(levels).size === levels.length), {
    error: 'a level stands twice',
  })

/** What a study group agrees on before anybody looks. */
export type Protocol = z.infer<typeof protocolSchema>

/** A protocol with the hash that goes into everything made by it. */
export interface AgreedProtocol {
  readonly protocol: Protocol
  /** SHA-256 of its content, whatever the order of keys and the white space. */
  readonly hash: string
}

/** Day since delivery at which a horizon lies. */
export function horizonDay(years: number): number {
  return Math.round(years * daysPerYear)
}

/**
 * Days at which the years of the printed table end: those that stand on the grid, so that no interval of a curve lies
 * across a year and could be had by subtraction; the last may be cut short.
 */
export function yearEnds({ gridDays }: Pick<Protocol, 'gridDays'>): readonly number[] {
  const last = gridDays[gridDays.length - 1]!
  const ends: number[] = []
  for (let year = 1; horizonDay(year) < last; year++) {
    if (gridDays.includes(horizonDay(year))) ends.push(horizonDay(year))
  }
  return [...ends, last]
}

function realDay(iso: string): boolean {
  const time = Date.parse(`${iso}T00:00:00Z`)
  return Number.isFinite(time) && new Date(time).toISOString().startsWith(iso)
}

/**
 * A protocol to start from: quarterly intervals to ten years, five patients, no covariates.
 *
 * @example exampleProtocol.horizonsYears // => [1,3,5]
 */
export const exampleProtocol: Protocol = deepFreeze({
  format: protocolFormat,
  name: 'example group',
  version: 1,
  endpoints: ['screw_loosening'],
  restorationTypes: ['single_crown'],
  recallIntervalDays: 400,
  waitWindowMinutes: { from: 10, to: 15 },
  groups: { against: 'single', group: 'repeated in the window' },
  release: { from: null, cutoff: '2025-12-31' },
  gridDays: Array.from({ length: 40 }, (_one, i) => Math.round(((i + 1) * daysPerYear) / 4)),
  covariates: [],
  mostRounds: 8,
  threshold: 5,
  nodes: { count: 16, largest: 2 },
  horizonsYears: [1, 3, 5],
  smallestDifference: 0.05,
  level: 0.95,
})

/**
 * Reads a protocol file.
 *
 * @param text JSON of the file
 * @returns the protocol and its hash, which does not depend on the order of keys
 * @throws UsageError `bad-protocol` with every place that is wrong; `old-protocol` for one of an earlier design
 * @example readProtocol(JSON.stringify(exampleProtocol)).hash.length // => 64
 */
export function readProtocol(text: string): AgreedProtocol {
  let content: unknown
  try {
    content = parseJson(text)
  } catch {
    throw badProtocol('it is not JSON')
  }
  if ((content as { format?: unknown } | null)?.format === 'holdfast-protocol-1') throw oldProtocol()
  return agreedProtocol(content)
}

/** A protocol that is already an object, checked. */
export function agreedProtocol(content: unknown): AgreedProtocol {
  const parsed = protocolSchema.safeParse(content)
  if (!parsed.success) {
    throw badProtocol(
      parsed.error.issues
        .map(({ path, message }) => (path.length === 0 ? message : `${path.join('.')}: ${message}`))
        .join('; '),
    )
  }
  return deepFreeze({ protocol: parsed.data, hash: sha256(stableJson(parsed.data)) })
}

function badProtocol(what: string): UsageError {
  return new UsageError({
    code: 'bad-protocol',
    problem: `the protocol file cannot be used: ${what}.`,
    expected: 'the JSON file that the study group agreed on, as docs/schema/protocol.schema.json says.',
    mend: 'ask the coordinator for the file, and leave it unchanged.',
  })
}

function oldProtocol(): UsageError {
  return new UsageError({
    code: 'old-protocol',
    problem: 'the protocol file is of the earlier design, in which every site showed counts of its own.',
    expected: `a protocol marked ${protocolFormat}.`,
    mend: 'let the coordinator make a new one: holdfast pool --example-protocol prints one to start from.',
  })
}
