import type { ReferenceCase, ReferenceTable } from '../referenceCase.js'

/** Columns of a survival table by the part they play; undefined where the table has none. */
export interface SurvivalColumns {
  readonly table: ReferenceTable
  readonly time: Float64Array
  readonly event: Float64Array
  readonly entry: Float64Array | undefined
  readonly weights: Float64Array | undefined
  readonly cluster: readonly string[] | undefined
  readonly groupName: string | undefined
  readonly group: readonly string[] | Float64Array | undefined
}

const usual = {
  time: ['exit', 'stop', 'time', 'futime'],
  event: ['status', 'event', 'cens', 'fustat', 'death'],
  entry: ['entry', 'start'],
  weights: ['wt', 'weight', 'weights'],
  cluster: ['cl', 'cluster', 'id'],
}

/** Finds the columns of a case: by its options first, then by what its method says, then by their usual names. */
export function survivalColumns(reference: ReferenceCase): SurvivalColumns {
  const table = reference.table()
  const named = (role: keyof typeof usual, ...options: string[]): string | undefined => {
    const given = options.map((option) => reference.options[option]).find((name) => typeof name === 'string')
    const found = typeof given === 'string' && table.names.includes(given) ? given : undefined
    return found ?? usual[role].find((name) => table.names.includes(name))
  }
  const time = named('time', 'time', 'stop', 'exit') ?? 'time'
  const event = named('event', 'status', 'event') ?? 'status'
  const entry = named('entry', 'entry', 'start')
  const weights = named('weights', 'weights')
  const cluster = named('cluster', 'cluster', 'id')
  const groupName = groupColumn(reference, table, [time, event, entry, weights, cluster, 'time'])
  return {
    table,
    time: table.numbers(time),
    event: table.numbers(event),
    entry: entry === undefined || entry === time ? undefined : table.numbers(entry),
    weights: weights === undefined ? undefined : table.numbers(weights),
    cluster: cluster === undefined ? undefined : table.texts(cluster),
    groupName,
    group: groupName === undefined ? undefined : labelsOf(table, groupName),
  }
}

/** A column of labels: numbers where all fields are, so that they sort as numbers. */
export function labelsOf(table: ReferenceTable, name: string): readonly string[] | Float64Array {
  return table.isNumeric(name) ? table.numbers(name) : table.texts(name)
}

function groupColumn(
  reference: ReferenceCase,
  table: ReferenceTable,
  taken: readonly (string | undefined)[],
): string | undefined {
  const { group } = reference.options
  if (typeof group === 'string' && table.names.includes(group)) return group
  const said = /\bby ([\w.]+)/.exec(reference.method)?.[1]
  if (said !== undefined && table.names.includes(said)) return said
  if (table.names.includes('group')) return 'group'
  const left = table.names.filter((name) => !taken.includes(name))
  return left.length === 1 ? left[0] : undefined
}
