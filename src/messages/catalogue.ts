import { existsSync, readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { unknownName } from '../core/names.js'

/** The language that every message has; what another language lacks is said in it. */
export const firstLanguage = 'en'

const root = import.meta.dirname

const catalogues = new Map<string, ReadonlyMap<string, string>>()

/** Languages that there are: one folder each beside this file. */
export function languages(): readonly string[] {
  return readdirSync(root, { withFileTypes: true })
    .filter((entry) => entry.isDirectory())
    .map(({ name }) => name)
    .sort()
}

/**
 * Messages of a language by their codes.
 *
 * @throws UsageError `unknown-name`
 */
export function catalogueOf(language: string): ReadonlyMap<string, string> {
  const known = catalogues.get(language)
  if (known !== undefined) return known
  const folder = join(root, language)
  if (!/^[a-z]{2,3}(-[A-Za-z0-9]+)*$/.test(language) || !existsSync(folder))
    throw unknownName('language', language, languages())
  const catalogue = readCatalogue(folder)
  catalogues.set(language, catalogue)
  return catalogue
}

/** Messages of a folder of JSON files, each a flat object from code to text. */
export function readCatalogue(folder: string): ReadonlyMap<string, string> {
  const entries = readdirSync(folder)
    .filter((name) => name.endsWith('.json'))
    .sort()
    .flatMap((name) =>
      Object.entries(JSON.parse(readFileSync(join(folder, name), 'utf8')) as Record<string, string>),
    )
  return new Map(entries)
}
