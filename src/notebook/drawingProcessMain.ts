import { renderPng, renderSvg } from '../charts/render.js'
import { HoldfastError } from '../core/errors.js'
import type { DrawingAnswer, DrawingOrder } from './drawing.js'

/** Draws the charts that it is sent, one after the other, and ends where the kernel has let it go. */
async function answerOf({ order, specification, form }: DrawingOrder): Promise<DrawingAnswer> {
  try {
    const drawn = form === 'svg' ? await renderSvg(specification) : await renderPng(specification)
    return { order, drawn }
  } catch (thrown) {
    if (thrown instanceof HoldfastError) {
      const { code, problem, expected, mend } = thrown
      return { order, refused: { code, problem, expected, mend } }
    }
    return { order, fault: thrown instanceof Error ? thrown.message : String(thrown) }
  }
}

let last: Promise<unknown> = Promise.resolve()
process.once('disconnect', () => process.exit(0))
process.on('message', (message) => {
  last = last.then(async () => process.send!(await answerOf(message as DrawingOrder)))
})
