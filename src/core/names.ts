import { UsageError } from './errors.js'

/**
 * The known name that a name was most likely meant to be: the one with the fewest letters inserted, dropped, changed or
 * swapped with their neighbour (Damerau 1964, optimal string alignment), capitals and separators apart. Undefined where
 * more than two in five letters would have to change, since then a hint would only mislead.
 *
 * @example nearestName('abutment_orgin', ['abutment_origin', 'crown_material']) // => "abutment_origin"
 */
export function nearestName(name: string, known: readonly string[]): string | undefined {
  const asked = plainLetters(name)
  let nearest: string | undefined
  let fewest = Number.POSITIVE_INFINITY
  for (const one of known) {
    const other = plainLetters(one)
    const changes = changesBetween(asked, other)
    if (changes < fewest && changes <= 0.4 * Math.max(asked.length, other.length)) {
      nearest = one
      fewest = changes
    }
  }
  return nearest
}

/**
 * The error for a name that is not known, with the nearest that is.
 *
 * @param thing what was named, such as "field of the restorations table"
 * @param name as it was given
 * @param known all names that there are
 */
export function unknownName(thing: string, name: unknown, known: readonly string[]): UsageError {
  const text = String(name).slice(0, longestEcho)
  const nearest = nearestName(text, known)
  return new UsageError({
    code: 'unknown-name',
    problem: `there is no ${thing} "${text}".`,
    expected: `one of ${known.join(', ')}.`,
    mend: nearest === undefined ? 'use one of these names.' : `did you mean ${nearest}?`,
  })
}

/** Whether a text is one of the names, so that the compiler knows it too. */
export function isNameOf<Name extends string>(names: readonly Name[], name: unknown): name is Name {
  return (names as readonly unknown[]).includes(name)
}

/** What somebody wrote by mistake in place of a name is told no further than this. */
const longestEcho = 60

function plainLetters(name: string): string {
  return name
    .slice(0, longestEcho)
    .toLowerCase()
    .replace(/[\s_-]/g, '')
}

function changesBetween(left: string, right: string): number {
  let beforeLast: number[] = []
  let last = Array.from({ length: right.length + 1 }, (_one, column) => column)
  for (let i = 1; i <= left.length; i++) {
    const row = [i]
    for (let j = 1; j <= right.length; j++) {
      const changed = last[j - 1]! + (left[i - 1] === right[j - 1] ? 0 : 1)
      const swapped =
        i > 1 && j > 1 && left[i - 1] === right[j - 2] && left[i - 2] === right[j - 1]
          ? beforeLast[j - 2]! + 1
          : Number.POSITIVE_INFINITY
      row.push(Math.min(last[j]! + 1, row[j - 1]! + 1, changed, swapped))
    }
    beforeLast = last
    last = row
  }
  return last[right.length]!
}
