import { createRequire } from 'node:module'
import { message, speaker } from '../messages/index.js'
import { foreign } from '../messages/phrase.js'

const require = createRequire(import.meta.url)

/** Names of data frames, which are too much to load for a look at their names. */
const frameNames = ['DataFrame', 'Series', 'concat', 'merge', 'toDateTime', 'getDummies', 'LabelEncoder']

/**
 * What would mend what the compiler says of a cell, in words: the import that is missing, the package to install, the
 * `await` that was forgotten. Undefined for everything else.
 */
export function mendOf(said: string): string | undefined {
  const say = speaker()
  const name = /^Cannot find name '(\w+)'/.exec(said)?.[1]
  if (name !== undefined) {
    const from = packageWith(name)
    if (from === undefined) return say.text(message('cells.run-above', { name: foreign(name) }))
    return say.text(message('cells.import-missing', { name: foreign(name), from: foreign(from) }))
  }
  const missing = /^Cannot find module '([^'./][^']*)'/.exec(said)?.[1]
  if (missing !== undefined) return say.text(message('cells.package-missing', { name: foreign(missing) }))
  const unawaited =
    /'Promise<.*' is not assignable|does not exist on type 'Promise<|is missing in type 'Promise<|Type 'Promise<.*' is missing|overload matches this call.*'Promise</s
  return unawaited.test(said) ? say.text(message('cells.await-forgotten')) : undefined
}

function packageWith(name: string): string | undefined {
  if (frameNames.includes(name)) return 'danfojs-node'
  const simple = require('simple-statistics') as object
  return Object.hasOwn(simple, name) ? 'simple-statistics' : undefined
}

/** What is said where a cell was interrupted; undefined for any other error. */
export function interruptionOf(words: string): string | undefined {
  return /^(?:Error: )?(?:Interrupted asynchronously|Script execution was interrupted)/.test(words)
    ? speaker().text(message('cells.interrupted'))
    : undefined
}
