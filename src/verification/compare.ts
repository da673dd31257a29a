import type { Tolerance } from './referenceCase.js'

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
export function compareAll(
  expected: unknown,
  computed: unknown,
  tolerance: Tolerance,
): readonly Comparison[] {
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
