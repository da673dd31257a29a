import { z } from 'zod'

/** Mark of a site summary of this version of the toolkit. */
export const summaryFormat = 'holdfast-site-summary-1'

const count = z.int().min(0)
const hash = z.string().regex(/^[0-9a-f]{64}$/)
const matrix = z.array(z.array(z.number()))
const withheld = z.strictObject({ state: z.literal('withheld'), reason: z.string() })

/** Counts of one group in one block of strata, one number for each interval. */
const groupTable = z.strictObject({
  group: z.string(),
  /** Restorations at risk at the end of each interval, those that leave in it included. */
  atRisk: z.array(count),
  endpoint: z.array(count),
  competing: z.array(count),
  censored: z.array(count),
  /** Restorations that come under observation at the start of each interval. */
  entered: z.array(count),
  /** Days at risk within each interval, summed over restorations. */
  timeAtRiskDays: z.array(z.number().min(0)),
})

const block = z.strictObject({
  levels: z.array(z.string()).min(1),
  intervalEndsDays: z.array(count),
  groups: z.array(groupTable).min(1).max(2),
})

/** The part of the model that a site shares at one set of coefficients. */
const sums = z.strictObject({
  coefficients: z.array(z.number()),
  logLikelihood: z.number(),
  score: z.array(z.number()),
  information: matrix,
})

const model = z.strictObject({
  state: z.literal('given'),
  names: z.array(z.string()).min(1),
  /** Days at which the intervals of the model end, block by block. */
  intervalEndsDays: z.array(z.array(count)),
  restorations: count,
  events: count,
  /** Whether outer products are summed over patients, or over restorations where too few patients have several. */
  outerProductsOver: z.enum(['patients', 'restorations']),
  atStart: sums,
  outerProductsAtStart: matrix,
  /** The site's own rate ratio of the group, hazards constant within intervals. */
  own: z
    .strictObject({
      logRateRatio: z.number(),
      robustVariance: z.number().positive(),
      modelVariance: z.number().positive(),
    })
    .nullable(),
})

/** Schema of the site summary; docs/schema/site-summary.schema.json is made from it. */
export const summarySchema = z.strictObject({
  format: z.literal(summaryFormat),
  toolkit: z.string(),
  protocol: z.strictObject({ name: z.string(), version: z.int(), hash }),
  clinic: z.string().min(1),
  release: z.int().min(1),
  date: z.string(),
  /** Whether the data are generated (demo). */
  generated: z.boolean(),
  threshold: z.int(),
  competingEvents: z.enum(['apart', 'counted as censored']),
  restorations: count,
  patients: z.union([count, withheld]),
  blocks: z.array(block).min(1),
  balance: z.array(
    z.union([
      z.strictObject({
        field: z.string(),
        levels: z.array(z.strictObject({ levels: z.array(z.string()), restorations: z.array(count) })),
      }),
      z.strictObject({ field: z.string(), ...withheld.shape }),
    ]),
  ),
  model: z.union([model, withheld]),
  /** SHA-256 over everything above: shows damage. */
  checksum: hash,
  /** HMAC-SHA-256 over the same with the group's key: shows editing. */
  seal: hash.optional(),
})

/** What leaves a practice. */
export type SiteSummary = z.infer<typeof summarySchema>

/** A summary before it is sealed. */
export type SummaryContent = Omit<SiteSummary, 'checksum' | 'seal'>

/** The model's part of a summary, where there is one. */
export type SharedModel = z.infer<typeof model>

/** Risk-set table of one block of strata. */
export type SharedBlock = z.infer<typeof block>

/** Mark of a request of the coordinator. */
export const requestFormat = 'holdfast-round-request-1'

/** Schema of a request for one round of the model. */
export const requestSchema = z.strictObject({
  format: z.literal(requestFormat),
  protocolHash: hash,
  round: z.int().min(1),
  /** Whether the coefficients have settled: outer products are answered then, and only then. */
  final: z.boolean(),
  coefficients: z.array(z.number()).min(1),
  /** Summaries that the request rests on. */
  sites: z.array(z.strictObject({ clinic: z.string(), release: z.int(), checksum: hash })),
  checksum: hash,
  seal: hash.optional(),
})

/** One round's request. */
export type RoundRequest = z.infer<typeof requestSchema>

/** Mark of a site's answer. */
export const answerFormat = 'holdfast-round-answer-1'

/** Schema of a site's answer to one round. */
export const answerSchema = z.strictObject({
  format: z.literal(answerFormat),
  protocolHash: hash,
  round: z.int().min(1),
  clinic: z.string(),
  release: z.int(),
  /** Checksum of the site's summary, whose grid the answer keeps. */
  summary: hash,
  sums,
  outerProducts: matrix.nullable(),
  checksum: hash,
  seal: hash.optional(),
})

/** One site's answer. */
export type RoundAnswer = z.infer<typeof answerSchema>
