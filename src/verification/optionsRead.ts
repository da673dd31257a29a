import { nearestName } from '../core/names.js'
import { type ReferenceCase, type ReferenceTable, rowsOf } from './referenceCase.js'

/** A case whose options are watched, and what was not looked at once its method is done. */
export interface WatchedCase {
  readonly reference: ReferenceCase
  /** Options that no method looked at and that could change a number. */
  unread(): readonly string[]
  /** Every option that the method looked at, whether the case has it or not. */
  read(): readonly string[]
}

/**
 * Options that describe the reference computation where there is nothing to choose: the toolkit has the one reading
 * that they name. Each stands in the format of tests/reference/README.md with that one value.
 */
const descriptions: ReadonlySet<string> = new Set(['no_small_sample_factor', 'disease_omitted'])

/** What the level is unless stated: where nothing depends on it, stating it changes nothing. */
const usualLevel = 0.95

/** Watches which options of a case its method reads, nested ones by their path. */
export function watchedCase(reference: ReferenceCase): WatchedCase {
  const seen = new Set<string>()
  const options = watched(reference.options, '', seen)
  return {
    reference: {
      ...reference,
      options,
      table: () => {
        for (const [path] of leaves({ subset: reference.options.subset ?? null }, '')) seen.add(path)
        return rowsOf(reference.table(), reference.options.subset, reference.id)
      },
    },
    unread: () => {
      const table = tableNames(reference)
      return leaves(reference.options, '')
        .filter(
          ([path, value]) =>
            !seen.has(path) &&
            !descriptions.has(path) &&
            !(path === 'conf' && value === usualLevel) &&
            couldMatter(value, table),
        )
        .map(([path]) => path)
    },
    read: () => [...seen].sort(),
  }
}

/** What to say of options that were not read. */
export function unreadInWords(kind: string, unread: readonly string[], read: readonly string[]): string {
  const hints = unread.map((name) => {
    const near = nearestName(
      name,
      read.filter((one) => one !== name),
    )
    return near === undefined ? name : `${name} (did you mean ${near}?)`
  })
  return `options of kind ${kind} that it does not read: ${hints.join(', ')}. It looked at: ${read.join(', ') || 'none'}. A remark is a text that names no column.`
}

function watched<T extends object>(value: T, path: string, seen: Set<string>): T {
  return new Proxy(value, {
    get(target, key, receiver): unknown {
      const own: unknown = Reflect.get(target, key, receiver)
      if (typeof key !== 'string') return own
      const where = path === '' ? key : `${path}.${key}`
      seen.add(where)
      return isNamed(own) ? watched(own, where, seen) : own
    },
    ownKeys(target): ArrayLike<string | symbol> {
      // whoever walks over all entries has looked at them
      for (const key of Object.keys(target)) seen.add(path === '' ? key : `${path}.${key}`)
      return Reflect.ownKeys(target)
    },
  })
}

function isNamed(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null && !Array.isArray(value)
}

function leaves(value: object, path: string): readonly (readonly [string, unknown])[] {
  return Object.entries(value).flatMap(([key, own]): (readonly [string, unknown])[] => {
    const where = path === '' ? key : `${path}.${key}`
    return isNamed(own) ? [...leaves(own, where)] : [[where, own]]
  })
}

/** Numbers, switches, lists and names of columns change numbers; other texts are remarks. */
function couldMatter(value: unknown, columns: readonly string[]): boolean {
  if (value === null || value === undefined) return false
  return typeof value !== 'string' || columns.includes(value)
}

function tableNames(reference: ReferenceCase): readonly string[] {
  let table: ReferenceTable | undefined
  try {
    table = reference.table()
  } catch {
    return Object.keys(reference.data)
  }
  return [...table.names, ...Object.keys(reference.data)]
}
