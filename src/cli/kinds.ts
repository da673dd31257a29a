import { UsageError } from '../core/errors.js'
import { type AuditKind, auditKindNames } from '../documents/kinds/auditKindNames.js'

/** Kind of document, as the option names it; undefined where there is no option. */
export function kindOf(option: string | undefined): AuditKind | undefined {
  if (option === undefined) return undefined
  const named = auditKindNames.find((kind) => kind === option.trim().toLowerCase())
  if (named !== undefined) return named
  throw new UsageError({
    code: 'bad-kind',
    problem: '--kind names a kind of document that there is not.',
    expected: `one of ${auditKindNames.join(', ')}.`,
    mend: 'write --kind case-series.',
  })
}
