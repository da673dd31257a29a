import { message } from '../messages/message.js'
import { counted, say } from './estimateWords.js'
import type { ValueCell, ValueTable } from './valueTable.js'

/** What a data frame has, as far as it is shown. */
export interface FrameLike {
  readonly columns: readonly string[]
  readonly index: readonly (string | number)[]
  readonly shape: readonly number[]
  readonly values: readonly unknown[]
}

const shownRows = 20

/** Whether a value is a data frame or a series, recognised by shape so that nothing has to be loaded. */
export function isFrame(value: object): value is FrameLike {
  return ['columns', 'index', 'shape', 'values', 'dtypes'].every((name) => name in value) && '$data' in value
}

/** The first rows of a frame, with its size below. */
export function frameTable(frame: FrameLike): ValueTable {
  const { columns, index, shape } = frame
  const rows = frame.values.slice(0, shownRows).map((row, position) => {
    const cells = Array.isArray(row) ? (row as readonly unknown[]) : [row]
    return [String(index[position] ?? position), ...cells.map(cellText)]
  })
  const count = shape[0] ?? 0
  const more = count > shownRows ? say(message('shown.first-rows', { rows: shownRows })) : ''
  return {
    title: `${counted(count, 'row')} of ${counted(columns.length, 'column')}${more}`,
    columns: ['', ...columns.map(String)],
    rows,
  }
}

function cellText(value: unknown): ValueCell {
  if (value === null || value === undefined || (typeof value === 'number' && Number.isNaN(value)))
    return { text: say(message('shown.missing')) }
  if (typeof value !== 'number' || Number.isInteger(value)) return String(value)
  return String(Number(value.toPrecision(6)))
}
