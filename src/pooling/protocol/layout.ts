import { sha256 } from '../../core/plain.js'
import { fewestForBetween, type Protocol, yearEnds } from './protocol.js'

/** Parts of 1 to which everything but a count is rounded before it is masked. */
export const finestPart = 128

/** A run of numbers of the vector. */
export interface Block {
  readonly name: string
  readonly size: number
  /** Whole numbers to 1; 1 for counts. */
  readonly scale: number
}

/** Sums by block. */
export type Sums = Readonly<Record<string, Float64Array>>

/**
 * What stands in each cell of a table of group and time, in this order. Restorations are those at risk on some day of
 * it: those at its start, where others enter later, would rest on fewer patients than the cell names.
 */
export const cellParts = ['atRiskWithin', 'endpoint', 'competing', 'patients', 'sites'] as const

/** What stands at each node of the log hazard ratio, in this order. */
export const nodeParts = [
  'score',
  'information',
  'patientSquares',
  'siteScoreSquare',
  'siteInformationSquare',
] as const

/** What stands at each node with every event on the day of its finding, or right after its last clean look. */
export const endParts = ['score', 'information', 'patientSquares'] as const

/** Coefficients of the model in rounds: the group, then each level but the baseline. */
export function coefficientNames(protocol: Protocol): readonly string[] {
  return [
    protocol.groups.group,
    ...protocol.covariates.flatMap(({ field, levels }) =>
      levels.slice(1).map((level) => `${field}: ${level}`),
    ),
  ]
}

/** Numbers of one round: rows, events, score, information and patient-summed outer products (lower triangles). */
export function roundBlocks(protocol: Protocol, endpoint: string): readonly Block[] {
  const size = coefficientNames(protocol).length
  const triangle = (size * (size + 1)) / 2
  return [
    { name: `${endpoint}/model/counts`, size: 2, scale: 1 },
    { name: `${endpoint}/model/score`, size, scale: finestPart },
    { name: `${endpoint}/model/information`, size: triangle, scale: finestPart },
    { name: `${endpoint}/model/patientSquares`, size: triangle, scale: finestPart },
  ]
}

/** The blocks of an endpoint. */
function endpointBlocks(protocol: Protocol, endpoint: string): readonly Block[] {
  const count = (name: string, size: number): Block => ({ name: `${endpoint}/${name}`, size, scale: 1 })
  const real = (name: string, size: number): Block => ({
    name: `${endpoint}/${name}`,
    size,
    scale: finestPart,
  })
  const cells = (times: number): number => 2 * times * cellParts.length
  const years = yearEnds(protocol).length
  return [
    count('restorations', 2),
    count('events', 2),
    count('competing', 2),
    count('patients', 2),
    count('patientsWithEvent', 2),
    count('measured', 2),
    count('contributing', 2),
    count('patientsAll', 1),
    count('patientsWithEventAll', 1),
    // Sites that add anything to the comparison: both groups at risk when something happens.
    count('comparing', 1),
    real('days', 2),
    real('patientRateSquares', 9),
    count('grid', cells(protocol.gridDays.length)),
    real('gridDays', 2 * protocol.gridDays.length),
    count('years', cells(years)),
    real('yearDays', 2 * years),
    real('logRank', 3),
    real('mantelHaenszel', 3),
    real('nodes', protocol.nodes.count * nodeParts.length),
    real('nodesFound', protocol.nodes.count * endParts.length),
    real('nodesClear', protocol.nodes.count * endParts.length),
    ...(protocol.covariates.length === 0 ? [] : roundBlocks(protocol, endpoint)),
  ]
}

/** The blocks of a release, in the order in which they stand in the vector; the first must sum to the number of sites. */
export function layoutOf(protocol: Protocol): readonly Block[] {
  return [
    { name: 'one', size: 1, scale: 1 },
    ...protocol.endpoints.flatMap((endpoint) => endpointBlocks(protocol, endpoint)),
  ]
}

/**
 * Numbers of a practice as a list of so many practices sums them: below the fewest for an interval between practices
 * the squares of its own score and information are nought. Nothing is made of them there, and with the sums they would
 * tell two practices apart.
 */
export function valuesForList(
  values: readonly number[],
  protocol: Protocol,
  sites: number,
): readonly number[] {
  if (sites >= fewestForBetween) return values
  const kept = [...values]
  let at = 0
  for (const { name, size } of layoutOf(protocol)) {
    if (name.endsWith('/nodes')) {
      for (let i = 0; i < size; i++) {
        const part = nodeParts[i % nodeParts.length]
        if (part === 'siteScoreSquare' || part === 'siteInformationSquare') kept[at + i] = 0
      }
    }
    at += size
  }
  return kept
}

/** The blocks of a further round. */
export function roundLayout(protocol: Protocol): readonly Block[] {
  return [
    { name: 'one', size: 1, scale: 1 },
    ...protocol.endpoints.flatMap((endpoint) => roundBlocks(protocol, endpoint)),
  ]
}

/** How many numbers a layout has. */
export function lengthOf(layout: readonly Block[]): number {
  return layout.reduce((sum, { size }) => sum + size, 0)
}

/** Hash of a layout and of what stands in its cells, which the list fixes. */
export function layoutHash(layout: readonly Block[]): string {
  const parts = [cellParts, nodeParts, endParts]
  return sha256(JSON.stringify([parts, layout.map(({ name, size, scale }) => [name, size, scale])]))
}

/** Sums as whole numbers, rounded once; a multiple of the scale for finer tests only. */
export function wholeNumbers(sums: Sums, layout: readonly Block[], finer = 1): readonly number[] {
  return layout.flatMap(({ name, size, scale }) => {
    const values = sums[name]
    if (values?.length !== size)
      throw new RangeError(`block ${name} has ${values?.length} numbers, not ${size}`)
    const factor = scale === 1 ? 1 : scale * finer
    return Array.from(values, (value) => {
      const whole = Math.round(value * factor) + 0
      if (!Number.isSafeInteger(whole))
        throw new RangeError(`block ${name} holds a number that cannot be summed safely`)
      return whole
    })
  })
}

/** Sums from whole numbers. */
export function fromWholeNumbers(whole: readonly number[], layout: readonly Block[], finer = 1): Sums {
  const sums: Record<string, Float64Array> = {}
  let at = 0
  for (const { name, size, scale } of layout) {
    const factor = scale === 1 ? 1 : scale * finer
    sums[name] = Float64Array.from(whole.slice(at, at + size), (value) => value / factor)
    at += size
  }
  return sums
}

/** Chebyshev nodes of the log hazard ratio. */
export function nodesOf({ nodes: { count, largest } }: Pick<Protocol, 'nodes'>): readonly number[] {
  return Array.from({ length: count }, (_one, j) => largest * Math.cos(((2 * j + 1) * Math.PI) / (2 * count)))
}
