/**
 * Value at a path such as `retention.byGroup.0.horizons.1.retention.estimate`; undefined where there is none. A step
 * whose name holds a dot (the name of a group) is written in brackets: `comparison.events["a.b"]`. `[unknown=0]` keeps
 * the entries of a list whose field has that number, and `length` counts them: `fields[unknown=0].length`.
 */
export function resolvePath(result: unknown, path: string): unknown {
  const steps = path.match(/\["(?:[^"\\]|\\.)*"\]|\[\w+=[\d.]+\]|[^.[\]]+/g) ?? []
  let value: unknown = result
  for (const step of steps) {
    const chosen = Array.isArray(value) ? chosenEntries(value, step) : undefined
    if (chosen !== undefined) {
      value = chosen
      continue
    }
    const key = step.startsWith('[') ? (JSON.parse(step.slice(1, -1)) as string) : step
    if (typeof value !== 'object' || value === null || !Object.hasOwn(value, key)) return undefined
    value = (value as Record<string, unknown>)[key]
  }
  return value
}

/** The entries of a list that a step such as `[unknown=0]` chooses; undefined where the step is of another kind. */
function chosenEntries(list: readonly unknown[], step: string): readonly unknown[] | undefined {
  const [, field, number] = /^\[(\w+)=([\d.]+)\]$/.exec(step) ?? []
  if (field === undefined) return undefined
  return list.filter((entry) => (entry as Record<string, unknown>)[field] === Number(number))
}
