import type { MimeBundle } from './mimeOutput.js'

/** The form of an output that only a page for small screens shows; it is left out of notebooks that are written. */
export const narrowMime = 'application/x-holdfast-narrow+svg'

/** Variable of the environment by which a runner asks for pictures that fit a small screen, beside the usual ones. */
export const narrowWanted = 'HOLDFAST_NARROW'

const makers = new WeakMap<object, () => object>()

/** A function that draws, which remembers how each chart is made for a small screen. */
export function rememberingNarrow(draw: (...words: unknown[]) => unknown): (...words: unknown[]) => unknown {
  return (...words) => {
    const chart = draw(...words)
    if (process.env[narrowWanted] === '1' && typeof chart === 'object' && chart !== null) {
      makers.set(chart, () => draw(...atColumn(words)) as object)
    }
    return chart
  }
}

/** The words of a call with the size of a column among its options, which come last. */
function atColumn(words: readonly unknown[]): readonly unknown[] {
  const last = words.at(-1)
  const given =
    words.length > 1 &&
    typeof last === 'object' &&
    last !== null &&
    !Array.isArray(last) &&
    !Object.isFrozen(last)
  return given ? [...words.slice(0, -1), { ...last, size: 'column' }] : [...words, { size: 'column' }]
}

/** A chart for a small screen; undefined where none is wanted, or only the user knows how it is made. */
export function narrowOf(chart: object): object | undefined {
  try {
    return makers.get(chart)?.()
  } catch {
    return undefined
  }
}

/** Whether a runner wants pictures for a small screen. */
export function wantsNarrow(): boolean {
  return process.env[narrowWanted] === '1'
}

/** An output without what only a page shows. */
export function withoutNarrow(data: MimeBundle): MimeBundle {
  const { [narrowMime]: _narrow, ...rest } = data
  return rest
}
