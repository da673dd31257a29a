/** How well the restorations hide among each other. */
export interface Anonymity {
  /** Smallest size of a group that is accepted. */
  readonly k: number
  readonly fields: readonly string[]
  /** Rows of the smallest group. */
  readonly smallestGroup: number
  /** Rows that stand in groups smaller than k. */
  readonly rowsBelow: number
  readonly rows: number
  /** The same where one of the fields is left out: which of them singles out most. */
  readonly without: readonly {
    readonly field: string
    readonly smallestGroup: number
    readonly rowsBelow: number
  }[]
}

/**
 * k-anonymity (Samarati and Sweeney 1998) over the given fields: the size of the groups of rows that are alike in all of
 * them. An unknown value is a value like any other.
 *
 * @param columns text of each row by field
 * @param rows number of rows
 * @param k smallest accepted group; default 5
 */
export function anonymityOf(columns: ReadonlyMap<string, readonly string[]>, rows: number, k = 5): Anonymity {
  const fields = [...columns.keys()]
  const all = groupSizes(columns, fields, rows, k)
  const without = fields.map((field) => ({
    field,
    ...groupSizes(
      columns,
      fields.filter((other) => other !== field),
      rows,
      k,
    ),
  }))
  return Object.freeze({ k, fields, rows, ...all, without })
}

function groupSizes(
  columns: ReadonlyMap<string, readonly string[]>,
  fields: readonly string[],
  rows: number,
  k: number,
): { readonly smallestGroup: number; readonly rowsBelow: number } {
  const sizes = new Map<string, number>()
  for (let row = 0; row < rows; row++) {
    const key = fields.map((field) => columns.get(field)![row]).join('\u0000')
    sizes.set(key, (sizes.get(key) ?? 0) + 1)
  }
  let smallestGroup = rows
  let rowsBelow = 0
  for (const size of sizes.values()) {
    smallestGroup = Math.min(smallestGroup, size)
    if (size < k) rowsBelow += size
  }
  return { smallestGroup, rowsBelow }
}
