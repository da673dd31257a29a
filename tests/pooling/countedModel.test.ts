import { describe, expect, it } from 'vitest'
import { countedOuterProducts, countedSums, type ModelClass } from '../../src/pooling/countedModel.js'
import { finestGrouping } from '../../src/pooling/fineCounts.js'
import { modelRows } from '../../src/pooling/modelRows.js'
import { modelOuterProducts, modelSums } from '../../src/pooling/modelSums.js'
import { stratumLevels } from '../../src/pooling/siteRows.js'
import { agreedOn } from './demoGroup.js'
import { syntheticRows } from './syntheticRows.js'

const { protocol } = agreedOn({
  gridDays: [0, 90, 180, 365, 730, 1095],
  model: { covariates: [{ field: 'opposing', levels: ['natural', 'ceramic', 'metal'] }] },
})
const levels = stratumLevels(protocol).length
const plan = {
  grouping: finestGrouping(levels),
  ends: Array.from({ length: levels }, () => [0, 1, 2, 3, 4, 5]),
}

describe.each([0, 0.4])('the model from counts, late entries of %d', (lateShare) => {
  const rows = syntheticRows(protocol, {
    clinic: 'A',
    patients: 300,
    eventShare: 0.3,
    competingShare: 0.1,
    lateShare,
    seed: 4,
  })
  const taken = modelRows(rows, protocol, plan)
  const columns = Object.values(taken.columns)
  const ends = protocol.gridDays
  const entryOf = (row: number): number => {
    const start = 'start' in taken.times ? taken.times.start[row]! : -1
    return start < 0 ? 0 : ends.indexOf(start) + 1
  }
  const exitOf = (row: number): number =>
    ends.indexOf('stop' in taken.times ? taken.times.stop[row]! : taken.times.time[row]!)
  const classes = taken.kept.map(
    (_row, i): ModelClass => ({
      block: taken.block[i]!,
      covariates: columns.map((column) => column[i]!),
      event: taken.times.event[i] === 1,
      exit: exitOf(i),
      entry: entryOf(i),
      restorations: 1,
    }),
  )

  it.each([[[0, 0, 0]], [[0.7, -0.4, 1.1]]])('equals that of the rows at %j', (coefficients) => {
    const [counted, expected] = [countedSums(together(classes), coefficients), modelSums(taken, coefficients)]
    expect(counted.logLikelihood).toBeCloseTo(expected.logLikelihood, 8)
    for (const [a, score] of expected.score.entries()) expect(counted.score[a]).toBeCloseTo(score, 9)
    for (const [a, row] of expected.information.entries())
      for (const [b, value] of row.entries()) expect(counted.information[a]![b]).toBeCloseTo(value, 9)
    const outer = countedOuterProducts(together(classes), counted)
    for (const [a, row] of modelOuterProducts(taken, coefficients, false).entries())
      for (const [b, value] of row.entries()) expect(outer[a]![b]).toBeCloseTo(value, 9)
  })
})

/** Equal classes as one. */
function together(classes: readonly ModelClass[]): readonly ModelClass[] {
  const found = new Map<string, ModelClass>()
  for (const one of classes) {
    const key = JSON.stringify({ ...one, restorations: 0 })
    const restorations = (found.get(key)?.restorations ?? 0) + one.restorations
    found.set(key, { ...one, restorations })
  }
  return [...found.values()]
}
