import { z } from 'zod'
import { endpointNames, exposureGroups } from '../cohort/definition.js'
import { UsageError } from '../core/errors.js'
import { deepFreeze, sha256, stableJson } from '../core/plain.js'

/** Mark of a protocol file of this version of the toolkit. */
export const protocolFormat = 'holdfast-protocol-1'

const field = z.strictObject({
  /** `region` (from the position of the tooth) or a category field of the restorations table. */
  field: z.string().min(1),
  /** Agreed levels; the first is the baseline of a model. Whatever else occurs counts as unknown. */
  levels: z.array(z.string().min(1)).min(2).max(20),
})

/** A field with the levels that the group agreed on. */
export type AgreedField = z.infer<typeof field>

/** Schema of the protocol file; docs/schema/protocol.schema.json is made from it. */
export const protocolSchema = z
  .strictObject({
    format: z.literal(protocolFormat),
    name: z.string().min(1).max(100),
    version: z.int().min(1),
    endpoint: z.enum(endpointNames),
    restorationTypes: z.array(z.string().min(1)).min(1),
    recallIntervalDays: z.int().min(1),
    waitWindowMinutes: z.strictObject({ from: z.number().min(0), to: z.number().min(0) }),
    /** The comparator and the group asked about. */
    groups: z.strictObject({ against: z.enum(exposureGroups), group: z.enum(exposureGroups) }),
    /** Days at which the finest intervals end; follow-up is read to the last of them. */
    gridDays: z.array(z.int().min(0)).min(1).max(200),
    /** Strata within clinics, or null. */
    strata: field.nullable(),
    /** Covariates of the model besides the group. */
    model: z.strictObject({ covariates: z.array(field).max(5) }),
    /** Fields of which the balance between the groups is shared. */
    balance: z.array(field).max(10),
    /** Fewest patients behind any number that is shared and is not 0. */
    threshold: z.int().min(3).max(100),
    horizonsYears: z.array(z.number().positive()).min(1).max(10),
    level: z.number().gt(0.5).lt(1),
    /** Most rounds of the model that a site answers for one release. */
    mostRounds: z.int().min(1).max(50),
    /** Largest log hazard ratio at which a site answers. */
    largestCoefficient: z.number().positive().max(10),
    /** Whether summaries carry the seal of the group's key. */
    keyed: z.boolean(),
  })
  .refine((one) => one.groups.group !== one.groups.against, 'the two groups are the same')
  .refine((one) => one.gridDays.every((day, i) => i === 0 || day > one.gridDays[i - 1]!), {
    error: 'gridDays do not rise',
  })
  .refine((one) => one.gridDays[one.gridDays.length - 1]! > 0, 'gridDays end at day 0')
  .refine((one) => one.balance.every(({ field: name }) => name !== one.strata?.field), {
    error: 'the field of the strata stands in the balance too, where it could be subtracted',
  })
  .refine(
    (one) => one.model.covariates.every(({ field: name }) => name !== one.strata?.field),
    'the field of the strata stands in the model too, where it varies within no stratum',
  )
  .refine(
    (one) =>
      [one.balance, one.model.covariates].every(
        (list) => new Set(list.map(({ field: name }) => name)).size === list.length,
      ),
    'a field stands twice',
  )
  .refine(
    (one) =>
      [...one.balance, ...one.model.covariates, ...(one.strata === null ? [] : [one.strata])].every(
        ({ levels }) => new Set(levels).size === levels.length,
      ),
    'a level stands twice',
  )

/** What a study group agrees on before anybody looks. */
export type Protocol = z.infer<typeof protocolSchema>

/** A protocol with the hash that goes into everything made by it. */
export interface AgreedProtocol {
  readonly protocol: Protocol
  /** SHA-256 of its content, whatever the order of keys and the white space. */
  readonly hash: string
}

/** A protocol to start from: quarterly intervals to ten years, five patients, group alone in the model. */
export const exampleProtocol: Protocol = deepFreeze({
  format: protocolFormat,
  name: 'example study group',
  version: 1,
  endpoint: 'screw_loosening',
  restorationTypes: ['single_crown'],
  recallIntervalDays: 400,
  waitWindowMinutes: { from: 10, to: 15 },
  groups: { against: 'single', group: 'repeated in the window' },
  gridDays: Array.from({ length: 40 }, (_one, i) => Math.round(((i + 1) * 365.25) / 4)),
  strata: { field: 'region', levels: ['anterior', 'premolar', 'molar'] },
  model: { covariates: [] },
  balance: [
    { field: 'sex', levels: ['female', 'male'] },
    { field: 'bruxism', levels: ['none', 'possible', 'probable', 'definite'] },
  ],
  threshold: 5,
  horizonsYears: [1, 3, 5],
  level: 0.95,
  mostRounds: 12,
  largestCoefficient: 5,
  keyed: false,
})

/**
 * Reads a protocol file.
 *
 * @param text JSON of the file
 * @returns the protocol and its hash, which does not depend on the order of keys
 * @throws UsageError `bad-protocol` with every place that is wrong
 * @example readProtocol(JSON.stringify(exampleProtocol)).hash.length // => 64
 */
export function readProtocol(text: string): AgreedProtocol {
  let content: unknown
  try {
    content = JSON.parse(text)
  } catch {
    throw badProtocol('it is not JSON')
  }
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
