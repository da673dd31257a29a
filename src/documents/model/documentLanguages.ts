import { UsageError } from '../../core/errors.js'
import { unknownName } from '../../core/names.js'
import { firstLanguage, languages } from '../../messages/catalogue.js'
import type { DocumentLength } from '../formats/formats.js'
import type { AuditKind } from '../kinds/auditKindNames.js'

/** Documents that are whole in some languages: the lengths of an audit, its slides, what leaves of it, other kinds. */
export type TranslatedDocument = DocumentLength | 'slides' | 'outside' | Exclude<AuditKind, 'audit'>

/** Languages in which a document is whole; a test makes each and looks for words that were left in English. */
export const documentLanguages: Readonly<Record<TranslatedDocument, readonly string[]>> = Object.freeze({
  summary: Object.freeze([firstLanguage, 'de', 'es', 'fr']),
  report: Object.freeze([firstLanguage, 'de']),
  supplement: Object.freeze([firstLanguage, 'de']),
  slides: Object.freeze([firstLanguage, 'de', 'es', 'fr']),
  outside: Object.freeze([firstLanguage]),
  'case-series': Object.freeze([firstLanguage]),
  leaflet: Object.freeze([firstLanguage, 'de', 'es', 'fr']),
})

/** How each is asked for. */
const asked: Readonly<Record<TranslatedDocument, string>> = {
  summary: 'summary',
  report: 'report',
  supplement: 'supplement',
  slides: 'slides',
  outside: '--outside',
  'case-series': '--kind case-series',
  leaflet: '--kind leaflet',
}

/** The document that decides in which languages a kind is made: of an audit, its shortest. */
export function leadingDocument(kind: AuditKind): TranslatedDocument {
  return kind === 'audit' ? 'summary' : kind
}

/**
 * The language of a document, where the document is wholly there in it.
 *
 * @throws UsageError `unknown-name` for a language that there is not, `document-language` where the document is not whole in it
 */
export function languageOf(language: string | undefined, document: TranslatedDocument): string {
  if (language === undefined) return firstLanguage
  const named = language.trim().toLowerCase()
  if (!languages().includes(named)) throw unknownName('language', language, languages())
  if (documentLanguages[document].includes(named)) return named
  const others = Object.entries(documentLanguages)
    .filter(([, there]) => there.includes(named))
    .map(([other]) => asked[other as TranslatedDocument])
  throw new UsageError({
    code: 'document-language',
    problem: `the document ${document} is not wholly there in the language ${named}.`,
    expected: `one of ${documentLanguages[document].join(', ')}.`,
    mend: `in ${named} there is: ${others.join(', ')}.`,
  })
}

/** Language of a document of several: the one asked for where it is whole in it, else the first. */
export function languageAmong(language: string | undefined, document: TranslatedDocument): string {
  return language !== undefined && documentLanguages[document].includes(language) ? language : firstLanguage
}
