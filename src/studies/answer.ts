import { z } from 'zod'

const interval = z.object({ estimate: z.number(), lower: z.number(), upper: z.number() })
const range = z.object({ lower: z.number(), upper: z.number() })
const twoCounts = z.object({ group: z.number(), against: z.number() })

/**
 * What the studies read of answer.json. Written after the published format, not after the code that writes it: fields
 * that the studies do not need may be anything, and fields that could not be estimated are absent.
 */
export const answerShape = z.object({
  schema: z.union([z.string(), z.number()]),
  restorations: z.object({
    inRecords: z.number(),
    eligible: z.number(),
    analysed: z.number(),
    neverChecked: z.number(),
  }),
  howOften: z
    .object({
      years: z.number().optional(),
      verdict: z.enum(['estimate', 'none-seen', 'withheld']),
      risk: z
        .object({ estimate: z.number().optional(), lower: z.number().optional(), upper: z.number() })
        .optional(),
      betweenLooks: range.optional(),
    })
    .optional(),
  comparison: z
    .object({
      verdict: z.enum(['lower', 'higher', 'open', 'cannot-be-compared', 'cannot-be-known']),
      years: z.number().optional(),
      difference: interval.optional(),
      risks: z.object({ group: interval, against: interval }).partial().optional(),
      restorations: twoCounts.partial().optional(),
      events: twoCounts.partial().optional(),
      exposure: z.object({ measuredShare: z.number() }).partial().optional(),
      betweenLooks: z.object({ found: interval, afterLastLook: interval }).partial().optional(),
      reason: z.string().optional(),
      objections: z
        .array(
          z.object({
            code: z.string(),
            effect: z.enum(['agrees', 'weakens', 'contradicts', 'context']),
            estimate: z.number().optional(),
            lower: z.number().optional(),
            upper: z.number().optional(),
          }),
        )
        .optional(),
    })
    .optional(),
})

/** The answer of one audit, as far as the studies read it. */
export type StudiedAnswer = z.infer<typeof answerShape>
