/** Rows that are counted in the same shared numbers throughout. */
export interface RowClass {
  /** Numbers of the shared counts that they are part of. */
  readonly countedIn: readonly number[]
  readonly patients: number
}

/** Share of a class that may lie outside what can be combined before it counts as out of reach. */
const withinReach = 1e-9

/**
 * Finds classes of rows of fewer patients than the threshold whose number can be had exactly by adding and subtracting
 * shared counts, whichever and however often: a class is within reach if its indicator lies in the space that the
 * counts span. Pairs of such classes are looked at together. The one who subtracts is taken to know which classes are
 * empty, which is more than the shared counts say.
 *
 * @param classes classes that hold rows
 * @param threshold fewest patients that may be told apart
 * @returns positions of the classes within reach, alone or in a pair
 * Source: linear disclosure of tables, Willenborg and de Waal (2001), Elements of Statistical Disclosure Control.
 */
export function classesWithinReach(classes: readonly RowClass[], threshold: number): readonly number[] {
  const small = classes.flatMap(({ patients }, c) => (patients > 0 && patients < threshold ? [c] : []))
  if (small.length === 0) return []
  const reach = coordinatesOf(orthonormalBasis(classes), small)
  const share = (a: number, b: number): number => {
    const [left, right] = [reach.get(a)!, reach.get(b)!]
    const [few, many] = left.size < right.size ? [left, right] : [right, left]
    let sum = 0
    for (const [vector, value] of few) sum += value * (many.get(vector) ?? 0)
    return sum
  }
  const found = new Set<number>()
  const own = new Map(small.map((c) => [c, share(c, c)]))
  for (const c of small) if (own.get(c)! > 1 - withinReach) found.add(c)
  for (let i = 0; i < small.length; i++) {
    const [a, ownA] = [small[i]!, own.get(small[i]!)!]
    for (let j = i + 1; j < small.length; j++) {
      const b = small[j]!
      if (classes[a]!.patients + classes[b]!.patients >= threshold) continue
      const bound = Math.sqrt(ownA * own.get(b)!)
      if (ownA + own.get(b)! + 2 * bound < 2 - withinReach) continue
      if (ownA + own.get(b)! + 2 * share(a, b) > 2 - withinReach) {
        found.add(a)
        found.add(b)
      }
    }
  }
  return [...found].sort((left, right) => left - right)
}

/**
 * Whether some shared number, taken apart by the cells of the table, leaves too few: a count of a field that holds all of
 * some cells and nobody of others but for a few patients, however many classes those few are spread over, gives their
 * number away.
 *
 * @param classes classes of one summary; the first number of each is its cell of the table
 */
export function leavesTooFew(classes: readonly RowClass[], threshold: number): boolean {
  const cells = new Map<number, number>()
  const others = new Map<number, Map<number, number>>()
  for (const { countedIn, patients } of classes) {
    const [cell, ...rest] = countedIn
    cells.set(cell!, (cells.get(cell!) ?? 0) + patients)
    for (const number of rest) {
      const inside = others.get(number) ?? new Map<number, number>()
      inside.set(cell!, (inside.get(cell!) ?? 0) + patients)
      others.set(number, inside)
    }
  }
  return [...others.values()].some((inside) => {
    let left = 0
    for (const [cell, patients] of inside) left += Math.min(patients, cells.get(cell)! - patients)
    return left > 0 && left < threshold
  })
}

/** Coordinates of the classes asked for along the vectors of the basis, those that are not 0. */
function coordinatesOf(
  basis: readonly SparseVector[],
  wanted: readonly number[],
): ReadonlyMap<number, ReadonlyMap<number, number>> {
  const found = new Map(wanted.map((c) => [c, new Map<number, number>()]))
  basis.forEach(({ at, values }, vector) => {
    for (let i = 0; i < at.length; i++) found.get(at[i]!)?.set(vector, values[i]!)
  })
  return found
}

/** A unit vector by the positions at which it is not 0: most counts hold few classes and meet no other. */
interface SparseVector {
  readonly at: Int32Array
  readonly values: Float64Array
}

/** Orthonormal vectors that span the counts, by modified Gram–Schmidt, twice over so that rounding stays small. */
function orthonormalBasis(classes: readonly RowClass[]): readonly SparseVector[] {
  const holders = new Map<number, number[]>()
  classes.forEach(({ countedIn }, c) => {
    for (const number of countedIn) {
      const own = holders.get(number)
      if (own === undefined) holders.set(number, [c])
      else own.push(c)
    }
  })
  const basis: SparseVector[] = []
  const vector = new Float64Array(classes.length)
  // Small counts first: those of the table are disjoint, and so stay sparse.
  for (const held of [...holders.values()].sort((left, right) => left.length - right.length)) {
    vector.fill(0)
    for (const c of held) vector[c]! += 1
    const whole = length(vector)
    for (let pass = 0; pass < 2; pass++) for (const one of basis) takeOff(vector, one)
    const left = length(vector)
    if (left > 1e-10 * whole) basis.push(sparse(vector, left))
  }
  return basis
}

function sparse(vector: Float64Array, norm: number): SparseVector {
  const at: number[] = []
  for (let i = 0; i < vector.length; i++) if (vector[i] !== 0) at.push(i)
  return { at: Int32Array.from(at), values: Float64Array.from(at, (i) => vector[i]! / norm) }
}

function takeOff(vector: Float64Array, { at, values }: SparseVector): void {
  let along = 0
  for (let i = 0; i < at.length; i++) along += vector[at[i]!]! * values[i]!
  if (along === 0) return
  for (let i = 0; i < at.length; i++) vector[at[i]!]! -= along * values[i]!
}

function length(vector: Float64Array): number {
  let sum = 0
  for (let i = 0; i < vector.length; i++) sum += vector[i]! * vector[i]!
  return Math.sqrt(sum)
}
