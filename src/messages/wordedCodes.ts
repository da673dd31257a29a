import type { MethodParameters, Plain, ReasonParameters, WarningParameters } from '../core/codes.js'
import type { CountPart, Part } from './phrase.js'

/** What the words of codes need, as messages take it: a number may decide a plural, other values may be phrases. */
type Worded<Area extends string, Codes> = {
  readonly [Code in keyof Codes & string as `${Area}.${Code}`]: {
    readonly [Name in keyof Codes[Code]]: Plain extends Codes[Code][Name]
      ? Part
      : Codes[Code][Name] extends number
        ? CountPart
        : Codes[Code][Name]
  }
}

/** What the words of every reason need. */
export type WordedReasons = Worded<'reason', ReasonParameters>

/** What the words of every warning need. */
export type WordedWarnings = Worded<'warning', WarningParameters>

/** What the words of every term of a method need. */
export type WordedMethods = Worded<'method', MethodParameters>
