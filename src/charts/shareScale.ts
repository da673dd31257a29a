/** Domain and ticks of an axis of shares. */
export interface ShareScale {
  readonly domain: readonly [number, number]
  readonly ticks: readonly number[]
}

/** Ends and steps of the axis in per cent, so that ticks are exact decimals. */
const lowEnds = [
  [98, 0.5],
  [95, 1],
  [90, 2],
  [85, 5],
  [80, 5],
  [75, 5],
  [70, 5],
  [65, 5],
  [60, 10],
  [50, 10],
  [0, 20],
] as const

const highEnds = [
  [2, 0.5],
  [5, 1],
  [10, 2],
  [15, 5],
  [20, 5],
  [25, 5],
  [30, 5],
  [35, 5],
  [40, 10],
  [50, 10],
  [60, 10],
  [80, 20],
  [100, 20],
] as const

/** Axis from 100% down to a round end at or below the lowest value drawn; half and below goes down to 0. */
export function shareScaleDown(lowest: number): ShareScale {
  const [end, step] = lowEnds.find(([low]) => lowest * 100 >= low) ?? lowEnds.at(-1)!
  return { domain: [end / 100, 1], ticks: percentTicks(end, 100, step) }
}

/** Axis from 0 up to a round end at or above the highest value drawn; up to 10% where there is nothing to draw. */
export function shareScaleUp(highest: number): ShareScale {
  if (highest === 0) return { domain: [0, 0.1], ticks: percentTicks(0, 10, 2) }
  const [end, step] = highEnds.find(([high]) => highest * 100 <= high) ?? highEnds.at(-1)!
  return { domain: [0, end / 100], ticks: percentTicks(0, end, step) }
}

function percentTicks(from: number, to: number, step: number): number[] {
  const count = Math.round((to - from) / step)
  return Array.from({ length: count + 1 }, (_, index) => (from + index * step) / 100)
}
