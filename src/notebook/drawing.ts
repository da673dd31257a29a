import { type ChildProcess, fork } from 'node:child_process'
import { fileURLToPath } from 'node:url'
import { renderPng, renderSvg } from '../charts/render.js'
import type { ChartSpecification } from '../charts/specification.js'
import { UsageError } from '../core/errors.js'

/** What the drawing process is asked for. */
export interface DrawingOrder {
  readonly order: number
  readonly specification: ChartSpecification | object
  readonly form: 'svg' | 'png'
}

/** What it answers. */
export type DrawingAnswer = { readonly order: number } & (
  | { readonly drawn: string | Uint8Array }
  | { readonly refused: Record<'code' | 'problem' | 'expected' | 'mend', string> }
  | { readonly fault: string }
)

interface Waiting {
  readonly by: ChildProcess
  readonly done: (drawn: string | Uint8Array) => void
  readonly fail: (error: unknown) => void
}

const processFile = fileURLToPath(new URL('./drawingProcessMain.js', import.meta.url))

/** Milliseconds after the last picture at which the drawing process is let go. */
const idleMilliseconds = 8000

let apart = false
let child: ChildProcess | undefined
let idle: NodeJS.Timeout | undefined
let orders = 0
const waiting = new Map<number, Waiting>()

/**
 * From here on pictures are drawn in a process of its own, which ends when none is wanted for some seconds: the hundred
 * megabytes that drawing takes are given back, and are not those of the kernel.
 */
export function drawApart(): void {
  apart = true
}

/** Lets the drawing process go where nothing is waited for: what comes next needs the memory. The next picture starts another. */
export function restDrawing(): void {
  if (waiting.size > 0) return
  const done = child
  child = undefined
  done?.disconnect()
}

/** A chart as an SVG document, as `renderSvg` draws it. */
export async function drawnSvg(specification: ChartSpecification | object): Promise<string> {
  return apart ? ((await ordered(specification, 'svg')) as string) : renderSvg(specification)
}

/** A chart as PNG at 300 dots an inch, as `renderPng` draws it. */
export async function drawnPng(specification: ChartSpecification | object): Promise<Uint8Array> {
  return apart ? ((await ordered(specification, 'png')) as Uint8Array) : renderPng(specification)
}

function ordered(
  specification: ChartSpecification | object,
  form: DrawingOrder['form'],
): Promise<string | Uint8Array> {
  clearTimeout(idle)
  const order = orders++
  const drawing = running()
  return new Promise((done, fail) => {
    waiting.set(order, { by: drawing, done, fail })
    drawing.send({ order, specification, form } satisfies DrawingOrder, (error) => {
      if (error !== null) settled(order)?.fail(error)
    })
  })
}

function running(): ChildProcess {
  if (child !== undefined) return child
  const started = fork(processFile, [], {
    serialization: 'advanced',
    stdio: ['ignore', 'ignore', 'ignore', 'ipc'],
    execArgv: [],
  })
  started.on('message', (message) => {
    const answer = message as DrawingAnswer
    const waiter = settled(answer.order)
    if ('drawn' in answer) waiter?.done(answer.drawn)
    else waiter?.fail('refused' in answer ? new UsageError(answer.refused) : new Error(answer.fault))
  })
  started.once('exit', () => {
    if (child === started) child = undefined
    for (const [order, { by }] of [...waiting]) {
      if (by === started) settled(order)?.fail(new Error('the drawing process has ended'))
    }
  })
  child = started
  return started
}

/** Takes an order off the list; the process goes once nothing has been waited for long enough. */
function settled(order: number): Waiting | undefined {
  const waiter = waiting.get(order)
  waiting.delete(order)
  if (waiting.size === 0) {
    clearTimeout(idle)
    idle = setTimeout(restDrawing, idleMilliseconds)
    idle.unref()
  }
  return waiter
}
