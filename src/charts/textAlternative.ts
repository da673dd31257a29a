import { message, speaker } from '../messages/index.js'

interface Channel {
  readonly field?: unknown
  readonly title?: unknown
  readonly aggregate?: unknown
}

/** Channels in the order in which a reader is told of them. */
const channels = ['x', 'y', 'theta', 'color', 'column', 'row', 'facet', 'size', 'shape', 'text'] as const

/**
 * Text alternative of a Vega-Lite specification: its own description where it has one, else what it draws by its mark,
 * its encoding and the number of rows.
 */
export function textAlternative(specification: object): string {
  const { description, title } = specification as { description?: unknown; title?: unknown }
  if (typeof description === 'string' && description !== '') return description
  const say = speaker()
  const parts = partsOf(specification)
  const heading = typeof title === 'string' ? [title] : []
  const words = parts.map(({ mark, encoding, rows }) => {
    const shown = channels
      .filter((name) => encoding[name] !== undefined)
      .map((name) => say.text(message('asked.channel', { channel: name, field: fieldOf(encoding[name]!) })))
    return say.text(message('asked.mark', { mark, channels: shown.join(', '), rows }))
  })
  return [...heading, ...words].join('. ')
}

interface Part {
  readonly mark: string
  readonly encoding: Readonly<Record<string, Channel>>
  readonly rows: number
}

function partsOf(specification: object, above: Partial<Part> = {}): readonly Part[] {
  const one = specification as Record<string, unknown>
  const data = one.data as { values?: unknown } | undefined
  const rows = Array.isArray(data?.values) ? data.values.length : (above.rows ?? 0)
  const encoding = { ...above.encoding, ...(one.encoding as Part['encoding'] | undefined) }
  const inner = ['layer', 'hconcat', 'vconcat', 'concat'].flatMap((name) =>
    Array.isArray(one[name]) ? (one[name] as object[]) : [],
  )
  const all = typeof one.spec === 'object' && one.spec !== null ? [...inner, one.spec] : inner
  if (one.mark === undefined) return all.flatMap((part) => partsOf(part, { rows, encoding }))
  const mark = typeof one.mark === 'string' ? one.mark : String((one.mark as { type?: unknown }).type)
  return [{ mark, encoding, rows }]
}

function fieldOf({ field, title, aggregate }: Channel): string {
  const name = String(title ?? field ?? '')
  return [aggregate, name].filter((word) => word !== undefined && word !== '').join(' ')
}
