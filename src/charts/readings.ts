/** A box of a picture, in pixels from its upper left corner, with what a reader is told who points there. */
export interface ChartReading {
  readonly left: number
  readonly top: number
  readonly right: number
  readonly bottom: number
  /** Which of the marks it belongs to, such as one curve among several: 0, 1, 2… in the order of drawing. */
  readonly layer: number
  /** One line or more: what is pointed at, then what it shows. */
  readonly text: string
}

/** The part of the scene graph of Vega that holds marks and their items. */
interface SceneMark {
  readonly marktype?: string
  readonly items?: readonly SceneItem[]
}

interface SceneItem {
  readonly x?: number
  readonly y?: number
  readonly tooltip?: unknown
  readonly bounds?: { readonly x1: number; readonly y1: number; readonly x2: number; readonly y2: number }
  readonly items?: readonly SceneMark[]
}

/**
 * What can be read off a drawn chart by pointing at it: every mark that carries a tooltip, with the box that it takes.
 *
 * @param root top of the scene graph of a Vega view that has been run
 * @param padding room of the picture left of and above the plot
 */
export function chartReadings(
  root: object,
  padding: { readonly left: number; readonly top: number },
): readonly ChartReading[] {
  const readings: ChartReading[] = []
  const layers = new Map<SceneMark, number>()
  const visit = (mark: SceneMark, left: number, top: number): void => {
    for (const item of mark.items ?? []) {
      if (mark.marktype === 'group') {
        for (const inner of item.items ?? []) visit(inner, left + (item.x ?? 0), top + (item.y ?? 0))
      } else if (typeof item.tooltip === 'string' && item.bounds !== undefined) {
        const { x1, y1, x2, y2 } = item.bounds
        if (!layers.has(mark)) layers.set(mark, layers.size)
        readings.push({
          left: Math.round(left + x1),
          top: Math.round(top + y1),
          right: Math.round(left + x2),
          bottom: Math.round(top + y2),
          layer: layers.get(mark)!,
          text: item.tooltip,
        })
      }
    }
  }
  visit(root as SceneMark, padding.left, padding.top)
  return readings
}
