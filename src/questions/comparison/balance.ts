import { takenCodes } from '../../core/columns.js'
import { columnOfCells } from '../../statistics/numeric/filledCells.js'
import { covariateBalance } from '../../statistics/weighting/balance.js'
import type { Choice, ChoiceDesigns } from './choice.js'

/** How alike the groups are in one thing that is allowed for, before and after weighting. */
export interface BalanceOfOne {
  readonly key: string
  /**
   * Standardised difference in size, the largest of the levels of a category; absent where it cannot be had. After
   * weighting it is 0 but for rounding, since the scores are fitted by maximum likelihood.
   */
  readonly before?: number
  readonly after?: number
}

/** Whether the groups are alike, and how far who got which way could be foretold. */
export interface ChoiceBalance {
  readonly rows: readonly BalanceOfOne[]
  /** Restorations by their score, in steps of a twentieth from 0 to 1; those of operators with one way only have none. */
  readonly scores: { readonly group: readonly number[]; readonly against: readonly number[] }
}

/** Steps of the score between 0 and 1. */
export const scoreSteps = 20

/** Balance of what is allowed for in the first completed table, and the scores, averaged over the tables. */
export function balanceOf(designs: ChoiceDesigns, choice: Choice): ChoiceBalance {
  const { compared, entered, tables, operator } = designs
  const { inGroup } = compared
  const [table] = tables
  const weights = new Float64Array(inGroup.length)
  choice.kept.forEach((i, k) => {
    weights[i] = choice.scores[0]!.weight[k]!
  })
  const alike = (key: string, columns: Readonly<Record<string, Float64Array | readonly string[]>>) => {
    const { largestBefore: before, largestAfter: after } = covariateBalance(inGroup, columns, weights)
    return {
      key,
      ...(typeof before === 'number' ? { before } : {}),
      ...(typeof after === 'number' ? { after } : {}),
    }
  }
  const column = (at: number): Float64Array => columnOfCells(table!, at)
  const rows = entered.map(({ key, kind, from, columns }) => {
    if (kind === 'number') return alike(key, { [key]: column(from) })
    const levels = Array.from({ length: columns }, (_one, j) => column(from + j))
    // The level without a column of its own is what the others leave.
    const rest = Float64Array.from(inGroup, (_one, i) => 1 - levels.reduce((sum, one) => sum + one[i]!, 0))
    return alike(key, Object.fromEntries([rest, ...levels].map((one, j) => [`${key} ${j}`, one])))
  })
  const byOperator = new Set(operator).size > 1 ? [alike('operator', { operator })] : []
  return { rows: [...byOperator, ...rows], scores: scoresOf(choice) }
}

function scoresOf({ designs, kept, scores }: Choice): ChoiceBalance['scores'] {
  const counts = [0, 1].map(() => new Array<number>(scoreSteps).fill(0))
  const inGroup = takenCodes(designs.compared.inGroup, kept)
  for (let k = 0; k < kept.length; k++) {
    let mean = 0
    for (const { score } of scores) mean += score[k]! / scores.length
    counts[inGroup[k]!]![Math.min(scoreSteps - 1, Math.floor(mean * scoreSteps))]! += 1
  }
  return { group: counts[1]!, against: counts[0]! }
}
