import { identifierOfValue } from '../identities/identifierValues.js'
import type { TextTable } from '../read/textTable.js'
import { isOfVisit, type MappedSheet } from '../understand/columnMap.js'
import type { headerLanguages } from '../understand/headerSynonyms.js'
import type { QuestionList } from './questions.js'

/** Places at which an answer may stand, those of the question itself first. */
export type Places = readonly (readonly string[])[]

/** What is known of a sheet while its columns are asked about. */
export interface SheetTalk {
  readonly text: TextTable
  readonly map: MappedSheet
  readonly places: Places
  readonly questions: QuestionList
  readonly language: (typeof headerLanguages)[number]
}

/** Places of an answer below those of a sheet. */
export function at(places: Places, ...path: readonly string[]): Places {
  return places.map((place) => [...place, ...path])
}

/** What is known of a column before anything is asked: the answer, else what the header says. */
export interface Entry {
  field: string | null
  visit?: number
  crown?: number
  checked?: boolean | '?'
  unit?: string
  /** Whether the user has said it. */
  said: boolean
  because: string[]
}

/** A header as it may be printed: one that looks like a name goes by its place. */
export function shown(header: string): string {
  return identifierOfValue(header) === undefined && header.length <= 60 ? header : 'a column'
}

/** Whether a column holds something of a visit, by its row or its number. */
export function isVisitEntry(map: MappedSheet, entry: Entry): boolean {
  return isOfVisit(map, {
    header: '',
    field: entry.field,
    ...(entry.visit === undefined ? {} : { visit: entry.visit }),
  })
}
