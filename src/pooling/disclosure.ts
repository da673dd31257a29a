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
  const basis = orthonormalBasis(classes)
  const share = (a: number, b: number): number => {
    let sum = 0
    for (const vector of basis) sum += vector[a]! * vector[b]!
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

/** Orthonormal vectors that span the counts, by modified Gram–Schmidt, twice over so that rounding stays small. */
function orthonormalBasis(classes: readonly RowClass[]): readonly Float64Array[] {
  const vectors = new Map<number, Float64Array>()
  classes.forEach(({ countedIn }, c) => {
    for (const number of countedIn) {
      const vector = vectors.get(number) ?? new Float64Array(classes.length)
      vector[c]! += 1
      vectors.set(number, vector)
    }
  })
  const basis: Float64Array[] = []
  for (const vector of vectors.values()) {
    const whole = length(vector)
    for (let pass = 0; pass < 2; pass++) for (const one of basis) takeOff(vector, one)
    const left = length(vector)
    if (left <= 1e-10 * whole) continue
    basis.push(vector.map((value) => value / left))
  }
  return basis
}

function takeOff(vector: Float64Array, unit: Float64Array): void {
  let along = 0
  for (let i = 0; i < vector.length; i++) along += vector[i]! * unit[i]!
  if (along === 0) return
  for (let i = 0; i < vector.length; i++) vector[i]! -= along * unit[i]!
}

function length(vector: Float64Array): number {
  return Math.sqrt(vector.reduce((sum, value) => sum + value * value, 0))
}
