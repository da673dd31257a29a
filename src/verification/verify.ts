import { HoldfastError } from '../core/errors.js'
import { nearestName } from '../core/names.js'
import { type Comparison, compareAll } from './compare.js'
import { methodKinds, methodOf } from './methods/index.js'
import { unreadInWords, watchedCase } from './optionsRead.js'
import type { ReferenceCase } from './referenceCase.js'

/** What came of one reference case. */
export interface CaseOutcome {
  readonly topic: string
  readonly id: string
  readonly kind: string
  readonly source: string
  readonly values: number
  readonly disagreements: readonly Comparison[]
  /** Paths that the toolkit did not compute; the single entry "all" where it has no method for the kind. */
  readonly uncomputed: readonly string[]
  readonly worstRelative: number
  /** Message of an error that the method threw. */
  readonly failure: string | undefined
}

/** Sums of one topic. */
export interface TopicSummary {
  readonly cases: number
  readonly values: number
  /** Cases with a value outside its tolerance. */
  readonly disagreeing: number
  /** Cases of which something was not computed. */
  readonly uncomputed: number
  readonly worstRelative: number
}

/** Runs the toolkit's own functions on one case and compares every number that the case expects. */
export function verifyCase(reference: ReferenceCase): CaseOutcome {
  const method = methodOf(reference.kind)
  if (method === undefined) {
    const near = nearestName(reference.kind, methodKinds())
    const hint = near === undefined ? '' : ` (did you mean ${near}?)`
    const failure = `the toolkit has no kind ${reference.kind}${hint}; verify --kinds lists them.`
    return outcome(reference, [], ['all'], failure)
  }
  const watch = watchedCase(reference)
  let computed: unknown
  try {
    computed = method(watch.reference)
  } catch (thrown) {
    return failedOutcome(reference, thrown)
  }
  const unread = watch.unread()
  if (unread.length > 0) {
    return outcome(reference, [], ['all'], unreadInWords(reference.kind, unread, watch.read()))
  }
  return judged(reference, computed)
}

function judged(reference: ReferenceCase, computed: unknown): CaseOutcome {
  const comparisons = compareAll(reference.expected, computed, reference.tolerance)
  if (reference.requiredBehaviour !== undefined && saysItCannot(computed)) {
    return outcome(
      reference,
      comparisons.filter((one) => one.state === 'agrees'),
      [],
      undefined,
    )
  }
  const uncomputed = comparisons.filter((one) => one.state === 'uncomputed').map((one) => one.path)
  return outcome(reference, comparisons, uncomputed, undefined)
}

/** Sums outcomes by topic, topics in the order in which they came. */
export function summariseByTopic(outcomes: readonly CaseOutcome[]): ReadonlyMap<string, TopicSummary> {
  const topics = new Map<string, TopicSummary>()
  for (const one of outcomes) {
    const sum = topics.get(one.topic) ?? {
      cases: 0,
      values: 0,
      disagreeing: 0,
      uncomputed: 0,
      worstRelative: 0,
    }
    topics.set(one.topic, {
      cases: sum.cases + 1,
      values: sum.values + one.values,
      disagreeing: sum.disagreeing + (one.disagreements.length > 0 ? 1 : 0),
      uncomputed: sum.uncomputed + (one.uncomputed.length > 0 ? 1 : 0),
      worstRelative: Math.max(sum.worstRelative, one.worstRelative),
    })
  }
  return topics
}

/** Whether every case agrees and was computed whole. */
export function allAgree(outcomes: readonly CaseOutcome[]): boolean {
  return outcomes.every((one) => one.disagreements.length === 0 && one.uncomputed.length === 0)
}

/** A typed refusal is what awkward data ask for where the case says so; anywhere else it is a failure. */
function failedOutcome(reference: ReferenceCase, thrown: unknown): CaseOutcome {
  if (reference.requiredBehaviour !== undefined && thrown instanceof HoldfastError) {
    return outcome(reference, [], [], undefined)
  }
  const message = thrown instanceof Error ? thrown.message : String(thrown)
  return outcome(reference, [], ['all'], message)
}

function outcome(
  reference: ReferenceCase,
  comparisons: readonly Comparison[],
  uncomputed: readonly string[],
  failure: string | undefined,
): CaseOutcome {
  const compared = comparisons.filter((one) => one.state !== 'uncomputed')
  return Object.freeze({
    topic: reference.topic,
    id: reference.id,
    kind: reference.kind,
    source: reference.source,
    values: compared.length,
    disagreements: compared.filter((one) => one.state === 'disagrees'),
    uncomputed,
    worstRelative: compared.reduce((worst, one) => Math.max(worst, one.relative), 0),
    failure,
  })
}

/** Whether an answer holds a tagged state, a warning, or says that a fit did not converge. */
function saysItCannot(computed: unknown): boolean {
  if (typeof computed !== 'object' || computed === null) return false
  if ('state' in computed && typeof computed.state === 'string') return true
  if ('converged' in computed && computed.converged === false) return true
  if ('warnings' in computed && Array.isArray(computed.warnings) && computed.warnings.length > 0) return true
  return Object.values(computed).some(saysItCannot)
}
