import { isoFromDay } from '../core/calendar.js'
import { UsageError } from '../core/errors.js'
import { type PaperName, type ReportFormat, usualFormats } from '../documents/formats/formats.js'
import type { Block, ReportDocument, Section } from '../documents/model/document.js'
import { chosenFormat } from '../documents/replaceFolder.js'
import type { WrittenReport } from '../documents/writeReport.js'
import { type Message, message, speaker } from '../messages/index.js'
import { foreign } from '../messages/phrase.js'
import { notAwaited } from './display.js'
import { writeReportApart } from './reportProcess.js'
import { today } from './today.js'
import { blocksOf, isGenerated } from './valueBlocks.js'
import { version } from './version.js'

/** How a report of chosen results is made. */
export interface ChosenReportOptions {
  readonly title: string
  /** Folder to write to, relative to that of the notebook. */
  readonly to: string
  /** Date of making (ISO); default: that of the machine. */
  readonly date?: string
  /** Formats beside the page; default Markdown, Word, and the figures as PNG. PDF needs a Chromium. */
  readonly formats?: readonly ReportFormat[]
  /** Paper of the pages of Word and PDF; default A4. */
  readonly paper?: PaperName
}

/**
 * Writes chosen results, one below the other, as a page that holds everything, for Word and as Markdown, with every table
 * as CSV and every chart as SVG, PNG (300 dots an inch) and specification beside it. A text that is a heading (`# …` or
 * `## …`) begins a part. An earlier report in the folder is replaced as a whole.
 *
 * @param chosen results, charts, frames and texts (Markdown), in their order
 * @param options title, folder, date of making, formats and paper
 * @throws UsageError `cannot-show`, `await-forgotten`; `folder-in-use` where the folder holds anything but a report
 * @example (await report([incidence(cohort)], { title: 'How often', to: `${scratch}/chosen`, date: '2026-01-31' })).files.slice(0, 3) // => ["report.html","report.md","report.docx"]
 */
export async function report(
  chosen: readonly (object | string)[],
  options: ChosenReportOptions,
): Promise<WrittenReport> {
  const { title, to, date = isoFromDay(today()), formats = [...usualFormats, 'png'], paper = 'a4' } = options
  const document = await chosenDocument(chosen, title, date)
  return writeReportApart(
    { kind: 'chosen', document, results: {}, provenance: { format: chosenFormat }, version },
    { outDir: to, formats, paper },
  )
}

/** The document of chosen results. */
export async function chosenDocument(
  chosen: readonly (object | string)[],
  title: string,
  date: string,
): Promise<ReportDocument> {
  const by = speaker()
  const parts: { title: string; blocks: Block[] }[] = [
    { title: by.text(message('asked.results')), blocks: [] },
  ]
  for (const one of chosen) {
    for (const block of await shown(one)) {
      if (block.kind === 'title') parts.push({ title: block.text, blocks: [] })
      else parts.at(-1)!.blocks.push(block)
    }
  }
  const named = numbered(parts.filter(({ blocks }) => blocks.length > 0))
  const cautions: readonly Message[] = [message('asked.cautions')]
  const [first, ...rest] = named
  if (first === undefined) throw nothingChosen()
  const aside = {
    title: by.text(message('changes.read-with-care')),
    blocks: [{ kind: 'list', items: cautions.map(by.phrase) } as const],
  }
  return {
    title: [foreign(title)],
    kicker: by.text(message('asked.kicker')),
    summary: by.phrase(message('asked.made', { version })),
    generated: chosen.some(isGenerated),
    date,
    sections: [{ ...first, aside }, ...rest],
  }
}

async function shown(one: object | string): Promise<NonNullable<Awaited<ReturnType<typeof blocksOf>>>> {
  if (one instanceof Promise) throw notAwaited()
  const known = typeof one === 'string' || (typeof one === 'object' && one !== null)
  const blocks = known ? await blocksOf(one) : undefined
  if (blocks === undefined) throw notShown()
  return blocks
}

/** Parts with names to point to; tables and figures of which several are called alike are told apart by a number. */
function numbered(
  parts: readonly { readonly title: string; readonly blocks: readonly Block[] }[],
): readonly Section[] {
  const counts = new Map<string, number>()
  const unique = (id: string): string => {
    const count = (counts.get(id) ?? 0) + 1
    counts.set(id, count)
    const always = id === 'table-table' || id === 'figure-figure'
    return count === 1 && !always ? id : `${id}-${count}`
  }
  const named = parts.map(({ title, blocks }, index) => ({
    id: index === 0 ? 'results' : `part-${index + 1}`,
    title,
    blocks: blocks.map((block) =>
      block.kind === 'table' || block.kind === 'figure' ? { ...block, id: unique(block.id) } : block,
    ),
  }))
  const targets = new Set(
    named.flatMap(({ id, blocks }) => [id, ...blocks.map((one) => ('id' in one ? one.id : ''))]),
  )
  return withoutDeadPointers(named, targets)
}

/** Pointers to what was not chosen become their words. */
function withoutDeadPointers<Value>(value: Value, targets: ReadonlySet<string>): Value {
  if (Array.isArray(value)) return value.map((one) => withoutDeadPointers(one, targets)) as Value
  if (typeof value !== 'object' || value === null) return value
  const fields = value as Readonly<Record<string, unknown>>
  if (fields.kind === 'pointer' && !targets.has(String(fields.target))) return fields.text as Value
  return Object.fromEntries(
    Object.entries(fields).map(([name, one]) => [
      name,
      // Specifications of charts hold no running text.
      name === 'page' || name === 'column' ? one : withoutDeadPointers(one, targets),
    ]),
  ) as Value
}

function notShown(): UsageError {
  return new UsageError({
    code: 'cannot-show',
    problem: 'one of the things chosen for the report cannot be shown.',
    expected: 'results, charts, frames and texts, as a list.',
    mend: 'pass such as [incidence(cohort), "a text"].',
  })
}

function nothingChosen(): UsageError {
  return new UsageError({
    code: 'cannot-show',
    problem: 'nothing was chosen for the report.',
    expected: 'at least one result, chart, frame or text below a heading.',
    mend: 'pass such as [incidence(cohort), "a text"].',
  })
}
