import { UsageError } from '../core/errors.js'
import { unknownName } from '../core/names.js'
import { firstLanguage, languages } from '../messages/catalogue.js'
import type { AuditKind } from './auditKindNames.js'

/** Languages in which a kind of document is whole; a test makes each and looks for words that were left in English. */
export const documentLanguages: Readonly<Record<AuditKind, readonly string[]>> = Object.freeze({
  audit: Object.freeze([firstLanguage]),
  'case-series': Object.freeze([firstLanguage]),
  leaflet: Object.freeze([firstLanguage, 'de', 'es', 'fr']),
})

/**
 * The language of a document, where the document is wholly there in it.
 *
 * @throws UsageError `unknown-name` for a language that there is not, `document-language` where the document is not whole in it
 */
export function languageOf(language: string | undefined, kind: AuditKind = 'audit'): string {
  if (language === undefined) return firstLanguage
  const named = language.trim().toLowerCase()
  if (!languages().includes(named)) throw unknownName('language', language, languages())
  if (documentLanguages[kind].includes(named)) return named
  const others = Object.entries(documentLanguages)
    .filter(([, there]) => there.includes(named))
    .map(([other]) => `--kind ${other}`)
  throw new UsageError({
    code: 'document-language',
    problem: `the document of kind ${kind} is not wholly there in the language ${named}.`,
    expected: `one of ${documentLanguages[kind].join(', ')}.`,
    mend: `in ${named} there is: ${others.join(', ')}.`,
  })
}
