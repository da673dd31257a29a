import type { Field } from '../../vocabulary/fields.js'
import { saysUnknown } from '../../vocabulary/unknown.js'
import { hasShapeOfName, identifierOfValue } from '../identities/identifierValues.js'
import { countsOf, type TextColumn } from '../read/textTable.js'
import { type MappedColumn, undecided } from './columnMap.js'
import { headerWords } from './headerWords.js'
import { codeWord } from './readCodes.js'
import { codeWords, doubtfulYesNo } from './words/codeWords.js'

/** More different words than this are no codes. */
const mostWords = 60

/**
 * Proposes what the words of a column of codes mean. A word that no list knows is left to the user. Words that may name a person are counted and not written out.
 */
export function proposeValues(
  field: Field,
  column: TextColumn,
  evidence: string[],
): Partial<Pick<MappedColumn, 'values'>> {
  const counts = countsOf(column)
  const used = column.values.filter((value, code) => counts[code]! > 0 && !saysUnknown(value))
  const open = used.filter((value) => !field.codes!.includes(codeWord(value, field.codes!)))
  if (open.length === 0) return {}
  if (open.length > mostWords) {
    evidence.push(`${open.length} different words stand in the column: it may hold free text and no codes`)
    return { values: { '': undecided } }
  }
  const values: Record<string, string> = {}
  let withheld = 0
  for (const word of open) {
    if (word.length > 60 || identifierOfValue(word) !== undefined || looksLikeName(field, word)) withheld++
    else values[word] = meaningOf(field, word)
  }
  if (withheld > 0) {
    evidence.push(`${withheld} more words are not written here, since they may name a person`)
    values[''] = undecided
  }
  if (isYesNo(field) && used.length === 1 && values[used[0]!] === 'yes') {
    evidence.push('one mark and blanks: proposed as yes and no, and it wants your word')
    values[''] = 'no'
  }
  const left = Object.entries(values).filter(([word, code]) => word !== '' && code === undecided).length
  const known = Object.keys(values).filter((word) => word !== '').length - left
  evidence.push(
    `words that are no codes: ${open.length - withheld}, of which the lists of trade words know ${known}`,
  )
  return { values }
}

function isYesNo(field: Field): boolean {
  return field.codes!.length === 2 && field.codes![0] === 'yes'
}

function looksLikeName(field: Field, word: string): boolean {
  return hasShapeOfName(word) && meaningOf(field, word) === undecided
}

/** The code of a word by the lists of trade words; `?` where no list knows it, or more than one code fits. */
function meaningOf(field: Field, word: string): string {
  const plain = headerWords(word)
  const marks = word.trim().toLowerCase()
  if (isYesNo(field)) {
    if (doubtfulYesNo.yes.split('|').includes(marks)) return 'yes'
    return doubtfulYesNo.no.split('|').includes(marks) ? 'no' : undecided
  }
  const lists = codeWords[field.name] ?? {}
  const fitting = Object.entries(lists).filter(([, words]) => words.split('|').includes(plain))
  return fitting.length === 1 ? fitting[0]![0] : undecided
}
