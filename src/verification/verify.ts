import { HoldfastError } from '../core/errors.js'
import { nearestName } from '../core/names.js'
import { methodKinds, methodOf } from './methods/index.js'
import { unreadInWords, watchedCase } from './optionsRead.js'
import type { ReferenceCase, Tolerance } from './referenceCase.js'

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

/** One expected value set beside what the toolkit computed. */
export interface Comparison {
  /** Path below "expected", parts joined by a full stop. */
  readonly path: string
  readonly state: 'agrees' | 'disagrees' | 'uncomputed'
  readonly expected: number | string | boolean | null
  readonly computed: string
  /** |difference| relative to |expected| + abs/rel, the scale of the tolerance; 0 where no number was compared. */
  readonly relative: number
}

/**
 * Compares every number, truth value and missing value below `expected` with the same path below `computed`.
 * Texts are compared only where the method gives one too. Nothing is passed over: a path that `computed` lacks is
 * "uncomputed".
 */
function compareAll(expected: unknown, computed: unknown, tolerance: Tolerance): readonly Comparison[] {
  return compareAt(expected, computed, tolerance, { rel: tolerance.rel ?? 0, abs: tolerance.abs ?? 0 }, [])
}

interface Allowed {
  readonly rel: number
  readonly abs: number
}

function compareAt(
  expected: unknown,
  computed: unknown,
  tolerance: Tolerance,
  allowed: Allowed,
  path: readonly string[],
): readonly Comparison[] {
  if (typeof expected === 'object' && expected !== null) {
    const entries = Object.entries(expected)
    const inner = entries.flatMap(([key, value]) =>
      compareAt(value, member(computed, key), tolerance, allowedBelow(key, tolerance, allowed), [
        ...path,
        key,
      ]),
    )
    const surplus = Array.isArray(expected) && isListLike(computed) && computed.length > expected.length
    return surplus
      ? [...inner, leaf([...path, 'length'], 'disagrees', expected.length, computed.length, 0)]
      : inner
  }
  return compareLeaf(expected, computed, allowed, path)
}

function compareLeaf(
  expected: unknown,
  computed: unknown,
  allowed: Allowed,
  path: readonly string[],
): readonly Comparison[] {
  const wanted = readNumber(expected)
  if (typeof wanted === 'string') {
    if (computed === undefined) return []
    return [leaf(path, wanted === computed ? 'agrees' : 'disagrees', wanted, computed, 0)]
  }
  if (computed === undefined) return [leaf(path, 'uncomputed', describable(expected), computed, 0)]
  if (wanted === null || (typeof wanted === 'number' && Number.isNaN(wanted))) {
    return [leaf(path, isAbsent(computed) ? 'agrees' : 'disagrees', describable(expected), computed, 0)]
  }
  if (typeof wanted === 'boolean') {
    return [leaf(path, wanted === computed ? 'agrees' : 'disagrees', wanted, computed, 0)]
  }
  const found = readNumber(computed)
  if (typeof found !== 'number' || Number.isNaN(found)) {
    return [leaf(path, 'disagrees', wanted, computed, Number.POSITIVE_INFINITY)]
  }
  if (!Number.isFinite(wanted) || !Number.isFinite(found)) {
    return [leaf(path, wanted === found ? 'agrees' : 'disagrees', wanted, computed, 0)]
  }
  const difference = Math.abs(found - wanted)
  const agrees = difference <= allowed.abs + allowed.rel * Math.abs(wanted)
  const scale = Math.abs(wanted) + (allowed.rel > 0 ? allowed.abs / allowed.rel : 0)
  const relative = difference === 0 ? 0 : difference / (scale > 0 ? scale : 1)
  return [leaf(path, agrees ? 'agrees' : 'disagrees', wanted, computed, relative)]
}

function leaf(
  path: readonly string[],
  state: Comparison['state'],
  expected: Comparison['expected'],
  computed: unknown,
  relative: number,
): Comparison {
  const shown =
    typeof computed === 'object' && computed !== null ? JSON.stringify(computed) : String(computed)
  return { path: path.join('.'), state, expected, computed: shown, relative }
}

function allowedBelow(key: string, tolerance: Tolerance, allowed: Allowed): Allowed {
  for (const [pattern, override] of Object.entries(tolerance.fields ?? {})) {
    const matches = pattern.endsWith('*') ? key.startsWith(pattern.slice(0, -1)) : key === pattern
    if (matches) return { rel: override.rel ?? allowed.rel, abs: override.abs ?? allowed.abs }
  }
  return allowed
}

/** Reads the format's spellings of numbers that JSON lacks, and the toolkit's unbounded limits. */
function readNumber(value: unknown): number | string | boolean | null {
  if (value === 'Infinity') return Number.POSITIVE_INFINITY
  if (value === '-Infinity') return Number.NEGATIVE_INFINITY
  if (value === 'NaN') return Number.NaN
  const state = stateOf(value)
  if (state === 'unbounded') {
    return (value as { direction?: string }).direction === 'below'
      ? Number.NEGATIVE_INFINITY
      : Number.POSITIVE_INFINITY
  }
  if (typeof value === 'number' || typeof value === 'string' || typeof value === 'boolean') return value
  return null
}

/** Whether the toolkit says that there is no such number. */
function isAbsent(computed: unknown): boolean {
  if (computed === null || (typeof computed === 'number' && Number.isNaN(computed))) return true
  return stateOf(computed) !== undefined
}

function stateOf(value: unknown): string | undefined {
  if (typeof value !== 'object' || value === null || !('state' in value)) return undefined
  return typeof value.state === 'string' ? value.state : undefined
}

function describable(expected: unknown): Comparison['expected'] {
  return typeof expected === 'number' || typeof expected === 'string' || typeof expected === 'boolean'
    ? expected
    : null
}

function member(computed: unknown, key: string): unknown {
  if (typeof computed !== 'object' || computed === null) return undefined
  return (computed as Record<string, unknown>)[key]
}

function isListLike(value: unknown): value is ArrayLike<unknown> {
  return Array.isArray(value) || (ArrayBuffer.isView(value) && 'length' in value)
}
