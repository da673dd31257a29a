import type { FineGrayDesign } from './fineGrayDesign.js'
import type { FineGraySums } from './fineGrayLikelihood.js'

/**
 * Score of each cluster at the fit, row-major clusters × size: what its rows add to the score, and, unless the weights
 * are taken as known, what they add through the estimated distribution of censoring (Fine and Gray 1999, appendix).
 * Linear in rows and cells.
 */
export function fineGrayClusterScores(
  design: FineGrayDesign,
  sums: FineGraySums,
  clusters: { readonly codes: Int32Array; readonly count: number },
  censoringEstimated: boolean,
): Float64Array {
  const { size } = design
  const scores = new Float64Array(clusters.count * size)
  addScoreResiduals(design, sums, clusters.codes, scores)
  if (censoringEstimated) addCensoringResiduals(design, sums, clusters.codes, scores)
  return scores
}

/** Running sums of a column of `size` entries per cell, with one more cell before the first. */
function runningSums(cells: number, size: number, entry: (at: number, c: number) => number): Float64Array {
  const sums = new Float64Array((cells + 1) * size)
  for (let at = 0; at < cells * size; at++) {
    sums[at + size] = sums[at]! + entry(at, size === 1 ? at : Math.floor(at / size))
  }
  return sums
}

function addScoreResiduals(
  design: FineGrayDesign,
  sums: FineGraySums,
  cluster: Int32Array,
  scores: Float64Array,
): void {
  const { cells, size, x, cell, outcome, uncensoredBefore } = design
  const hazard = runningSums(cells, 1, (at) => sums.hazard[at]!)
  const hazardMean = runningSums(cells, size, (at) => sums.hazardMean[at]!)
  const later = runningSums(cells, 1, (at) => uncensoredBefore[at]! * sums.hazard[at]!)
  const laterMean = runningSums(cells, size, (at, c) => uncensoredBefore[c]! * sums.hazardMean[at]!)
  for (let place = 0; place < design.rows; place++) {
    const c = cell[place]!
    const isEvent = outcome[place] === 1
    const isCompeting = outcome[place] === 2
    const risk = sums.risk[place]!
    const carried = isCompeting ? risk / uncensoredBefore[c]! : 0
    const from = design.entryCell?.[place] ?? 0
    const weight = design.weight?.[place] ?? 1
    const exposure = (isEvent ? hazard[c]! + sums.eventHazard[c]! : hazard[c + 1]!) - hazard[from]!
    for (let j = 0; j < size; j++) {
      const own = x[place * size + j]!
      const at = c * size + j
      const mean =
        (isEvent ? hazardMean[at]! + sums.eventHazardMean[at]! : hazardMean[at + size]!) -
        hazardMean[from * size + j]!
      let score = -risk * (own * exposure - mean)
      if (isEvent) score += weight * (own - sums.mean[at]!)
      if (isCompeting) {
        score -=
          carried *
          (own * (later[cells]! - later[c + 1]!) - (laterMean[cells * size + j]! - laterMean[at + size]!))
      }
      scores[cluster[place]! * size + j]! += score
    }
  }
}

function addCensoringResiduals(
  design: FineGrayDesign,
  sums: FineGraySums,
  cluster: Int32Array,
  scores: Float64Array,
): void {
  const { cells, size, cell, outcome, uncensoredBefore, censored, atRiskOfCensoring } = design
  const later = runningSums(cells, 1, (at) => uncensoredBefore[at]! * sums.hazard[at]!)
  const laterMean = runningSums(cells, size, (at, c) => uncensoredBefore[c]! * sums.hazardMean[at]!)
  // how the score answers to censoring at the cell: competing events before it, weighed down from then on
  const answer = new Float64Array(cells * size)
  for (let c = 0; c < cells; c++) {
    for (let j = 0; j < size; j++) {
      const at = c * size + j
      answer[at] =
        sums.carriedX[at]! * (later[cells]! - later[c]!) -
        sums.carried[c]! * (laterMean[cells * size + j]! - laterMean[at]!)
    }
  }
  const expected = runningSums(cells, size, (at, c) =>
    censored[c] === 0 ? 0 : (answer[at]! * censored[c]!) / atRiskOfCensoring[c]! ** 2,
  )
  for (let place = 0; place < design.rows; place++) {
    const c = cell[place]!
    const isCensored = outcome[place] === 0
    const weight = design.weight?.[place] ?? 1
    // events that leave before the censorings of their time were not at risk of them
    const through = design.censoringTies === 'events-first' && !isCensored ? c : c + 1
    for (let j = 0; j < size; j++) {
      const own = isCensored ? answer[c * size + j]! / atRiskOfCensoring[c]! : 0
      scores[cluster[place]! * size + j]! += weight * (own - expected[through * size + j]!)
    }
  }
}
