/**
 * Makes src/messages/parameters.ts from the English catalogue: what each message needs, for the compiler to check. Makes
 * src/core/codes.ts as well: the codes of reasons, warnings and terms of methods, for results that know no words.
 *
 *   node scripts/messageTypes.mjs                writes the files
 *   node scripts/messageTypes.mjs --print        prints the first
 *   node scripts/messageTypes.mjs --print codes  prints the second
 */
import { readdirSync, readFileSync, writeFileSync } from 'node:fs'
import { join, resolve } from 'node:path'
import { parse, TYPE } from '@formatjs/icu-messageformat-parser'

const root = resolve(import.meta.dirname, '../src/messages')

/** Messages of a folder by code; a code that stands twice, or a file that is out of order, is refused. */
export function messagesOf(folder) {
  const messages = new Map()
  for (const name of readdirSync(folder)
    .filter((one) => one.endsWith('.json'))
    .sort()) {
    const text = readFileSync(join(folder, name), 'utf8')
    for (const [code, words] of Object.entries(JSON.parse(text))) {
      if (messages.has(code)) throw new Error(`the message ${code} stands twice`)
      messages.set(code, words)
    }
  }
  return messages
}

/** What a message needs: the name of each parameter with its type. */
export function parametersOf(words, code) {
  const found = new Map()
  const add = (name, type) => {
    const earlier = found.get(name)
    if (earlier === undefined || earlier === 'Part') found.set(name, type)
    else if (type !== 'Part' && type !== earlier) throw new Error(`${name} is used in two ways`)
  }
  const walk = (elements) => {
    for (const element of elements) {
      if (element.type === TYPE.argument) add(element.value, 'Part')
      if (element.type === TYPE.number) add(element.value, 'CountPart')
      if (element.type === TYPE.date) add(element.value, 'number')
      if (element.type === TYPE.plural) add(element.value, 'CountPart')
      if (element.type === TYPE.select) {
        const choices = Object.keys(element.options).filter((one) => one !== 'other')
        add(element.value, [...choices.map((one) => `'${one}'`), "'other'"].join(' | '))
      }
      if (element.type === TYPE.pound) throw new Error('write the name of the number rather than #')
      if (element.type === TYPE.tag) walk(element.children)
      for (const option of Object.values(element.options ?? {})) walk(option.value)
    }
  }
  try {
    walk(parse(words))
  } catch (error) {
    throw new Error(`${code}: ${error.message}`)
  }
  return found
}

/** The file of types. */
export function typesOf(messages) {
  const own = [...messages.keys()].filter((code) => !/^(?:reason|warning|method)\./.test(code))
  const lines = own.sort().map((code) => {
    const parameters = [...parametersOf(messages.get(code), code)].sort(([left], [right]) =>
      left < right ? -1 : 1,
    )
    const fields = parameters.map(([name, type]) => `readonly ${name}: ${type}`)
    return `  readonly '${code}': ${fields.length === 0 ? 'Nothing' : `{ ${fields.join('; ')} }`}`
  })
  return `// Made by scripts/messageTypes.mjs from the catalogue in en/; run it after a change there.
import type { CountPart, Part } from './phrase.js'
import type { WordedMethods, WordedReasons, WordedWarnings } from './wordedCodes.js'

type Nothing = Readonly<Record<never, never>>

/** What every message needs. */
export interface MessageParameters extends WordedMethods, WordedReasons, WordedWarnings {
${lines.join('\n')}
}
`
}

/** The file of codes: what each reason, warning and term of a method needs, in plain values. */
export function codesOf(messages) {
  const plain = { Part: 'Plain', CountPart: 'number' }
  const listed = (area) =>
    [...messages.keys()]
      .filter((code) => code.startsWith(`${area}.`))
      .sort()
      .map((code) => {
        const parameters = [...parametersOf(messages.get(code), code)].sort(([left], [right]) =>
          left < right ? -1 : 1,
        )
        const fields = parameters.map(([name, type]) => `readonly ${name}: ${plain[type] ?? type}`)
        const needs = fields.length === 0 ? 'Nothing' : `{ ${fields.join('; ')} }`
        return `  readonly '${code.slice(area.length + 1)}': ${needs}`
      })
      .join('\n')
  return `// Made by scripts/messageTypes.mjs from the messages of reasons, warnings and methods; run it after a change there.

type Nothing = Readonly<Record<never, never>>
export type Plain = string | number | readonly (string | number)[]

/** What the words of every reason need. */
export interface ReasonParameters {
${listed('reason')}
}

/** What the words of every warning need. */
export interface WarningParameters {
${listed('warning')}
}

/** What the words of every term of a method need. */
export interface MethodParameters {
${listed('method')}
}
`
}

if (process.argv[1] === import.meta.filename) {
  const messages = messagesOf(join(root, 'en'))
  if (process.argv.includes('--print')) {
    process.stdout.write(process.argv.includes('codes') ? codesOf(messages) : typesOf(messages))
  } else {
    writeFileSync(join(root, 'parameters.ts'), typesOf(messages))
    writeFileSync(join(root, '../core/codes.ts'), codesOf(messages))
  }
}
