import { createHash } from 'node:crypto'

/** Freezes an object and all that it holds; typed arrays stay as they are, since they cannot be frozen. */
export function deepFreeze<T>(value: T): T {
  if (typeof value !== 'object' || value === null || ArrayBuffer.isView(value) || Object.isFrozen(value)) {
    return value
  }
  for (const inner of Object.values(value)) deepFreeze(inner)
  return Object.freeze(value)
}

/** JSON with keys in alphabetical order, so that equal content gives equal text. */
export function stableJson(value: unknown, indent = 0): string {
  return JSON.stringify(
    value,
    (_key, inner: unknown) => (isRecord(inner) ? sortedKeys(inner) : inner),
    indent,
  )
}

/** Hexadecimal SHA-256 of a text or of bytes. */
export function sha256(content: string | Uint8Array): string {
  return createHash('sha256').update(content).digest('hex')
}

function isRecord(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null && !Array.isArray(value)
}

function sortedKeys(value: Record<string, unknown>): Record<string, unknown> {
  if (ArrayBuffer.isView(value)) return Array.from(value as unknown as ArrayLike<number>) as never
  return Object.fromEntries(
    Object.keys(value)
      .sort()
      .map((key) => [key, value[key]]),
  )
}
