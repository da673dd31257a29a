import type { ChartSpecification } from '../charts/specification.js'
import { UsageError } from '../core/errors.js'
import type { AuditResult } from '../questions/audit.js'
import { type MimeBundle, showBundle } from './mimeOutput.js'
import { bundleOf } from './valueDisplay.js'
import { isAudit } from './valueKinds.js'

/** What a cell can show: results, records, cohorts, charts, frames, single estimates, or a text (Markdown). */
export type Showable = ChartSpecification | AuditResult | object | string

/**
 * Shows values in the cell that runs, one below the other: charts, results, records, a cohort, frames, estimates,
 * texts. An audit may be followed by the name of one of its sections.
 *
 * @param value a chart specification, a text (Markdown), a result, or an audit
 * @param more further values; directly after an audit a text names its section, such as "answer" (which is shown
 *   where none is named), "fair", "methods" or, of the draft of a manuscript, "abstract" or "checklist"
 * @throws UsageError `no-such-section`, `cannot-show`
 * @example typeof (await show(incidence(cohort))) // => "undefined"
 */
export async function show(value: Showable, ...more: readonly Showable[]): Promise<void> {
  const [next] = more
  const section = typeof value === 'object' && isAudit(value) && typeof next === 'string' ? next : undefined
  showBundle(await bundleFor(value, section))
  const rest = section === undefined ? more : more.slice(1)
  if (rest.length > 0) await show(rest[0]!, ...rest.slice(1))
}

async function bundleFor(value: Showable, section: string | undefined): Promise<MimeBundle> {
  if (typeof value === 'string') return { 'text/markdown': value, 'text/plain': value }
  const known = typeof value === 'object' && value !== null
  if (known && section !== undefined && isAudit(value)) {
    const { sectionBundle, sectionNames } = await import('./auditSections.js')
    const bundle = await sectionBundle(value, section)
    if (bundle === undefined) throw noSuchSection(sectionNames(value), section)
    return bundle
  }
  if (known && value instanceof Promise) throw notAwaited()
  const bundle = known ? await bundleOf(value) : undefined
  if (bundle === undefined) throw cannotShow()
  return bundle
}

function noSuchSection(names: readonly string[], section: string): UsageError {
  return new UsageError({
    code: 'no-such-section',
    problem: `an audit has no section "${section}".`,
    expected: `one of ${names.join(', ')}.`,
    mend: 'name one of these.',
  })
}

/** A result that is still being made, since `await` was forgotten. */
export function notAwaited(): UsageError {
  return new UsageError({
    code: 'await-forgotten',
    problem: 'this result is not there yet.',
    expected: 'the result itself; what reads files, makes frames or writes has to be waited for.',
    mend: 'write await before the call, as in const records = await openRecords(folder).',
  })
}

function cannotShow(): UsageError {
  return new UsageError({
    code: 'cannot-show',
    problem: 'this is nothing that can be shown.',
    expected: 'a chart, a text, a result, records, a cohort, or a frame.',
    mend: 'pass such a value, or look at it with console.log.',
  })
}
